"""A table as this program reads it: CSV with a header, and a bound on everything."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from itertools import chain

from lanewater.terms.errors import InputError

LONGEST_CELL = 10_000
LONGEST_LINE = 1_000_000
MOST_ROWS = 1_000_000


def table_rows(lines: Iterable[str], most: int = MOST_ROWS) -> Iterator[tuple[int, list[str], str]]:
    """Give every row of a CSV text: its line, its cells, and why it cannot be read or "".

    Parameters
    ----------
    lines : iterable of str
        With commas, or semicolons, between cells; the header is the first row that is given.
    most : int
        How many rows are read.

    Raises
    ------
    InputError
        Where a line is too long, there are too many, or the header cannot be read.
    """
    bounded = bounded_lines(lines)
    first = next(bounded, "")
    delimiter = ";" if first.count(";") > first.count(",") else ","
    reader = csv.reader(chain([first], bounded), delimiter=delimiter)
    csv.field_size_limit(LONGEST_CELL)
    for number in range(most + 2):
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            if number == 0:
                raise InputError("", f"the header cannot be read: {error}") from error
            yield reader.line_num, [], str(error)
            continue
        yield reader.line_num, cells, ""
    raise InputError("", f"more than {most} rows")


def bounded_lines(lines: Iterable[str]) -> Iterator[str]:
    """Give lines on; one that is too long is refused."""
    for line in lines:
        if len(line) >= LONGEST_LINE:
            raise InputError("", f"a line is longer than {LONGEST_LINE} characters")
        yield line
