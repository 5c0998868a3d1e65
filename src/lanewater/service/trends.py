"""A pool's readings over time, with the limits that held then and what happened meanwhile."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from lanewater.kernel.deciding.decimals import thousandths
from lanewater.kernel.deciding.doubt import doubtful_parameters
from lanewater.kernel.deciding.limits import values_of
from lanewater.kernel.deciding.standing import standing_readings
from lanewater.kernel.deciding.tries import legible_text
from lanewater.measurement.reading import Reading
from lanewater.records.store import finding
from lanewater.service.book import Book
from lanewater.service.clock import DAY_MS, MINUTE_MS, instant_text, known_instant
from lanewater.service.fold.reading_back import entries_at
from lanewater.service.judging import local_date, readings_of
from lanewater.service.past import with_past
from lanewater.service.pool_facts import in_same_water
from lanewater.service.state import Round, SiteState, Verdict
from lanewater.terms.errors import LanewaterError, MissingError

# What is shown, and which end of several readings of one round is the worse.
SHOWN = {
    "free_chlorine": min,
    "combined_chlorine": max,
    "ph": max,
    "total_alkalinity": min,
    "cyanuric_acid": max,
}
LOOKED_AT = (*SHOWN, "total_chlorine")
BY_DAY_FROM = 40
# Over a longer time without a reading no line is drawn: what is tested daily, weekly, monthly. JUDG
DAILY_MS = 36 * 60 * MINUTE_MS
LONGEST_SPACE_MS = dict.fromkeys(SHOWN, DAILY_MS) | {
    "total_alkalinity": 15 * DAY_MS,
    "cyanuric_acid": 45 * DAY_MS,
}
ENDS = {"value": "worse", "low": "low", "high": "high"}
LOWS = ("at-least", "above")
HIGHS = ("at-most", "below")
HAPPENED = ("pool-opened", "pool-closed", "everyone-out", "house-stop-ended")


def pool_trends(book: Book, pool: str, now_ms: int, days: int) -> dict[str, Any]:
    """Give a pool's readings over the last days; no amount of anything is in it.

    Parameters
    ----------
    book : Book
        The site's book.
    pool : str
        The pool's id.
    now_ms : int
        UTC milliseconds.
    days : int
        How far back; from 40 on a row is a day, from its lowest to its highest reading.

    Returns
    -------
    dict
        {"pool", "from", "to", "by_day", "series", "events"}. A row of a series has "value" (the
        worse end), "low" and "high", "relation" exact, above or below, whether it is "doubtful",
        and whether a "gap" lies before it: so long without a reading that no line is drawn.

    Raises
    ------
    MissingError
        Where there is no such pool.
    """
    state = book.state
    if pool not in state.pools:
        raise MissingError("there is no such pool here")
    since_ms = now_ms - days * DAY_MS
    state = with_past(book, pool, since_ms)
    by_day = days >= BY_DAY_FROM
    rounds = seen_rounds(state, pool, since_ms, now_ms)
    hanging = hanging_rules(book, rounds)
    return {
        "pool": pool,
        "from": instant_text(since_ms),
        "to": instant_text(now_ms),
        "by_day": by_day,
        "series": [
            series_of(hanging, state, rounds, parameter, by_day=by_day) for parameter in SHOWN
        ],
        "events": events_between(book, state, pool, since_ms, now_ms),
    }


@dataclass(frozen=True, slots=True)
class Seen:
    """A round with what stands of it: readings, numbers in doubt, what the rules said then."""

    known: Round
    standing: list[dict[str, Any]]
    doubtful: list[str]
    verdict: Verdict | None


def seen_rounds(state: SiteState, pool: str, since_ms: int, until_ms: int) -> list[Seen]:
    """Give a pool's rounds between two instants, oldest first."""
    found = []
    for known in state.rounds.get(pool, ()):
        if known.purpose == "round" and since_ms <= known.at_ms <= until_ms:
            given = [
                in_normal_form(row) for row in readings_of(known) if row.parameter in LOOKED_AT
            ]
            verdict = state.verdicts.get(known.id)
            findings = [] if verdict is None else list(verdict.body.get("findings", ()))
            doubts = doubtful_parameters([{"parameters": [], **row} for row in findings])
            found.append(Seen(known, standing_readings(given), doubts, verdict))
    return found


def in_normal_form(reading: Reading) -> dict[str, Any]:
    """Give a reading as the kernel takes it; its error is not looked at here."""
    return {
        "parameter": reading.parameter,
        "value": reading.value,
        "dilution": reading.dilution,
        "point": reading.point,
        "at": reading.taken,
        "uncertainty": None,
        "kit": "",
    }


def series_of(
    hanging: Mapping[str, frozenset[str]],
    state: SiteState,
    rounds: list[Seen],
    parameter: str,
    *,
    by_day: bool,
) -> dict[str, Any]:
    """Give one parameter's rows and the limits that held, each from when to when."""
    rows = []
    limits: list[dict[str, Any]] = []
    for seen in rounds:
        values = [
            row for row in values_of(seen.standing, parameter) if row["relation"] != "unknown"
        ]
        if values:
            rows.append(row_of(seen, parameter, values))
            take_limit(limits, seen.known.at_ms, limit_then(hanging, seen.verdict, parameter))
    mark_gaps(rows, LONGEST_SPACE_MS[parameter])
    if by_day:
        rows = days_of(state, parameter, rows)
    return {
        "parameter": parameter,
        "rows": [told(row) for row in rows],
        "limits": [
            {**row, "from": instant_text(row["from"]), "to": instant_text(row["to"])}
            for row in limits
        ],
    }


