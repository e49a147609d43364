"""Inspection shares nothing with what it checks, so that a mistake in one shows in the other."""

from __future__ import annotations

import ast
from pathlib import Path

import rooflayout.inspection

FILES = sorted(Path(rooflayout.inspection.__file__).parent.glob("*.py"))
ALLOWED = {
    "rooflayout.inspection",
    "rooflayout.job",
    "rooflayout.needs",
    "rooflayout.plan",
    "rooflayout.yields",
    "rooflayout.energy.climate",
    "shapely",
    "pvlib",  # unlike.py asks it for the diode equation
    "numpy",
}
STANDARD = {"__future__", "collections", "dataclasses", "functools", "itertools", "math", "re"}


def _imported(file: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file.name}: name modules in full"
            names.add(node.module or "")
    return names


def test_inspection_imports_only_the_shared_classes_and_libraries() -> None:
    assert len(FILES) > 5
    for file in FILES:
        for name in _imported(file):
            top = name.split(".")[0]
            known = any(name == a or name.startswith(a + ".") for a in ALLOWED)
            assert known or top in STANDARD, f"{file.name} imports {name}"
