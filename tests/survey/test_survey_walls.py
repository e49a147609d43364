"""The survey stays light, and asks nothing of the rooms that come after it."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import rooflayout.survey

FILES = sorted(Path(rooflayout.survey.__file__).parent.glob("*.py"))
READS_WEATHER = "weather_file.py"  # pvlib knows the formats; it waits inside the function that needs it
LATER_ROOMS = ("packing", "wiring", "energy", "vehicle", "inspection", "documents")


def test_imports_no_later_room_and_no_solver() -> None:
    assert len(FILES) > 10
    for file in FILES:
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            for name in names:
                assert not name.startswith(tuple(f"rooflayout.{room}" for room in LATER_ROOMS)), file.name
                assert name.split(".")[0] not in ("ortools", "matplotlib", "numpy"), file.name
                assert name.split(".")[0] != "pvlib" or file.name == READS_WEATHER


def test_problems_can_be_imported_without_shapely() -> None:
    code = "import sys, rooflayout.survey.problems; sys.exit('shapely' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_the_reader_can_be_imported_without_pvlib_and_pandas() -> None:
    code = "import sys, rooflayout.survey.read; sys.exit('pvlib' in sys.modules or 'pandas' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
