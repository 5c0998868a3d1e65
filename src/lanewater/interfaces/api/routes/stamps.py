"""The record's stamp, to be carried away and compared."""

from __future__ import annotations

from fastapi.responses import JSONResponse

from lanewater.interfaces.api.routes.answering import answer
from lanewater.interfaces.api.schemas.stamps import StampSent
from lanewater.interfaces.api.served import Site
from lanewater.service import stamp_out


def show(served: Site) -> JSONResponse:
    """Give the signed stamp of the record as it is now, and the squares of its QR code."""
    return answer(stamp_out.shown(served.book))


def compare(sent: StampSent, served: Site) -> JSONResponse:
    """Hold the record to an older stamp; nothing is recorded."""
    return answer(stamp_out.compare(served.book, sent.stamp))
