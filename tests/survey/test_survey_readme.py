"""What the README shows of a job file is read as it stands there."""

from __future__ import annotations

import re
from pathlib import Path

from rooflayout.survey.keys import KEYS
from rooflayout.survey.read import read_job

README = Path(__file__).parents[2] / "README.md"


def _blocks() -> list[str]:
    return re.findall(r"^```toml\n(.*?)^```$", README.read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL)


def test_loads_and_vehicle_of_the_readme_are_read_without_a_note(good: Path) -> None:
    blocks = [block for block in _blocks() if "[[load]]" in block or "[climate]" in block]
    assert len(blocks) == 2
    good.write_text("\n".join([good.read_text(encoding="utf-8"), *blocks]), encoding="utf-8")
    job, notes = read_job(good)
    assert notes == ()
    assert [load.wh_day for load in job.loads] == [520, 900]
    assert job.vehicle is not None
    assert job.driving is not None
    assert job.climate.sun_kwh_m2_day is not None


def test_every_key_of_loads_and_vehicle_stands_in_the_readme() -> None:
    text = README.read_text(encoding="utf-8")
    for table in ("climate", "load", "inverter", "driving", "mounts", "vehicle"):
        for key in KEYS[table]:
            assert re.search(rf"\b{key}\b", text), f"{table}, {key}"
