"""Finished sheets as the bytes of one PDF, or of a picture each, without dates or chance."""

from __future__ import annotations

import io
from collections.abc import Sequence

from matplotlib.backends.backend_pdf import PdfPages

from .. import __version__
from .paper import Paper

PNG_DPI = 150


def pdf_of(papers: Sequence[Paper], title: str) -> bytes:
    """All sheets in order, one a page; the same for the same sheets."""
    pdf = io.BytesIO()
    info = {"Title": title, "Creator": f"rooflayout {__version__}", "CreationDate": None}
    with PdfPages(pdf, metadata=info) as pages:
        for paper in papers:
            pages.savefig(paper.figure)
    return pdf.getvalue()


def png_of(paper: Paper) -> bytes:
    """One sheet as a picture."""
    png = io.BytesIO()
    paper.figure.savefig(png, format="png", dpi=PNG_DPI)
    return png.getvalue()


def numbered(name: str, number: int) -> str:
    """The name of a set's sheet, without ending: the first has the set's own, the others a number more."""
    return name if number == 1 else f"{name}-{number}"
