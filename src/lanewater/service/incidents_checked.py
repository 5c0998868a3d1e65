"""An incident that was ended: whether what was asked for was met is worked out on the record.

A device ends one by what it knows, and what others wrote in that time may come before or after. An
ending that the record does not bear out is kept as it was said, and the incident goes on.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from lanewater.kernel.deciding.incidentrows import chosen_of
from lanewater.kernel.deciding.incidents import incident_now
from lanewater.kernel.deciding.standstills import holds_clock_of
from lanewater.records.entries import Entry
from lanewater.service.actor import Actor
from lanewater.service.book import Book, Writing
from lanewater.service.incident_facts import LONGEST_INCIDENT_MS, told_at
from lanewater.service.judging import JUDGING_ERRORS
from lanewater.service.round_given import EARLY_MS
from lanewater.service.rules_held import pack_or_why
from lanewater.service.state import SiteState

NOT_WORKED_OUT = "not-worked-out"
LINES = ("incident-step-done", "incident-noted", "incident-route-chosen")
READ = ("round-recorded", "reading-corrected")


def look_at_endings(writing: Writing, before: SiteState, round_id: str) -> None:
    """Let an incident go on that was ended on what a late or a corrected round does not bear out.

    Parameters
    ----------
    writing : Writing
        The transaction in which the round is judged: both are on record or neither.
    before : SiteState
        The site before the correction, or before the round was judged.
    round_id : str
        The round.
    """
    state, now_ms = writing.state, writing.book.clock()
    if touched := endings_read_in(state, round_id, now_ms):
        # What was not judged was not looked at either, as after a crash.
        looked = round_id in before.verdicts
        known = before if looked else without_round(state, round_id)
        hold_each(writing, known, touched, now_ms)


def without_round(state: SiteState, round_id: str) -> SiteState:
    """Give the state as if a round had never been taken."""
    rounds = {
        pool: tuple(one for one in held if one.id != round_id)
        for pool, held in state.rounds.items()
    }
    return replace(state, rounds=rounds)


def hold_endings(writing: Writing, before: SiteState, entry: Entry) -> None:
    """Let go on what an entry ends, or shows not to have been over, where the record says so.

    Parameters
    ----------
    writing : Writing
        The transaction, after the entry is taken in and what it holds is judged.
    before : SiteState
        The site before it was.
    entry : Entry
        What a device wrote, a round or correction that came later than it was taken, or what was
        said of an incident: circulation that stood still may hold the clock of another.
    """
    state, now_ms = writing.state, writing.book.clock()
    if entry.type in READ:
        look_at_endings(writing, before, entry.body.get("round", entry.id))
        return
    if entry.type == "incident-ended":
        # Without authority an entry ended nothing, and is noted as such.
        touched = [row for row in endings(state) if row["ended"]["entry"] == entry.id]
    elif entry.type in LINES or entry.type == "incident-started":
        about = state.incidents.get(entry.body["incident"], {})
        touched = [row for row in endings(state, now_ms) if is_touched(row, about)]
    else:
        return
    hold_each(writing, before, touched, now_ms)


def is_touched(row: Mapping[str, Any], about: Mapping[str, Any]) -> bool:
    """Tell whether what is said of an incident may show that another, or itself, was not over."""
    if not about:
        return False
    return row["incident"] == about["incident"] or holds_clock_of(dict(about), dict(row))


def hold_each(
    writing: Writing, before: SiteState, touched: list[Mapping[str, Any]], now_ms: int
) -> None:
    """Let each go on of which something is not met that was met before."""
    state = writing.state
    for row in touched:
        unmet = unmet_at_end(writing.book, state, row, now_ms)
        was = before.incidents.get(row["incident"], {})
        if unmet and "ended" in was:
            known = unmet_at_end(writing.book, before, was, now_ms)
            unmet = [one for one in unmet if one not in known]
        if unmet:
            body = {key: row[key] for key in ("incident", "pool", "pools")}
            body |= {"ended": row["ended"]["entry"], "unmet": unmet}
            writing.append("incident-continued", body, Actor(person="lanewater", method="device"))


def endings(state: SiteState, now_ms: int = 0) -> list[Mapping[str, Any]]:
    """Give the incidents that were ended as met; none of long before an instant."""
    return [
        row
        for row in state.incidents.values()
        if row.get("ended", {}).get("outcome") == "criteria-met"
        and row["ended"]["at"] > now_ms - LONGEST_INCIDENT_MS
    ]


def endings_read_in(state: SiteState, round_id: str, now_ms: int) -> list[Mapping[str, Any]]:
    """Give those that were going on at a pool when a round of it was taken."""
    found = state.round_by_id(round_id)
    if found is None:
        return []
    return [row for row in endings(state, now_ms) if was_read(row, found.pool, found.at_ms)]


def was_read(row: Mapping[str, Any], pool: str, at_ms: int) -> bool:
    """Tell whether a round was taken at a pool of an incident while it went on.

    One taken after the end, as before the reopening, asks nothing of what was over by then.
    """
    return pool in row["pools"] and row["at"] <= at_ms <= row["ended"]["at"]


def unmet_at_end(book: Book, state: SiteState, row: Mapping[str, Any], now_ms: int) -> list[str]:
    """Give what the record has not as met of an incident that was ended.

    It is asked twice: of what had been said and read by then, and of all that was said, as somebody
    who did not hear of the end may have taken back a step or heard thunder again.

    Parameters
    ----------
    book : Book
        The site's book.
    state : SiteState
        That holds it.
    row : mapping
        The incident, ended.
    now_ms : int
        UTC milliseconds.

    Returns
    -------
    list of str
        Criteria as `incident_now` names them, by the rules of the time it was ended; where they
        cannot be worked out, that.
    """
    at_ms = row["ended"]["at"]
    try:
        pack, _ = pack_or_why(book, state, row["pool"], at_ms)
        told = told_at(state, row, row["pool"])
        found: list[str] = incident_now(with_route_then(told, at_ms), pack, at_ms)["why_not"]
        later: list[str] = incident_now(told, pack, now_ms)["why_not"]
    except JUDGING_ERRORS:
        return [NOT_WORKED_OUT]
    return [*found, *(one for one in later if one not in found)]


def with_route_then(told: dict[str, Any], at_ms: int) -> dict[str, Any]:
    """Give an incident with the route chosen by an instant; the kernel sees to the rest."""
    # Two clocks need not agree to the minute.
    routes = [one for one in told["routes"] if one["at"] <= at_ms + EARLY_MS]
    return told | {"routes": routes, "route": chosen_of(routes)}
