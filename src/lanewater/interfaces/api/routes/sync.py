"""Devices that sign for themselves: what they send later, and what they keep a copy of."""

from __future__ import annotations

from typing import Annotated

from fastapi import Query
from fastapi.responses import JSONResponse

from lanewater.interfaces.api.caller import Who
from lanewater.interfaces.api.routes.answering import answer
from lanewater.interfaces.api.schemas.sync import EntriesSent
from lanewater.interfaces.api.served import Site
from lanewater.records.entries import LARGEST
from lanewater.records.receiving import Sealed
from lanewater.service import replicas, sync

Start = Annotated[int, Query(alias="from", ge=0, le=LARGEST, description="The first index.")]
Limit = Annotated[int, Query(ge=1, le=replicas.MOST_LINES)]
Size = Annotated[
    int, Query(alias="from", ge=0, le=LARGEST, description="The size of the stamp that is held.")
]


def send(sent: EntriesSent, served: Site, caller: Who) -> JSONResponse:
    """Take what a device wrote by itself, each entry once; answered once it is on disk."""
    served.doors.try_send(caller.sender)
    sealed = [Sealed(one.entry, one.sig) for one in sent.entries]
    grants = [one.given() for one in sent.grants or ()]
    return answer(sync.receive(served.book, caller.sender, sealed, sent.stamp or "", grants))


def lines(served: Site, caller: Who, start: Start = 0, limit: Limit = 200) -> JSONResponse:
    """Give lines of the record as they stand, for a device that keeps a copy."""
    return answer(replicas.lines_from(served.book, start, limit, device=caller.device))


def stamp(served: Site, size: Size = 0) -> JSONResponse:
    """Give the stamp of the record as it is now, and the proof that it goes on from a size."""
    return answer(replicas.stamp_from(served.book, size))
