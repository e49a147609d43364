"""A sound job, its catalogues and a plan of it, in a folder of their own for each test."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

HERE = Path(__file__).parent


@pytest.fixture
def good(tmp_path: Path) -> Path:
    """The path of a copy of good/trailer.toml, beside its catalogues and its plan."""
    shutil.copytree(HERE / "good", tmp_path / "good")
    return tmp_path / "good" / "trailer.toml"
