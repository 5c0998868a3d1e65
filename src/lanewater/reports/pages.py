"""A sheet as data for the printer's template: every text ready, nothing left to decide."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, datetime
from typing import Any

from lanewater.reports.code import stamp_code
from lanewater.reports.making import GRACE_WORDS
from lanewater.reports.sheet import PoolSheet, Row, Sheet, Value
from lanewater.reports.words import (
    EXPLAINED,
    HEADS,
    PRINTED,
    TIMINGS,
    TIMINGS_SAID,
    parameter_words,
)

Days = tuple[str, str]

# What is longer than this does not go into a narrow column.
LONG = 48

NARROW = {"total_bromine": 13, "ph": 9, "clarity": 13, "circulation": 11, "controller_free": 12}
ALWAYS = ("ph", "temperature_c", "clarity")
BY_CHLORINE = ("free_chlorine", "total_chlorine", "combined_chlorine")
IF_THERE = ("total_bromine", *BY_CHLORINE, "controller_free", "controller_ph", "circulation")
# Pages begin anew with each pool on a sheet of more rows than fit on two of them.
ROWS_TOGETHER = 90

IN_NUMBERS = (
    "Pool",
    "Rounds",
    "Due and not done",
    "Not met or not judged",
    "Corrected",
    "Time not as usual",
    "To be tested",
)
NO_STAMP = ("This sheet bears no stamp: none could be signed when it was printed.",)
SIGNS = ("Checked by (name)", "Signature", "Date")


def pages_of(sheet: Sheet) -> dict[str, Any]:
    """Give a sheet as the template takes it."""
    code, code_mm = stamp_code(sheet.stamp) if sheet.stamp else ("", 0.0)
    written = datetime.fromtimestamp(sheet.recorded_ms // 1000, UTC)
    rows = sum(len(pool.rows) for pool in sheet.pools)
    return {
        "site": sheet.site,
        "title": f"{sheet.site}: {sheet.title}, {sheet.period}",
        "title-line": f"{sheet.title}: {sheet.period}",
        "under": f"Pools: {', '.join(pool.name for pool in sheet.pools)}. Times: {sheet.timezone}.",
        "foot": f"{sheet.size} lines on record, the newest of {sheet.as_of}. Numbers are as typed;"
        " a struck-through number was corrected, a number in brackets was worked out.",
        "demo": sheet.demo,
        "paper": "us-letter" if sheet.us_paper else "a4",
        "date": list(written.timetuple()[:6]),
        "stamp": list(sheet.stamp.splitlines()[:3]) if sheet.stamp else list(NO_STAMP),
        "code": code,
        "code-mm": code_mm,
        "words": PRINTED,
        "breaks": rows > ROWS_TOGETHER,
        "left-out": sheet.left_out,
        "summary": [summary_of(sheet.pools)],
        "failures": [failures_of(pool, bare=bool(sheet.left_out)) for pool in sheet.pools],
        "pools": [pool_table(pool) for pool in sheet.pools],
        "lists": lists_of(sheet),
        "explained": explained(sheet),
        "signs": list(SIGNS),
    }


def summary_of(pools: Sequence[PoolSheet]) -> dict[str, Any]:
    """Give the counts of every pool, one row a pool."""
    return {
        "name": "In numbers",
        "heads": list(IN_NUMBERS),
        "widths": [0, 14, 18, 24, 18, 34, 46],
        "rows": [
            [
                pool.name,
                str(pool.counts["rounds"]),
                str(pool.counts["missed"]),
                str(pool.counts["failures"]),
                str(pool.counts["corrected"]),
                ", ".join(
                    f"{count} {TIMINGS[timing]}"
                    for timing, count in pool.counts.items()
                    if timing in TIMINGS
                )
                or "none",
                "; then ".join(pool.intervals),
            ]
            for pool in pools
        ],
    }


def failures_of(pool: PoolSheet, *, bare: bool = False) -> dict[str, Any]:
    """Give a pool's rounds that were not met, with what was done about each."""
    met = "Every round on record met its rules." if pool.counts["rounds"] else "No round."
    return {
        "name": f"{pool.name}: what did not meet the rules, and what was done",
        "none": bare_words(pool) if bare and pool.counts["failures"] else met,
        "heads": ["Tested", "By", "Against the rules", "What was done, as on record"],
        "widths": [27, 11, 60, 0],
        "rows": [
            [row.at, row.by, joined(row.outcome, row.text), "\n".join(done)]
            for row, done in pool.failures
        ],
    }


