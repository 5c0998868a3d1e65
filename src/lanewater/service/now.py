"""What the Now page says of each pool: one sentence's worth of facts, and what is open."""

from __future__ import annotations

from typing import Any

from lanewater.kernel.deciding.due import open_by_hours
from lanewater.service.additions import blocks
from lanewater.service.book import Book
from lanewater.service.clock import MINUTE_MS, instant_text, offsets_ahead
from lanewater.service.directory import contacts, names, tell_list
from lanewater.service.judging import FAILS, verdict_on_the_wire
from lanewater.service.opening import (
    DISAGREE,
    NEVER_VERDICTS,
    in_conflict,
    last_overall,
    opening_answer,
)
from lanewater.service.schedule import due, hours_of, out_of_date, why_test_again
from lanewater.service.state import Opening, Reading, Round, SiteState, current_readings

BOTTOM_STOPS = ("bottom-not-seen", "bottom-cannot-tell")


def now_page(book: Book, now_ms: int, speaker: str = "") -> dict[str, Any]:
    """Give what the Now page shows.

    Parameters
    ----------
    book : Book
        The site's book.
    now_ms : int
        UTC milliseconds.
    speaker : str
        The person who looks, "" where nobody is signed in; nobody is told by oneself.

    Returns
    -------
    dict
        {"now", "recording", "trouble", "site", "pools", "contacts", "tell", "people"}.
    """
    state = book.state
    site = state.site
    return {
        "now": instant_text(now_ms),
        "recording": book.recording,
        "trouble": book.trouble,
        "site": {
            "id": site.id,
            "name": site.name,
            "timezone": site.timezone,
            "units": dict(site.units),
            "rules": site.rules.id,
            "demo": site.demo,
        },
        "pools": [pool_now(book, state, pool, now_ms) for pool in state.pools],
        "contacts": contacts(book),
        "tell": tell_list(book, speaker),
        "people": {
            identity: {"name": known["name"], "initials": known["initials"]}
            for identity, known in names(book).items()
        },
    }


def pool_now(book: Book, state: SiteState, pool: str, now_ms: int) -> dict[str, Any]:
    """Give one pool's lane; people are ids, to be looked up among the page's people."""
    known = state.pools[pool]
    status = status_of(state, pool, now_ms)
    last = state.last_round(pool)
    verdict = state.verdicts.get(last.id) if last else None
    return {
        "pool": pool,
        "name": known.name,
        "same_filter": [mate for mate in state.same_filter(pool) if mate != pool],
        **status,
        **lead_of(state, pool, status["status"]),
        "round": None if last is None else round_now(state, last, now_ms),
        "verdict": verdict_on_the_wire(verdict),
        "heard": None if last is None else heard(state, last),
        "due": due(book, pool, now_ms),
        "stale": out_of_date(book, pool, now_ms),
        "stops": [
            {
                "id": stop.id,
                "entry": stop.entry,
                "since": instant_text(stop.since_ms),
                "by": stop.by,
                "words": stop.words,
            }
            for stop in state.stops.get(pool, ())
        ],
        "open_actions": open_actions(state, pool, now_ms),
        "opening": opening_answer(book, pool, now_ms),
        "also_closed": [side_of(state, side) for side in state.also_closed.get(pool, ())],
    }


