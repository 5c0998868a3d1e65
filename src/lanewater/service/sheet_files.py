"""A sheet as the files it is printed to: one, or an overview with a sheet for each month."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

from lanewater.reports.overview import fits, overview_of
from lanewater.reports.pdf import pdf_of
from lanewater.reports.sheet import Sheet
from lanewater.service.book import Book
from lanewater.service.sheet_days import day_at, sheet_wanted
from lanewater.service.sheets import Wanted, sheet_of

# The printer runs beside Python; a third at once would hold a third gigabyte.
AT_ONCE = 2


def printed(book: Book, wanted: Wanted, sheet: Sheet, stamp: str) -> Iterator[tuple[str, bytes]]:
    """Print a sheet, in several files where it is too long for one.

    Parameters
    ----------
    book : Book
        The site's book.
    wanted : Wanted
        Which sheet.
    sheet : Sheet
        What was gathered for it.
    stamp : str
        The record's stamp, the same on every file.

    Returns
    -------
    iterator of (str, bytes)
        What goes behind the file's name, "" for the first one, such as "-2026-11"; and the PDF.
    """
    if fits(sheet):
        yield "", pdf_of(sheet)
        return
    with ThreadPoolExecutor(AT_ONCE) as printers:
        waiting = [("", printers.submit(pdf_of, overview_of(sheet)))]
        for name, part in parts_of(book, wanted, stamp):
            waiting.append((name, printers.submit(pdf_of, part)))
            if len(waiting) > AT_ONCE:
                done, content = waiting.pop(0)
                yield done, content.result()
        for name, content in waiting:
            yield name, content.result()


def parts_of(book: Book, wanted: Wanted, stamp: str) -> Iterator[tuple[str, Sheet]]:
    """Give a sheet of each month of a long time, and of each pool where that is too long still."""
    pools = wanted.pools or tuple(book.state.pools)
    for month in months_of(book, wanted):
        name = str(day_at(book.state.site.timezone, month.since_ms))[:7]
        sheet = sheet_of(book, month, stamp)
        if fits(sheet) or len(pools) == 1:
            yield f"-{name}", sheet
            continue
        for pool in pools:
            alone = Wanted(month.title, month.since_ms, month.until_ms, (pool,))
            yield f"-{name}-{pool}", sheet_of(book, alone, stamp)


def months_of(book: Book, wanted: Wanted) -> Iterator[Wanted]:
    """Give the months of a long time; the first and the last one may be in part."""
    timezone = book.state.site.timezone
    first, last = day_at(timezone, wanted.since_ms), day_at(timezone, wanted.until_ms - 1)
    while first <= last:
        following = (first.replace(day=1) + timedelta(days=31)).replace(day=1)
        end = min(last, following - timedelta(days=1))
        yield sheet_wanted("Month sheet", timezone, first, end, wanted.pools)
        first = following
