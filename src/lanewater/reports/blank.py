"""A blank sheet for when no tablet is at hand: the site's own columns, and nothing in them."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from importlib.resources import files

import typst

from lanewater.reports.glyphs import all_seen, doubtful, texts_in, undrawn
from lanewater.reports.pdf import FONTS, STANDARDS, draws

ROWS = 15
DAY = "Day: ____________________"
FOOT = "Blank sheet. Nothing on it is filled in beforehand. Type it in with From paper, on Test."
NOTES = (
    (
        "Bottom not seen, cannot be told, gas, or circulation stopped with people in: everyone out"
        " first, then write it down."
    ),
    (
        "Write what you read, as you read it: over range as >5.00; diluted as 1 part made up to 5"
        " (×5). What was not read stays empty."
    ),
)


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a blank sheet; its width in parts of the page's."""

    name: str
    unit: str = ""
    width: float = 1.0


@dataclass(frozen=True, slots=True)
class BlankPool:
    """A pool whose page is printed.

    Attributes
    ----------
    disinfectant : str
        As the pool's facts say.
    points : sequence of str
        Where it is sampled.
    """

    name: str
    disinfectant: str
    points: Sequence[str] = ()


@dataclass(frozen=True, slots=True)
class Blank:
    """What a blank sheet is made of; the day is that of its printing. [year, month, day]"""

    site: str
    pools: Sequence[BlankPool]
    fahrenheit: bool
    us_paper: bool
    day: tuple[int, int, int]


def columns_of(pool: BlankPool, *, fahrenheit: bool) -> list[Column]:
    """Give the columns of a pool in the order in which it is looked at and tested."""
    read = {
        "chlorine": [Column("Free", "mg/L"), Column("pH"), Column("Total", "mg/L")],
        "bromine": [Column("Bromine", "mg/L"), Column("pH")],
    }.get(pool.disinfectant, [Column("pH")])
    where = [Column("Where", width=1.4)] if len(pool.points) > 1 else []
    return [
        Column("Time", "hh:mm"),
        Column("Bottom seen", "yes / no / can't tell", 1.7),
        Column("Water", "°F" if fahrenheit else "°C"),
        Column("Pump running", "yes / no", 1.2),
        *where,
        *read,
        Column("Kit", width=1.2),
        Column("By", "initials"),
        Column("Told whom, what was done", width=3.6),
    ]


def blank_pdf(blank: Blank) -> bytes:
    """Print a blank sheet, a page a pool.

    Returns
    -------
    bytes
        PDF/A-3a and PDF/UA-1.
    """
    pools = [
        {
            "name": pool.name,
            "columns": [asdict(one) for one in columns_of(pool, fahrenheit=blank.fahrenheit)],
        }
        for pool in blank.pools
    ]
    pages = {
        "title": f"Blank sheet, {blank.site}",
        "site": blank.site,
        "pools": pools,
        "rows": ROWS,
        "day": DAY,
        "foot": FOOT,
        "notes": list(NOTES),
        "paper": "us-letter" if blank.us_paper else "a4",
        "date": list(blank.day),
        "fonts": list(FONTS),
    }
    seen = all_seen(pages, undrawn(doubtful(texts_in(pages)), draws)) | {"fonts": list(FONTS)}
    source = files("lanewater.reports").joinpath("blank.typ").read_bytes()
    given = {"data": json.dumps(seen, ensure_ascii=False)}
    return bytes(typst.compile(source, sys_inputs=given, pdf_standards=STANDARDS))
