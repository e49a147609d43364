"""Neighbours in a string that stand far apart are named, with the way from edge to edge."""

from __future__ import annotations

from rooflayout.plan import PanelString, PlacedPanel, Temperatures, Wiring
from rooflayout.wiring.long_leads import lead_notes

AT_MM = {"P1": (0, 0), "P2": (1020, 0), "P3": (3220, 0), "P4": (3230, 1700), "P5": (0, 1700)}
PANELS = tuple(
    PlacedPanel(name, "main", "Reed 160", float(x), float(y), 1000.0, 500.0, False, 160.0)
    for name, (x, y) in AT_MM.items()
)


def wiring_of(*strings: tuple[str, ...]) -> Wiring:
    made = (
        PanelString(f"S{n}", "C1", 1, "main", "Reed 160", panels, 50.0, 30.0, 4.7, 160.0 * len(panels))
        for n, panels in enumerate(strings, 1)
    )
    return Wiring(tuple(made), (), (), Temperatures(-5.0, "given", 30.0, 79.5, "given"))


def test_far_neighbours_are_named_with_their_way() -> None:
    """By hand: P3 begins at 3220, P2 ends at 2020: 1.2 m, within reach. P4 is 1200 mm above P3; P5 ends at
    1000, P4 begins at 3230: 2230 mm. P1 to P4: 2230 along x and 1200 along y."""
    (note,) = lead_notes(PANELS, wiring_of(("P1", "P2", "P3", "P4", "P5"), ("P1", "P4")))
    assert (note.severity, note.code) == ("info", "long-leads")
    assert "from edge to edge: S1 P4 to P5 2.2 m, S2 P1 to P4 3.4 m. Bring" in note.text


def test_within_reach_nothing_is_said() -> None:
    assert lead_notes(PANELS, wiring_of(("P1", "P2", "P3", "P4"), ("P5",))) == ()