def bare_words(pool: PoolSheet) -> str:
    """Say how many did not meet, where they are not listed."""
    return f"{pool.counts['failures']} rounds; they stand on the sheets of each month."


def joined(*parts: str) -> str:
    """Put sentences behind each other."""
    return "; ".join(part for part in parts if part)


def columns_of(pool: PoolSheet) -> list[str]:
    """Give the parameters that have a column of their own, in their usual order."""
    read = {name for row in pool.rows for name in row.values}
    own = ("total_bromine",) if pool.bromine else BY_CHLORINE
    wanted = {*ALWAYS, *own, *(name for name in IF_THERE if name in read)}
    return [name for name in HEADS if name in wanted]


def pool_table(pool: PoolSheet) -> dict[str, Any]:
    """Give a pool's table: every round, what happened between, and what was not done."""
    if not pool.rows:
        none = "Nothing listed here." if pool.counts["rounds"] else "Nothing on record."
        return {"name": pool.name, "none": none, "rows": []}
    columns = columns_of(pool)
    points = any(row.point for row in pool.rows)
    bathers = any(row.bathers for row in pool.rows)
    heads = ["Tested", "On record", *(["Point"] if points else []), "By"]
    heads += [HEADS[name] for name in columns] + (["In"] if bathers else [])
    days = min(row.at[:10] for row in pool.rows), max(row.at[:10] for row in pool.rows)
    widths = [beside_width(days), 27, *([13] if points else []), 9]
    widths += [NARROW.get(name, 10) for name in columns] + ([8] if bathers else [])
    first = len(heads) - len(columns) - bathers
    numbers = [
        place for place, name in enumerate(columns, first) if name not in ("clarity", "circulation")
    ]
    return {
        "name": pool.name,
        "heads": [*heads, "Against the rules"],
        "widths": [*widths, 0],
        "numbers": numbers,
        "rows": [
            printed
            for row in pool.rows
            for printed in table_rows(row, columns, days, points=points, bathers=bathers)
        ],
    }


def beside_width(days: Days) -> int:
    """Give the width in mm of the times that `beside` writes."""
    if days[0] == days[1]:
        return 11
    return 18 if days[0][:4] == days[1][:4] else 25


def beside(at: str, days: Days) -> str:
    """Write a row's time with only what the days of the sheet leave open."""
    if days[0] == days[1]:
        return at[11:]
    if days[0][:4] != days[1][:4]:
        return at
    moment = datetime.fromisoformat(at)
    return f"{moment.day} {moment:%b} {at[11:]}".rstrip()


def table_rows(
    row: Row, columns: Sequence[str], days: Days, *, points: bool, bathers: bool
) -> Iterator[dict[str, Any]]:
    """Give a row of a pool's table; what is long about a round stands below it, all across."""
    start: list[Any] = [
        beside(row.at, days),
        row.on_record,
        *([row.point] if points else []),
        row.by,
    ]
    if row.kind not in ("round", "sample"):
        cells = start if row.line is not None else [beside(row.at, days)]
        flags = f" ({', '.join(row.flags)})" if row.flags else ""
        yield {"kind": row.kind, "cells": cells, "text": row.text + flags}
        return
    cells = start + [cell_of(row.values.get(name, ()), row) for name in columns]
    cells += [row.bathers] if bathers else []
    said = last_cell(row, columns)
    if isinstance(said, str) or sum(len(text) for text, _ in said) <= LONG:
        yield {"kind": "round", "cells": [*cells, said]}
        return
    yield {"kind": "round", "cells": [*cells, [[row.overall, "strong" if row.fails else ""]]]}
    yield {"kind": "detail", "cells": [""], "text": said}


