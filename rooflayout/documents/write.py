"""Writes a plan's documents so that no file is ever half-written and none of the old ones is lost."""

from __future__ import annotations

import contextlib
import json
import logging
import os
import re
from pathlib import Path

from ..job import Job
from ..plan import Plan
from .months_csv import months_csv
from .plan_json import plan_to_dict
from .schedule import cables_csv, panels_csv, readings_csv, strings_csv
from .turns import in_turn

__all__ = ["check_folder", "plan_to_dict", "plan_to_json", "replace_files", "write_documents"]

# A list of nothing but numbers, one to a line; a text has no line breaks of its own in JSON.
NUMBERS = re.compile(r"\[\n\s+(-?[\d.]\S*(?:\n\s+-?[\d.]\S*)*)\n\s+\]")


def plan_to_json(job: Job, plan: Plan) -> str:
    """plan.json's text, ending in a newline; lists of numbers stand on one line."""
    text = json.dumps(plan_to_dict(job, plan), indent=2, ensure_ascii=False, allow_nan=False) + "\n"
    return NUMBERS.sub(lambda found: f"[{' '.join(found[1].split())}]", text)


def write_documents(job: Job, plan: Plan, directory: Path) -> list[Path]:
    """Write drawing, wiring set, energy set, schedules and plan.json; returns the files' paths.

    The folder is made when it is not there. Raises OSError with a plain message when the folder or a
    file cannot be written; then every file is as it was before.
    """
    # On its first run on a machine matplotlib would report its font cache on standard error.
    logging.getLogger("matplotlib").setLevel(logging.ERROR)
    from .drawing import drawing_files
    from .energy_set import energy_files
    from .wiring_set import wiring_files

    contents = drawing_files(job, plan)
    contents |= wiring_files(job, plan)
    contents |= energy_files(job, plan)
    contents["panels.csv"] = panels_csv(plan).encode()
    contents["strings.csv"] = strings_csv(plan).encode()
    if plan.wiring is not None and plan.wiring.runs:
        contents["cables.csv"] = cables_csv(plan).encode()
    if plan.wiring is not None and (plan.wiring.readings or plan.wiring.portable_readings):
        contents["readings.csv"] = readings_csv(plan).encode()
    if plan.energy is not None:
        contents["months.csv"] = months_csv(plan.energy).encode()
    contents["plan.json"] = plan_to_json(job, plan).encode()
    try:
        directory.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OSError(f"cannot make the folder {directory}: {_reason(error)}") from error
    with in_turn(directory):
        written = replace_files(directory, contents)
        _remove_old(directory, contents)
    return written


def _remove_old(directory: Path, contents: dict[str, bytes]) -> None:
    """Take away what an earlier plan left and this one has none of: further sheets, sets, schedules."""
    found = [p for p in directory.glob("layout-[0-9]*.*") if p.suffix in (".svg", ".png")]
    sets = ("wiring.pdf", "energy.pdf", "energy.png", "cables.csv", "readings.csv", "months.csv")
    found += [*directory.glob("energy-[0-9]*.png"), *(directory / name for name in sets)]
    for path in found:
        if path.name not in contents:
            with contextlib.suppress(OSError):
                path.unlink()


def check_folder(directory: Path) -> None:
    """Raises OSError with a plain message when files cannot be written to a folder, made or yet to make."""
    there = directory
    while not there.exists() and there != there.parent:
        there = there.parent
    if not there.is_dir():
        raise OSError(f"cannot make the folder {directory}: {there} is a file")
    if not os.access(there, os.W_OK | os.X_OK):
        raise OSError(f"cannot write to the folder {directory}: no permission for {there}")


def replace_files(directory: Path, contents: dict[str, bytes]) -> list[Path]:
    """Write files into a folder: first all beside under other names, then each into its place.

    Raises OSError with a plain message; then every file is as it was before.
    """
    temporary = {name: directory / f".{name}.{os.getpid()}.tmp" for name in contents}
    old: dict[str, bytes | None] = {}
    name = ""
    try:
        for name, content in contents.items():
            with open(temporary[name], "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
        for name in contents:
            target = directory / name
            before = target.read_bytes() if target.exists() else None
            os.replace(temporary[name], target)
            old[name] = before
    except BaseException as error:
        _put_back(directory, temporary, old)
        if isinstance(error, OSError):
            raise OSError(f"cannot write {directory / name}: {_reason(error)}") from error
        raise
    finally:
        for path in temporary.values():
            with contextlib.suppress(OSError):
                path.unlink(missing_ok=True)
    return [directory / name for name in contents]


def _put_back(directory: Path, temporary: dict[str, Path], old: dict[str, bytes | None]) -> None:
    """Undo the replacements made so far, as far as the disk allows."""
    for name, before in old.items():
        with contextlib.suppress(OSError):
            if before is None:
                (directory / name).unlink()
            else:
                temporary[name].write_bytes(before)
                os.replace(temporary[name], directory / name)


def _reason(error: OSError) -> str:
    return error.strerror or str(error)
