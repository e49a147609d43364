"""The walls of the house: who may import what."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "rooflayout"
MAY_IMPORT = {
    "ortools": {"packing", "wiring", "cpsat.py"},
    "highspy": {"packing"},
    "matplotlib": {"documents"},
}


def imports(file: Path) -> set[str]:
    """Every module that a file imports, anywhere in it, relative ones spelt out."""
    found = set()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                folder = file.parent
                for _ in range(node.level - 1):
                    folder = folder.parent
                base = ".".join(("rooflayout", *folder.relative_to(PACKAGE).parts, *filter(None, [base])))
            found.add(base)
            found |= {f"{base}.{alias.name}" for alias in node.names}
    return found


def room(file: Path) -> str:
    return file.relative_to(PACKAGE).parts[0]


@pytest.mark.parametrize("library", MAY_IMPORT)
def test_libraries_stay_in_their_rooms(library: str) -> None:
    users = {room(f) for f in PACKAGE.rglob("*.py") if any(i.split(".")[0] == library for i in imports(f))}
    assert users
    assert users <= MAY_IMPORT[library]


def test_inspection_shares_nothing_with_what_it_checks() -> None:
    for file in (PACKAGE / "inspection").glob("*.py"):
        used = {i for i in imports(file) if i.startswith("rooflayout.")}
        assert not any(i.startswith(("rooflayout.packing", "rooflayout.wiring")) for i in used), file


def test_only_survey_reads_and_only_documents_write() -> None:
    words = re.compile(r"\bopen\(|\.(read|write)_(text|bytes)\(|\bnp\.load\(")
    readers_and_writers = {
        room(f) for f in PACKAGE.rglob("*.py") if words.search(f.read_text(encoding="utf-8"))
    }
    assert readers_and_writers <= {"survey", "documents", "energy"}


def test_no_room_looks_back() -> None:
    for file in PACKAGE.rglob("*.py"):
        own = room(file)
        if own == "survey":
            later = {"packing", "wiring", "inspection", "documents"}
        elif own == "packing":
            later = {"inspection", "documents", "survey"}
        elif own == "wiring":
            later = {"packing", "inspection", "documents", "survey"}
        else:
            continue
        used = {i.split(".")[1] for i in imports(file) if i.startswith("rooflayout.") and "." in i}
        assert not used & later, file


def test_the_command_line_starts_without_heavy_libraries() -> None:
    top = {i.split(".")[0] for i in imports_at_top(PACKAGE / "cli.py")}
    assert not top & {"ortools", "highspy", "matplotlib", "shapely", "numpy", "pvlib", "rich"}


def imports_at_top(file: Path) -> set[str]:
    tree = ast.parse(file.read_text(encoding="utf-8"))
    found = set()
    for node in tree.body:
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            found.add(node.module or "")
    return found
