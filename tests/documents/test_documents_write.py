"""Files on disk: all there, in the right columns, the same every time, never half-written."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import os
import stat
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from rooflayout import __version__
from rooflayout.documents import write
from rooflayout.documents.plan_json import plan_to_dict, whole
from rooflayout.documents.schedule import panels_csv, strings_csv
from rooflayout.documents.write import plan_to_json, replace_files, write_documents
from rooflayout.plan import Note

from .opened_sheets import roof_files, roof_sheets
from .samples import SAMPLES

LAYOUT = ["layout.pdf", "layout.svg", "layout.png"]
SCHEDULES = ["panels.csv", "strings.csv", "plan.json"]
PANEL_HEAD = "panel,facet,model,x_mm,y_mm,along_x_mm,along_y_mm,turned,string"
STRING_HEAD = (
    "string,controller,tracker,facet,model,in_series,panels,voc_cold_v,vmp_hot_v,isc_a,power_w,"
    "limit_v,headroom_v,vmp_hot_at_controller_v"
)


@pytest.mark.usefixtures("drawn_once")
def test_all_files_are_written_and_nothing_else(tmp_path: Path) -> None:
    folder = tmp_path / "outputs" / "deep" / "trailer"
    written = write_documents(*SAMPLES["trailer"](), folder)
    names = [*LAYOUT, "wiring.pdf", *SCHEDULES]
    assert [p.name for p in written] == names
    assert sorted(os.listdir(folder)) == sorted(names)
    assert (folder / "layout.pdf").read_bytes().startswith(b"%PDF-")
    assert (folder / "layout.png").read_bytes().startswith(b"\x89PNG")
    assert b"<svg" in (folder / "layout.svg").read_bytes()[:600]


def test_files_get_the_usual_permissions(tmp_path: Path) -> None:
    (tmp_path / "other").write_text("x")
    replace_files(tmp_path, {"mine": b"x"})
    assert stat.S_IMODE((tmp_path / "mine").stat().st_mode) == stat.S_IMODE(
        (tmp_path / "other").stat().st_mode
    )


def test_panels_csv() -> None:
    _, plan = SAMPLES["trailer"]()
    lines = panels_csv(plan).splitlines()
    assert lines[0] == PANEL_HEAD
    assert lines[1] == "P1,main,Lapwing 260 M,40,40,1650,770,no,S1"
    assert "P7,front slope,Sandpiper 110 S,40,40,430,1250,yes,S4" in lines
    assert "K1,main,Wren 60,3960,840,600,500,no," in lines
    assert len(lines) == 1 + len(plan.layout.panels)


def test_strings_csv() -> None:
    _, plan = SAMPLES["one_facet"]()
    lines = strings_csv(plan).splitlines()
    assert lines == [
        STRING_HEAD,
        "S1,C1,1,roof,Lapwing 260 M,2,P1 P2,65.62,38.0,11.0,520,,,",
        "S2,C1,2,roof,Sandpiper 110 S,2,P3 P4,52.32,30.4,5.9,220,,,",
    ]
    assert strings_csv(SAMPLES["unwired"]()[1]) == STRING_HEAD + "\n"


def test_commas_and_quotes_in_names_survive_the_csv() -> None:
    _, plan = SAMPLES["one_facet"]()
    odd = replace(plan.layout.panels[0], model='Big, "wide" panel')
    plan = replace(plan, layout=replace(plan.layout, panels=(odd,)))
    (row,) = csv.DictReader(io.StringIO(panels_csv(plan)))
    assert row["model"] == 'Big, "wide" panel'


def test_plan_json_has_the_keys_of_schema_1() -> None:
    job, plan = SAMPLES["trailer"]()
    data = json.loads(plan_to_json(job, plan))
    assert data == plan_to_dict(job, plan)
    assert list(data) == [
        "schema",
        "title",
        "job",
        "rooflayout",
        "seed",
        "layout",
        "wiring",
        "energy",
        "balance",
        "near_misses",
        "notes",
    ]
    assert (data["schema"], data["title"], data["job"]) == (1, "Delta ringing trailer", "job.toml")
    assert (data["rooflayout"], data["seed"]) == (__version__, 0)
    assert {k: v for k, v in data["layout"].items() if k != "panels"} == {
        "watts": 1670.0, "bound_watts": 1670.0, "true_bound_watts": 1670.0,
        "harvest_wh_year": None, "bound_harvest_wh_year": None, "status": "proven", "seconds": 0.84,
    }  # fmt: skip
    assert data["layout"]["panels"][0] == {
        "panel": "P1", "facet": "main", "model": "Lapwing 260 M", "x_mm": 40, "y_mm": 40,
        "along_x_mm": 1650, "along_y_mm": 770, "turned": False, "watts": 260.0, "kept": False,
    }  # fmt: skip
    assert data["wiring"]["strings"][0] == {
        "string": "S1", "controller": "C1", "tracker": 1, "facet": "main", "model": "Lapwing 260 M",
        "in_series": 2, "panels": ["P1", "P2"], "voc_cold_v": 65.62, "vmp_hot_v": 38.0, "isc_a": 11.0,
        "power_w": 520.0, "limit_v": None, "headroom_v": None,
        "vmp_hot_at_controller_v": None,
    }  # fmt: skip
    assert data["wiring"]["controllers"][0] == {
        "controller": "C1", "model": "Dunlin 150/60 twin", "power_w": 1040.0, "isc_a": 22.0,
        "charge_a": 60.0, "clipped_w": 149.3, "clipped_pct": 14.4, "set_a": None,
    }  # fmt: skip
    assert data["wiring"]["unwired"] == ["K1"]
    assert data["wiring"]["temperatures"] == {
        "coldest_cell_c": -5.0, "coldest_source": "from the job file", "hottest_air_c": 42.0,
        "hottest_cell_c": 89.5, "hottest_source": "42 °C air, panel flush on the roof",
    }  # fmt: skip
    assert (data["energy"], data["balance"]) == (None, None)
    assert data["notes"][0]["code"] == "energy"


def test_plan_json_without_wiring_and_with_fractions() -> None:
    job, plan = SAMPLES["unwired"]()
    assert plan_to_dict(job, plan)["wiring"] is None
    assert whole(40.0) == 40
    assert isinstance(whole(40.0), int)
    assert whole(60.5) == 60.5
    assert whole(1 / 3) == 0.333


def test_letters_of_any_script_stay_readable_in_json() -> None:
    job, plan = SAMPLES["one_facet"]()
    assert '"title": "Überdachung 屋根"' in plan_to_json(job, replace(plan, title="Überdachung 屋根"))


PROGRAM = """
import hashlib, sys
sys.path.insert(0, sys.argv[1])
from documents.samples import SAMPLES
from rooflayout.documents.drawing import drawing_files
for file, content in drawing_files(*SAMPLES["trailer"]()).items():
    print(file, hashlib.sha256(content).hexdigest())
