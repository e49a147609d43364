"""Symbols of the single-line diagram, after IEC 60617 (from memory), drawn on a line that runs to the right.

Each is drawn from its left end (x, y) on the line; its function returns the x of its right end.
"""

from __future__ import annotations

import math

from .box import Box
from .lettering import NORMAL
from .paper import INK, Paper

PV_SIDE = 9.0
FUSE_LENGTH = 9.0
ISOLATOR_LENGTH = 10.0
BATTERY_LENGTH = 9.0
PLUG_LENGTH = 8.0
_LINE = 0.35


def draw_pv_generator(paper: Paper, x: float, y: float) -> float:
    """Photovoltaic generator: a square with G and a cell that two arrows of light meet."""
    paper.box(Box(x, y - PV_SIDE / 2, x + PV_SIDE, y + PV_SIDE / 2), "white", _LINE)
    paper.text(x + 1.0, y + PV_SIDE / 2 - 1.0 - NORMAL, "G", NORMAL, bold=True)
    plate, low = x + 3.9, y - 2.0
    paper.line([(x + 1.2, low), (plate, low)], 0.25)
    paper.line([(plate, low - 1.6), (plate, low + 1.6)], 0.25)
    paper.line([(plate + 1.1, low - 0.8), (plate + 1.1, low + 0.8)], 0.5)
    paper.line([(plate + 1.1, low), (x + PV_SIDE - 1.2, low)], 0.25)
    for shift in (0.0, 1.5):
        paper.arrow((x + 6.3 + shift, y + 3.6), (x + 4.9 + shift, y + 0.9), 0.18, 1.3)
    return x + PV_SIDE


def draw_fuse(paper: Paper, x: float, y: float) -> float:
    """Fuse: a rectangle with the line through its length."""
    paper.box(Box(x + 1.0, y - 1.3, x + FUSE_LENGTH - 1.0, y + 1.3), "white", _LINE)
    paper.line([(x, y), (x + FUSE_LENGTH, y)], _LINE)
    return x + FUSE_LENGTH


def draw_isolator(paper: Paper, x: float, y: float) -> float:
    """Disconnector: a raised blade, and a short bar across the end of the fixed contact."""
    hinge, contact = x + 1.5, x + ISOLATOR_LENGTH - 2.0
    paper.box(Box(x + 0.5, y - 0.8, x + ISOLATOR_LENGTH - 0.5, y + 0.8), "white", 0)
    paper.line([(x, y), (hinge, y), (contact - 0.6, y + 3.0)], _LINE)
    paper.line([(contact, y - 1.2), (contact, y + 1.2)], _LINE)
    paper.line([(contact, y), (x + ISOLATOR_LENGTH, y)], _LINE)
    return x + ISOLATOR_LENGTH


def draw_plug(paper: Paper, x: float, y: float) -> float:
    """Plug and socket: the plug a short thick bar, the socket an open half circle that takes it."""
    plug, socket = x + PLUG_LENGTH - 3.4, x + PLUG_LENGTH - 1.6
    paper.line([(x, y), (plug - 2.2, y)], _LINE)
    paper.line([(plug - 2.2, y), (plug, y)], 1.0)
    turns = [math.radians(90.0 + 15.0 * k) for k in range(13)]
    paper.line([(socket + 1.6 * math.cos(t), y + 1.6 * math.sin(t)) for t in turns], _LINE)
    paper.line([(socket - 1.6, y), (x + PLUG_LENGTH, y)], _LINE)
    return x + PLUG_LENGTH


def draw_converter(paper: Paper, box: Box) -> None:
    """DC/DC converter: a rectangle parted from corner to corner, the sign of direct current in both parts."""
    paper.box(box, "white", 0.5)
    paper.line([(box.x0, box.y0), (box.x1, box.y1)], 0.25)
    for x, y in (
        (box.x0 + 1.2, box.y1 - 0.23 * box.height),
        (box.x1 - 5.2, box.y0 + 0.23 * box.height),
    ):
        paper.line([(x, y + 0.45), (x + 4.0, y + 0.45)], _LINE)
        for k in range(3):
            paper.line([(x + 1.5 * k, y - 0.45), (x + 1.5 * k + 1.0, y - 0.45)], _LINE)


def draw_battery(paper: Paper, x: float, y: float) -> float:
    """Battery of two cells, positive plate (the long one) to the left."""
    paper.line([(x, y), (x + 2.5, y)], _LINE)
    for left in (x + 2.5, x + 5.3):
        paper.line([(left, y - 3.2), (left, y + 3.2)], _LINE)
        paper.line([(left + 1.2, y - 1.6), (left + 1.2, y + 1.6)], 0.7)
    paper.line([(x + 3.7, y), (x + 5.3, y)], _LINE)
    paper.line([(x + 6.5, y), (x + BATTERY_LENGTH, y)], _LINE)
    return x + BATTERY_LENGTH


def draw_joint(paper: Paper, x: float, y: float) -> None:
    """A point where conductors join."""
    paper.circle((x, y), 0.8, INK, 0)
