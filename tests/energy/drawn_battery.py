"""A battery of 1200 Wh that may be used to the last, a job that draws on it, and days alike."""

from __future__ import annotations

from rooflayout.job import Battery, Job, PanelRules
from rooflayout.needs import Load

LITHIUM = Battery(12.0, 14.4, 100.0, chemistry="lithium", usable_pct=100.0)  # 1200 Wh


def a_job(wh_day: float, battery: Battery | None = LITHIUM, **more) -> Job:
    loads = (Load("everything", wh_day),) if wh_day else ()
    return Job("a job", (), PanelRules(()), battery=battery, loads=loads, **more)


def alike(wh: float) -> list[list[tuple[float, float]]]:
    """Every day of the year gives the same."""
    return [[(wh, 30.0)]] * 12