def cell_of(values: Sequence[Value], row: Row) -> Any:
    """Give a reading's cell: a dash where the round has none, struck through what was corrected."""
    if not values:
        return "–" if row.first else ""
    parts: list[list[str]] = []
    for value in values:
        if parts:
            parts.append([" / ", ""])
        for was in value.was:
            parts += [[was, "was"], [" ", ""]]
        parts.append([f"({value.text})" if value.computed else value.text, ""])
    return parts[0][0] if len(parts) == 1 else parts


def last_cell(row: Row, columns: Sequence[str]) -> Any:
    """Give the last cell of a round: against the rules, its other readings, what stands out."""
    flags = ", ".join(row.flags)
    others = ", ".join(other_words(row, columns))
    if not row.fails and not flags and not others:
        return joined(row.outcome, row.text)
    said = [(flags, "strong"), (row.outcome, "strong" if row.fails else "")]
    said = [part for part in [*said, (row.text, ""), (others, "")] if part[0]]
    return [[f"; {text}" if place else text, style] for place, (text, style) in enumerate(said)]


def other_words(row: Row, columns: Sequence[str]) -> Iterable[str]:
    """Give the readings that have no column of their own."""
    for name, values in row.values.items():
        if name not in columns:
            for value in values:
                was = "".join(f"{word}, corrected to " for word in value.was)
                yield f"{parameter_words(name)} {was}{value.text}"


def lists_of(sheet: Sheet) -> list[dict[str, Any]]:
    """Give the lists at the end: rules, people, kits, devices, set-up."""
    return [
        {
            "name": "Rules in force, with the limits that rounds were held against",
            "none": "",
            "heads": ["Pool", "Rules and edition", "Limits, each with its clause"],
            "widths": [24, 50, 0],
            "rows": [
                [", ".join(names), "; ".join(rules) or "none", "\n".join(limits) or "none"]
                for (rules, limits), names in together(sheet.pools).items()
            ],
        },
        plain_list("People", ["Initials", "Name, as known now"], [20, 0], sheet.people),
        plain_list("Test kits", ["Kit", "Reagent lots"], [60, 0], sheet.kits),
        plain_list(
            "Devices that wrote lines", ["Device", "Id", "Signature"], [40, 62, 0], sheet.devices
        ),
        plain_list(
            "Set-up and the record itself",
            ["When", "By", "What"],
            [27, 18, 0],
            [(row.at, row.by, joined(row.text, ", ".join(row.flags))) for row in sheet.others],
        ),
    ]


def together(
    pools: Iterable[PoolSheet],
) -> dict[tuple[tuple[str, ...], tuple[str, ...]], list[str]]:
    """Give the names of the pools that were held against the same limits, by those."""
    found: dict[tuple[tuple[str, ...], tuple[str, ...]], list[str]] = {}
    for pool in pools:
        found.setdefault((pool.rules, pool.limits), []).append(pool.name)
    return found


def plain_list(
    name: str, heads: list[str], widths: list[int], rows: Iterable[Sequence[str]]
) -> dict[str, Any]:
    """Give a list of its own."""
    return {
        "name": name,
        "none": "None in this period.",
        "heads": heads,
        "widths": widths,
        "rows": [list(row) for row in rows],
    }


def explained(sheet: Sheet) -> list[str]:
    """Say how to read the sheet, and how to check it."""
    timings = "; ".join(f"{word}: {said}" for word, said in TIMINGS_SAID.items())
    said = [text.format(timings=timings, grace=GRACE_WORDS) for text in EXPLAINED]
    first = [sheet.left_out] if sheet.left_out else []
    return [*first, *said, f"Site {sheet.site_id}."]
