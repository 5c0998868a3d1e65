"""Blank sheets of a site: its pools, its columns, its paper."""

from __future__ import annotations

from collections.abc import Sequence

from lanewater.reports.blank import Blank, BlankPool
from lanewater.service.book import Book
from lanewater.service.sheet_days import day_at
from lanewater.terms.errors import InputError


def blank_of(book: Book, pools: Sequence[str] = ()) -> Blank:
    """Gather what a blank sheet is made of.

    Parameters
    ----------
    book : Book
        The site's book.
    pools : sequence of str
        Only these; all where left out.

    Raises
    ------
    InputError
        Where a pool is not set up here, or none is.
    """
    state = book.state
    for pool in pools:
        if pool not in state.pools:
            raise InputError("pool", f"{pool!r} is not set up here")
    wanted = list(dict.fromkeys(pools)) or list(state.pools)
    if not wanted:
        raise InputError("pool", "none is set up here yet")
    today = day_at(state.site.timezone, book.clock())
    units = state.site.units
    return Blank(
        site=state.site.name,
        pools=[blank_pool(book, pool) for pool in wanted],
        fahrenheit=units.get("temperature") == "F",
        us_paper=units.get("volume") == "us-gal" or units.get("dose") == "us",
        day=(today.year, today.month, today.day),
    )


def blank_pool(book: Book, pool: str) -> BlankPool:
    """Give what a pool's page is made of."""
    known = book.state.pools[pool]
    return BlankPool(
        name=known.name,
        disinfectant=str(known.facts.get("disinfectant", "chlorine")),
        points=tuple(known.points),
    )
