"""The water of the pools: what follows from their readings, and how they went."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import Query
from fastapi.responses import JSONResponse

from lanewater.interfaces.api.caller import Who
from lanewater.interfaces.api.routes.answering import PoolId, answer, known_pool
from lanewater.interfaces.api.served import Site
from lanewater.service import combined, trends, water

DaysWanted = Annotated[int, Query(ge=1, le=400, description="So many days back.")]
Said = Annotated[Literal["yes", "no"] | None, Query(description="Left out: nobody was asked.")]


def water_page(served: Site, caller: Who) -> JSONResponse:
    """Tell each pool's saturation index with its band, what drives it and what comes first."""
    return answer(water.water_page(served.book, caller.actor, served.book.clock()))


def pool_trends(pool: PoolId, served: Site, days: DaysWanted = 14) -> JSONResponse:
    """Give a pool's readings over time with the limits that held then, and what happened."""
    book = served.book
    return answer(trends.pool_trends(book, known_pool(served, pool), book.clock(), days))


def pool_combined(
    pool: PoolId, served: Site, monopersulfate: Said = None, heavy_load: Said = None
) -> JSONResponse:
    """Tell what can be done about combined chlorine, by its kind; never how much."""
    book = served.book
    answers = {"monopersulfate": monopersulfate, "heavy_load": heavy_load}
    found = combined.combined_for(book, known_pool(served, pool), book.clock(), answers)
    return answer(found)
