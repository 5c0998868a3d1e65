"""What an enrolled browser carries, so that it works with no network."""

from __future__ import annotations

from typing import Annotated

from fastapi import Query
from fastapi.responses import JSONResponse

from lanewater.interfaces.api.caller import Who
from lanewater.interfaces.api.routes.access import device_told
from lanewater.interfaces.api.routes.amounts import without_amounts
from lanewater.interfaces.api.routes.answering import answer
from lanewater.interfaces.api.served import Site
from lanewater.service.actor import ANYBODY
from lanewater.service.carry import carry

Have = Annotated[str, Query(max_length=64, description="The tag of what is carried already.")]


def carry_all(served: Site, caller: Who, have: Have = "") -> JSONResponse:
    """Give all that a browser needs for a month alone, or that what it has is still so.

    Whoever holds the browser later is not known now: amounts of the record's lines stay here.
    """
    book = served.book
    found = carry(book, device_told(served, caller) or {}, book.clock(), have)
    if "lines" in found:
        found["lines"] = without_amounts(book, ANYBODY, found["lines"])
    return answer(found)
