"""A sheet as the files it is printed to: one, or an overview with a sheet for each month."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from datetime import timedelta
from multiprocessing import get_context

from lanewater.reports.overview import fits, overview_of, rows_in
from lanewater.reports.pdf import pdf_of
from lanewater.reports.sheet import Sheet
from lanewater.service.book import Book
from lanewater.service.sheet_days import day_at, sheet_wanted
from lanewater.service.sheets import Wanted, sheet_of

# A third printer at once would hold a third gigabyte.
AT_ONCE = 2
# So many rows take less time to print than a process takes to start.
SHORT_ROWS = 120


def printers() -> ProcessPoolExecutor:
    """Give processes that print one sheet each and end: a printer gives no memory back."""
    return ProcessPoolExecutor(AT_ONCE, mp_context=get_context("spawn"), max_tasks_per_child=1)


def printed_alone(sheet: Sheet) -> bytes:
    """Print a sheet, one of more than a few pages in a process of its own."""
    if rows_in(sheet) <= SHORT_ROWS:
        return pdf_of(sheet)
    with printers() as processes:
        return processes.submit(pdf_of, sheet).result()


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
        yield "", printed_alone(sheet)
        return
    with printers() as processes:
        waiting: list[tuple[str, Future[bytes]]] = []
        waiting.append(("", processes.submit(pdf_of, overview_of(sheet))))
        for name, part in parts_of(book, wanted, stamp):
            waiting.append((name, processes.submit(pdf_of, part)))
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
