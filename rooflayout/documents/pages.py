"""Finished sheets as the bytes of one PDF, without dates or chance."""

from __future__ import annotations

import io
from collections.abc import Sequence

from matplotlib.backends.backend_pdf import PdfPages

from .. import __version__
from .paper import Paper


def pdf_of(papers: Sequence[Paper], title: str) -> bytes:
    """All sheets in order, one a page; the same for the same sheets."""
    pdf = io.BytesIO()
    info = {"Title": title, "Creator": f"rooflayout {__version__}", "CreationDate": None}
    with PdfPages(pdf, metadata=info) as pages:
        for paper in papers:
            pages.savefig(paper.figure)
    return pdf.getvalue()
