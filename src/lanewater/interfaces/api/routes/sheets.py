"""Sheets to print that hold nothing of the record."""

from __future__ import annotations

from threading import Lock

from fastapi.responses import Response

from lanewater.interfaces.api.routes.answering import PoolWanted
from lanewater.interfaces.api.served import Site
from lanewater.reports.blank import blank_pdf
from lanewater.service.blank_sheets import blank_of

# One printer at a time: it is fast, and holds a lot.
PRINTING = Lock()


def blank(served: Site, pool: PoolWanted = None) -> Response:
    """Print a blank sheet in the site's columns."""
    found = blank_of(served.book, [pool] if pool else [])
    with PRINTING:
        content = blank_pdf(found)
    headers = {"Content-Disposition": 'attachment; filename="lanewater-blank.pdf"'}
    return Response(content, media_type="application/pdf", headers=headers)
