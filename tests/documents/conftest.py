"""Documents written without drawing again what is drawn already, or without what is not in question."""

from __future__ import annotations

from functools import partial

import pytest

from rooflayout.documents import drawing, energy_set, wiring_set

from .opened_sheets import files_of


@pytest.fixture
def drawn_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """write_documents takes sets that some test has drawn of the same job and plan as they are."""
    for module, name in (
        (drawing, "drawing_files"),
        (wiring_set, "wiring_files"),
        (energy_set, "energy_files"),
    ):
        monkeypatch.setattr(module, name, partial(files_of, getattr(module, name)))


@pytest.fixture
def no_other_set_drawn(monkeypatch: pytest.MonkeyPatch, drawn_once: None) -> None:
    """Roof drawing and wiring set are words alone, where only the energy set is in question."""
    monkeypatch.setattr(drawing, "drawing_files", lambda job, plan: {"layout.pdf": b"a drawing"})
    monkeypatch.setattr(wiring_set, "wiring_files", lambda job, plan: {})
