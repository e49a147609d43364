"""rooflayout: the most watts on a small, cluttered roof, wired and drawn."""

__version__ = "0.1.0"