"""


def test_the_same_plan_gives_the_same_bytes_in_any_process() -> None:
    """In this one, and in one with other hashes and another clock."""
    tests = str(Path(__file__).parent.parent)
    seed = "2" if os.environ.get("PYTHONHASHSEED") == "1" else "1"
    run = subprocess.run(
        [sys.executable, "-c", PROGRAM, tests],
        env={**os.environ, "PYTHONHASHSEED": seed, "TZ": "Asia/Tokyo"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert run.stderr == ""
    here = [
        f"{file} {hashlib.sha256(content).hexdigest()}" for file, content in roof_files("trailer").items()
    ]
    assert run.stdout.splitlines() == here
    assert len(here) == 3


def test_the_users_own_plot_settings_change_nothing() -> None:
    import matplotlib

    from rooflayout.documents.drawing import drawing_files

    before = hashlib.sha256(roof_files("one_facet")["layout.svg"]).hexdigest()
    with matplotlib.rc_context({"lines.linewidth": 9, "font.size": 3, "path.sketch": (3, 100, 2)}):
        after = hashlib.sha256(drawing_files(*SAMPLES["one_facet"]())["layout.svg"]).hexdigest()
    assert before == after


def test_no_dates_in_the_drawings() -> None:
    files = roof_files("one_facet")
    assert b"CreationDate" not in files["layout.pdf"]
    assert b"dc:date" not in files["layout.svg"]


@pytest.mark.usefixtures("drawn_once")
def test_a_folder_that_is_a_file_is_a_plain_error(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("mine")
    with pytest.raises(OSError, match=r"cannot make the folder .*taken") as caught:
        write_documents(*SAMPLES["nothing_fits"](), tmp_path / "taken")
    assert "\n" not in str(caught.value)
    assert (tmp_path / "taken").read_text() == "mine"


@pytest.mark.usefixtures("drawn_once")
def test_a_target_that_cannot_be_replaced_leaves_all_old_files(tmp_path: Path) -> None:
    (tmp_path / "panels.csv").write_text("old panels")
    (tmp_path / "plan.json").mkdir()
    (tmp_path / "plan.json" / "in the way").write_text("x")
    with pytest.raises(OSError, match=r"cannot write .*plan\.json"):
        write_documents(*SAMPLES["nothing_fits"](), tmp_path)
    assert (tmp_path / "panels.csv").read_text() == "old panels"
    assert sorted(os.listdir(tmp_path)) == ["panels.csv", "plan.json"]


@pytest.mark.parametrize("failing", [0, 1, 2])
def test_a_failure_between_replacements_puts_the_old_files_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: int
) -> None:
    old = {"a": b"old a", "b": b"old b", "c": b"old c"}
    replace_files(tmp_path, old)
    real, calls = os.replace, 0

    def flaky(source: Path, target: Path) -> None:
        nonlocal calls
        calls += 1
        if calls == failing + 1:
            raise OSError(28, "No space left on device")
        real(source, target)

    monkeypatch.setattr(write.os, "replace", flaky)
    with pytest.raises(OSError, match="No space left on device"):
        replace_files(tmp_path, {"a": b"new a", "b": b"new b", "c": b"new c", "d": b"new d"})
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == old


def test_an_interrupt_leaves_nothing_half_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    replace_files(tmp_path, {"a": b"old"})

    def interrupted(_: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(write.os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        replace_files(tmp_path, {"a": b"new", "b": b"new"})
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == {"a": b"old"}


@pytest.mark.usefixtures("no_other_set_drawn")
def test_old_files_are_replaced_and_others_left(tmp_path: Path) -> None:
    (tmp_path / "plan.json").write_text("old")
    (tmp_path / "mine.txt").write_text("keep")
    job, plan = SAMPLES["nothing_fits"]()
    write_documents(job, replace(plan, notes=(Note("info", "x", "new"),)), tmp_path)
    assert json.loads((tmp_path / "plan.json").read_text())["notes"][0]["text"] == "new"
    assert (tmp_path / "mine.txt").read_text() == "keep"


def test_the_text_documents_do_not_load_matplotlib() -> None:
    code = (
        "import sys; from rooflayout.documents.write import plan_to_dict, write_documents;"
        "from rooflayout.documents.starter import write_starter;"
        "print([m for m in ('matplotlib', 'shapely', 'numpy') if m in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"


def test_pyplot_is_never_used() -> None:
    code = "import sys; import rooflayout.documents.drawing; print('matplotlib.pyplot' in sys.modules)"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "False"


@pytest.mark.usefixtures("drawn_once")
def test_every_sheet_has_its_picture_and_old_ones_go(tmp_path: Path) -> None:
    """A crowded roof takes two sheets; planned again with one, no second sheet is left lying about."""
    two, one = "crowded", "nothing_fits"
    assert [len(roof_sheets(name)[0]) for name in (two, one)] == [2, 1]
    more = {"layout-2.svg", "layout-2.png"}
    write_documents(*SAMPLES[two](), tmp_path)
    assert _layout_files(tmp_path) == {*LAYOUT, *more}
    (tmp_path / "layout-notes.png").write_bytes(b"not ours")
    write_documents(*SAMPLES[one](), tmp_path)
    assert _layout_files(tmp_path) == {*LAYOUT, "layout-notes.png"}


def _layout_files(folder: Path) -> set[str]:
    return {name for name in os.listdir(folder) if name.startswith("layout")}
