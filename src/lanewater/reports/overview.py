"""A long time on few pages: what stands out of it, while every row stands on sheets beside it."""

from __future__ import annotations

from dataclasses import replace

from lanewater.reports.sheet import PoolSheet, Row, Sheet
from lanewater.reports.words import LEFT_OUT, TOO_MANY

# A PDF of so many rows takes about 1 GB and some ten seconds to print.
MOST_ROWS = 8_000
ROUTINE = ("opened", "shut", "told", "started", "sample", "round")


def rows_in(sheet: Sheet) -> int:
    """Count the rows that are printed of a sheet."""
    return sum(len(pool.rows) + len(pool.failures) for pool in sheet.pools)


def fits(sheet: Sheet) -> bool:
    """Tell whether a sheet is printed at once."""
    return rows_in(sheet) <= MOST_ROWS


def overview_of(sheet: Sheet) -> Sheet:
    """Leave out of a sheet what is as usual; where the rest is too long still, all but numbers.

    Parameters
    ----------
    sheet : Sheet
        Too long to be printed at once.
    """
    short = replace(
        sheet,
        title="Overview",
        pools=tuple(standing_out(pool) for pool in sheet.pools),
        left_out=LEFT_OUT,
    )
    if fits(short):
        return short
    bare = tuple(replace(pool, rows=(), failures=()) for pool in sheet.pools)
    return replace(short, pools=bare, left_out=TOO_MANY)


def standing_out(pool: PoolSheet) -> PoolSheet:
    """Give a pool's part with the rows alone that are not as usual."""
    kept = {row.entry for row in pool.rows if stands_out(row)}
    return replace(
        pool, rows=tuple(row for row in pool.rows if stands_out(row) or row.entry in kept)
    )


def stands_out(row: Row) -> bool:
    """Tell whether a row is not as usual: a failure, a gap, a correction, a time, a closing."""
    return row.kind not in ROUTINE or row.fails or bool(row.flags)