def row_of(seen: Seen, parameter: str, values: list[dict[str, Any]]) -> dict[str, Any]:
    """Give one round's row."""
    worse = SHOWN[parameter](values, key=number)
    return {
        "at_ms": seen.known.at_ms,
        "worse": worse,
        "low": min(values, key=number),
        "high": max(values, key=number),
        "count": len(values),
        "doubtful": parameter in seen.doubtful,
        "gap": False,
    }


def number(row: Mapping[str, Any]) -> int:
    """Give a value in thousandths."""
    found: int = row["number"]
    return found


def days_of(
    state: SiteState, parameter: str, rows: Iterable[Mapping[str, Any]]
) -> list[dict[str, Any]]:
    """Put the rows of each local day together; those in doubt only where the day has no other."""
    days: dict[str, list[Mapping[str, Any]]] = {}
    for row in rows:
        days.setdefault(local_date(state, row["at_ms"]), []).append(row)
    found = []
    for whole in days.values():
        kept = [row for row in whole if not row["doubtful"]] or whole
        worse = SHOWN[parameter](kept, key=lambda row: number(row["worse"]))
        found.append(
            {
                **worse,
                "low": min((row["low"] for row in kept), key=number),
                "high": max((row["high"] for row in kept), key=number),
                "count": sum(row["count"] for row in kept),
                "gap": whole[0]["gap"],
            }
        )
    return found


def mark_gaps(rows: list[dict[str, Any]], longest_ms: int) -> None:
    """Mark a row before which there was longer no reading than a line may be drawn over."""
    for row, later in pairwise(rows):
        later["gap"] = later["at_ms"] - row["at_ms"] > longest_ms


def told(row: Mapping[str, Any]) -> dict[str, Any]:
    """Give a row as a page gets it, its numbers as typed."""
    return {
        "at": instant_text(row["at_ms"]),
        **{key: row[name]["text"].lstrip("<>") for key, name in ENDS.items()},
        "relation": row["worse"]["relation"],
        "count": row["count"],
        "doubtful": row["doubtful"],
        "gap": row["gap"],
    }


def limit_then(
    hanging: Mapping[str, frozenset[str]], verdict: Verdict | None, parameter: str
) -> dict[str, str]:
    """Give the narrowest limits that a round was held to, by the rules of its date.

    What is on record of the judgement tells them; a limit that hangs on another reading of the
    same round is left out, as it is no line.
    """
    found = {"low": "", "high": ""}
    if verdict is None:
        return found
    for row in verdict.body.get("results", ()):
        text = str(row["limit"])
        if row["parameter"] != parameter or not legible_text(text):
            continue
        if row["rule"] in hanging.get(verdict.rules.id, ()):
            continue
        for end, comparisons, way in (("low", LOWS, 1), ("high", HIGHS, -1)):
            narrower = not found[end] or way * thousandths(text) > way * thousandths(found[end])
            if row["comparison"] in comparisons and narrower:
                found[end] = text
    return found


def hanging_rules(book: Book, rounds: list[Seen]) -> dict[str, frozenset[str]]:
    """Give, of each pack that judged, the rules whose limit is worked out from another reading."""
    found = {}
    for identity in {seen.verdict.rules.id for seen in rounds if seen.verdict is not None}:
        try:
            rules = book.load(identity)["rules"] if identity else []
        except LanewaterError:
            rules = []
        found[identity] = frozenset(rule["id"] for rule in rules if rule["relative_to"] != "")
    return found


def take_limit(limits: list[dict[str, Any]], at_ms: int, found: Mapping[str, str]) -> None:
    """Lengthen the limits that hold, or begin others."""
    last = limits[-1] if limits else None
    if last is not None:
        last["to"] = at_ms
    if last is None or (last["low"], last["high"]) != (found["low"], found["high"]):
        limits.append({"from": at_ms, "to": at_ms, **found})


def events_between(
    book: Book, state: SiteState, pool: str, since_ms: int, until_ms: int
) -> list[dict[str, Any]]:
    """Give what happened to a pool's water and doors, oldest first; of additions only that."""
    found = [
        {"at_ms": row.started_ms, "kind": "addition", "pool": row.pool}
        for row in state.additions.values()
        if in_same_water(state, pool, row)
        and row.answer != "not-added"
        and since_ms <= row.started_ms <= until_ms
    ]
    with book.reading() as connection:
        places = finding.between(
            connection,
            book.site,
            since_ms=since_ms,
            until_ms=until_ms + 1,
            pool=pool,
            types=HAPPENED,
            by="stands_ms",
        )
        for _, entry in entries_at(connection, book.site, places):
            kind = entry.type
            if entry.type == "pool-closed":
                kind = f"pool-{entry.body['kind']}"
            found.append({"at_ms": known_instant(entry.at), "kind": kind, "pool": pool})
    found.sort(key=lambda row: int(str(row["at_ms"])))
    return [
        {"at": instant_text(int(str(row["at_ms"]))), "kind": row["kind"], "pool": row["pool"]}
        for row in found
    ]
