"""What the Now page says of each pool: one sentence's worth of facts, and what is open."""

from __future__ import annotations

from typing import Any

from lanewater.kernel.deciding.due import open_by_hours
from lanewater.service.additions import blocks
from lanewater.service.book import Book
from lanewater.service.clock import instant_text, offsets_ahead
from lanewater.service.directory import contacts, names
from lanewater.service.judging import FAILS, asks_for_repeat, verdict_on_the_wire
from lanewater.service.opening import opening_answer
from lanewater.service.schedule import due, hours_of, out_of_date
from lanewater.service.state import Round, SiteState, current_readings


def now_page(book: Book, now_ms: int) -> dict[str, Any]:
    """Give what the Now page shows.

    Parameters
    ----------
    book : Book
        The site's book.
    now_ms : int
        UTC milliseconds.

    Returns
    -------
    dict
        {"now", "recording", "trouble", "site", "pools", "contacts", "people"}.
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
        "people": {
            identity: {"name": known["name"], "initials": known["initials"]}
            for identity, known in names(book).items()
        },
    }


def pool_now(book: Book, state: SiteState, pool: str, now_ms: int) -> dict[str, Any]:
    """Give one pool's lane; people are ids, to be looked up among the page's people."""
    known = state.pools[pool]
    last = state.last_round(pool)
    verdict = state.verdicts.get(last.id) if last else None
    return {
        "pool": pool,
        "name": known.name,
        "same_filter": [mate for mate in state.same_filter(pool) if mate != pool],
        **status_of(state, pool, now_ms),
        "round": None if last is None else round_now(last),
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


def round_now(last: Round) -> dict[str, Any]:
    """Give a round's readings as they stand."""
    return {
        "id": last.id,
        "at": instant_text(last.at_ms),
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
            }
            for reading in current_readings(last)
        ],
    }


def heard(state: SiteState, last: Round) -> dict[str, str]:
    """Tell when, and through which device, the last round was heard of."""
    device = state.devices.get(last.through)
    return {
        "at": instant_text(last.recorded_ms),
        "through": last.through,
        "device": device.name if device else "",
    }


def open_actions(state: SiteState, pool: str, now_ms: int) -> list[dict[str, Any]]:
    """Give what waits for somebody: to be told, repeated, answered, waited for, tested."""
    found: list[dict[str, Any]] = []
    last = state.last_round(pool)
    verdict = state.verdicts.get(last.id) if last else None
    told = {row.about for row in state.told}
    if last is not None and verdict is None:
        found.append({"id": "not-judged-yet", "about": last.id})
    if last is not None and verdict is not None:
        asked = verdict.overall in FAILS or verdict.body.get("changed_to_pass")
        if asked and last.id not in told:
            found.append({"id": "tell", "about": last.id})
        if asks_for_repeat(verdict.body):
            found.append({"id": "repeat", "about": last.id})
    for stop in state.stops.get(pool, ()):
        if stop.entry not in told:
            found.append({"id": "tell", "about": stop.entry, "stop": stop.id})
        found.append({"id": "house-stop", "about": stop.entry, "stop": stop.id})
    return found + [dict(row) for row in blocks(state, pool, now_ms)]