def status_of(state: SiteState, pool: str, now_ms: int) -> dict[str, Any]:
    """Tell whether a pool is open, closed, shut, has everyone out, or is not known."""
    opening = state.openings.get(pool)
    stops = state.stops.get(pool, ())
    hours = hours_of(state.pools[pool])
    case = {"hours": hours, "offsets": offsets_ahead(state.site.timezone, now_ms, days=2)}
    within = hours is None or open_by_hours(case, now_ms // 1000)
    if stops:
        first = stops[0]
        status, since_ms, by, reason = "everyone-out", first.since_ms, first.by, first.id
    elif opening is not None:
        status, since_ms, by = opening.status, opening.since_ms, opening.by
        reason = opening.reason
    else:
        status, since_ms, by, reason = "unknown" if within else "shut", 0, "", ""
    return {
        "status": status,
        "since": instant_text(since_ms) if since_ms else None,
        "by": by,
        "reason": reason,
        "marked": list(opening.marked) if opening is not None and status == "open" else [],
        "within_hours": within,
    }


def lead_of(state: SiteState, pool: str, status: str) -> dict[str, Any]:
    """Tell what a lane must lead with, before how the pool stands.

    Returns
    -------
    dict
        {"lead": everyone-out, repeat or "", "lead_why": ids}. A pool that is open while the rules
        say close or evacuate of its last round leads with everyone-out, as under a house stop.
    """
    stops = [f"house-stop:{stop.id}" for stop in state.stops.get(pool, ())]
    overall = last_overall(state, pool)
    if status == "open" and overall in NEVER_VERDICTS:
        stops.append(f"rules-say-{overall}")
    if stops:
        return {"lead": "everyone-out", "lead_why": stops}
    why = why_test_again(state, pool)
    return {"lead": "repeat" if why else "", "lead_why": [why] if why else []}


def round_now(state: SiteState, last: Round, now_ms: int) -> dict[str, Any]:
    """Give a round's readings as they stand, each with its time."""
    return {
        "id": last.id,
        "at": instant_text(last.at_ms),
        "age_minutes": max(0, now_ms - last.at_ms) // MINUTE_MS,
        "by": last.by,
        "verified": last.verified,
        "source": last.source,
        "corrected": bool(last.corrections),
        "changed_after_result": bool(last.changed_after_result),
        "readings": [
            {
                "parameter": reading.parameter,
                "value": reading.value,
                "unit": reading.unit,
                "point": reading.point,
                "dilution": reading.dilution,
                "at": instant_text(taken_ms(reading, last)),
            }
            for reading in current_readings(last)
            if not seen_no_more(state, last, reading)
        ],
    }


def taken_ms(reading: Reading, last: Round) -> int:
    """Give when a reading was taken, in UTC milliseconds."""
    return last.at_ms if reading.at_ms is None else reading.at_ms


def seen_no_more(state: SiteState, last: Round, reading: Reading) -> bool:
    """Tell whether the bottom was seen before a stop that says it is not, which still stands."""
    return reading.parameter == "clarity" and any(
        stop.id in BOTTOM_STOPS and taken_ms(reading, last) < stop.since_ms
        for stop in state.stops.get(last.pool, ())
    )


def heard(state: SiteState, last: Round) -> dict[str, str]:
    """Tell when, and through which device, the last round was heard of."""
    device = state.devices.get(last.through)
    return {
        "at": instant_text(last.recorded_ms),
        "through": last.through,
        "device": device.name if device else "",
    }


def disagreement(state: SiteState, pool: str) -> list[dict[str, Any]]:
    """Give what two devices wrote of a pool without knowing of each other; nothing where none did.

    Returns
    -------
    list of dict
        At most one {"id", "about", "entries": to be named by who settles it, "sides": [{"entry",
        "said": open, closed or shut, "stop", "by", "at", "device"}], the earliest claimed first}.
    """
    entries = in_conflict(state, pool)
    if not entries:
        return []
    sides = {side.entry: side for row in state.disputes[pool] for side in (row.opened, row.closed)}
    return [
        {
            "id": DISAGREE,
            "about": entries[0],
            "entries": entries,
            "sides": [side_of(state, sides[entry]) for entry in entries],
        }
    ]


def side_of(state: SiteState, side: Opening) -> dict[str, str]:
    """Give one side of a disagreement: what was said, who by, when and through which device."""
    device = state.devices.get(side.through)
    return {
        "entry": side.entry,
        "said": side.status,
        "stop": side.stop,
        "by": side.by,
        "at": instant_text(side.since_ms),
        "device": device.name if device else side.through,
    }


def open_actions(state: SiteState, pool: str, now_ms: int) -> list[dict[str, Any]]:
    """Give what waits for somebody: to be told, repeated, answered, waited for, tested."""
    found = disagreement(state, pool)
    last = state.last_round(pool)
    verdict = state.verdicts.get(last.id) if last else None
    told = {row.about for row in state.told}
    if last is not None and verdict is None:
        found.append({"id": "not-judged-yet", "about": last.id})
    if last is not None and verdict is not None:
        asked = verdict.overall in FAILS or verdict.body.get("changed_to_pass")
        if asked and last.id not in told:
            found.append({"id": "tell", "about": last.id})
        why = why_test_again(state, pool)
        if why:
            found.append({"id": "repeat", "about": last.id, "why": why, "do": "Repeat the test"})
    for stop in state.stops.get(pool, ()):
        if stop.entry not in told:
            found.append({"id": "tell", "about": stop.entry, "stop": stop.id})
        found.append({"id": "house-stop", "about": stop.entry, "stop": stop.id})
    return found + [dict(row) for row in blocks(state, pool, now_ms)]
