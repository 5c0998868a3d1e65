"""Incidents: anybody begins one, everybody does the steps, somebody who may ends it, on record.

What is met is told by the kernel; that an incident is over is a person's decision, and so is the
opening of each pool after it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.kernel.deciding.incidentkinds import INCIDENTS, MAY_BE_LEFT
from lanewater.records.kinds_events import INCIDENT_NOTES, STEP_ANSWERS
from lanewater.service.actor import Actor
from lanewater.service.additions import known_pool
from lanewater.service.authority import site_said
from lanewater.service.book import Book, Writing, new_id
from lanewater.service.incident_facts import LONGEST_INCIDENT_MS
from lanewater.service.incidents_checked import hold_endings
from lanewater.service.incidents_told import open_incident, standing_of
from lanewater.service.opening import stated_instant
from lanewater.service.permission import NotAllowedError, may, person_of, require
from lanewater.service.state import SiteState
from lanewater.terms.errors import InputError, RefusedError
from lanewater.terms.shapes import (
    Shape,
    anything,
    flag,
    identity,
    list_of,
    one_of,
    text,
    whole,
    words,
)
from lanewater.terms.words import INCIDENT_KINDS

START = Shape(
    {"kind": one_of(*INCIDENT_KINDS), "pool": identity},
    {"pools": list_of(identity, 60, least=1), "at": anything, "nobody_in": flag, "words": words},
)
STEP = Shape(
    {"incident": identity, "step": text(60, shortest=1), "answer": one_of(*STEP_ANSWERS)},
    {"words": words},
)
ROUTE = Shape(
    {
        "incident": identity,
        "procedure": text(80, shortest=1),
        "route": text(80, shortest=1),
    }
)
NOTE = Shape(
    {"incident": identity, "what": one_of(*INCIDENT_NOTES)},
    {"count": whole(0, 100000), "words": words, "at": anything},
)
END = Shape({"incident": identity}, {"false_alarm": flag, "reason": words})
QUIET = Shape({"minutes": whole(1, 240)})


def start_incident(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """Begin an incident; anybody may. Its house stop opens on every pool of it with it.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Anybody, signed in or not.
    given : mapping
        {"kind", "pool", "pools"?, "at"?, "nobody_in"?, "words"?}; `at`, when it began, lies at most
        31 days back, and rounds that were on record before it was told of count for nothing in it;
        `pools` is never less than the
        pools on the same filter where the kind stops more than one pool.

    Returns
    -------
    dict
        {"incident", "entry", "pools"}.
    """
    START(given, "")
    with book.writing() as writing:
        state = writing.state
        pool = known_pool(state, given["pool"])
        at_ms = began_at(given, book.clock())
        body: dict[str, Any] = {
            "incident": f"inc-{new_id(book.clock())}",
            "kind": given["kind"],
            "pool": pool,
            "pools": pools_stopped(state, given["kind"], pool, given.get("pools")),
        }
        body |= {key: given[key] for key in ("nobody_in", "words") if key in given}
        entry = writing.append("incident-started", body, actor, at_ms=at_ms)
        hold_endings(writing, state, entry)
    return {"incident": body["incident"], "entry": entry.id, "pools": body["pools"]}


def began_at(given: Mapping[str, Any], now_ms: int) -> int:
    """Give when an incident began: as stated, else now; neither ahead nor of long ago.

    Raises
    ------
    InputError
        Where it is.
    """
    found = stated_instant(given, now_ms)
    if found < now_ms - LONGEST_INCIDENT_MS:
        raise InputError("at", "lies more than 31 days back")
    return found


def pools_stopped(
    state: SiteState, kind: str, pool: str, named: list[str] | None = None
) -> list[str]:
    """Give the pools that an incident stops: by its kind, or those named where it is the site's.

    Raises
    ------
    InputError
        Where the named ones leave out a pool that shares the water.
    """
    scope = INCIDENTS[kind]["scope"]
    least = [pool] if scope == "pool" else list(state.same_filter(pool))
    if named is None:
        found = list(state.pools) if scope == "site" else least
    else:
        for one in named:
            known_pool(state, one)
        if missing := [one for one in least if one not in named]:
            raise InputError("pools", f"leaves out {', '.join(missing)}, on the same filter")
        found = named
    return [pool, *(one for one in state.pools if one in found and one != pool)]


def step_incident(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """Say that a step was done, is not needed, or was not done after all.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Anybody on the list; where the step takes a named person's words, signed in.
    given : mapping
        {"incident", "step", "answer": done, not-needed or not-done, "words"?}.

    Returns
    -------
    dict
        {"entry"}.

    Raises
    ------
    RefusedError
        Where the step waits for another or for a reading, or is read from the record.
    """
    STEP(given, "")
    with book.writing() as writing:
        state = writing.state
        if person_of(state.people, actor) is None:
            raise NotAllowedError("a step is signed by somebody on the list")
        told = standing_of(book, state, given["incident"])
        hold_to_step(told, actor, given)
        body = {key: given[key] for key in ("incident", "step", "answer", "words") if key in given}
        entry = writing.append("incident-step-done", body | {"pool": told["pool"]}, actor)
        hold_endings(writing, state, entry)
    return {"entry": entry.id}


def hold_to_step(told: Mapping[str, Any], actor: Actor, given: Mapping[str, Any]) -> None:
    """Refuse an answer to a step that is not asked for, that waits, or that nobody ticks."""
    found = next((row for row in told["steps"] if row["id"] == given["step"]), None)
    if found is None:
        raise InputError("step", f"{given['step']!r} is not asked for in this incident")
    if found["measured"]:
        raise RefusedError(f"step: {found['id']} is read from the record, not said")
    if given["answer"] == "not-needed" and given["step"] not in MAY_BE_LEFT:
        raise InputError("answer", "this step cannot be left out")
    if given["answer"] == "done" and found["state"] == "locked":
        raise RefusedError(f"step: {found['id']} waits: {found['gate']}")
    if found["named"] and given["answer"] == "done":
        if not given.get("words"):
            raise InputError("words", "is missing: who was asked, and what they said")
        if not actor.verified:
            raise NotAllowedError("these are a named person's words: sign in with a PIN")


def choose_route(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """Choose one of the rules' own routes; another may be chosen later, and both stay on record.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Somebody who may end an incident or close a pool, signed in.
    given : mapping
        {"incident", "procedure", "route"}.

    Returns
    -------
    dict
        {"entry"}.

    Raises
    ------
    InputError
        Where the rules hold no such route, or an archived text gives no time.
    """
    ROUTE(given, "")
    with book.writing() as writing:
        state = writing.state
        hold_to_choice(state, actor)
        told = standing_of(book, state, given["incident"])
        routes = [
            route
            for procedure in told["procedures"]
            for route in procedure["routes"]
            if (procedure["id"], route["id"]) == (given["procedure"], given["route"])
        ]
        if not routes:
            raise InputError("route", "the rules hold no such route for this")
        if not routes[0]["may_choose"]:
            raise InputError("route", "is of an archived text, which gives no time")
        body = {key: given[key] for key in ("incident", "procedure", "route")}
        entry = writing.append("incident-route-chosen", body | {"pool": told["pool"]}, actor)
    return {"entry": entry.id}


def hold_to_choice(state: SiteState, actor: Actor) -> None:
    """Refuse whoever may neither close a pool nor end an incident."""
    if may(state, actor, "close") != "yes":
        require(state, actor, "end-incident")


def note_incident(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """Note that it was seen or heard again, how many people, or something in words; anybody may.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Anybody.
    given : mapping
        {"incident", "what": again, people or words, "count"?, "words"?, "at"?}.

    Returns
    -------
    dict
        {"entry"}.
    """
    NOTE(given, "")
    wanted = {"people": "count", "words": "words"}.get(given["what"])
    if wanted and wanted not in given:
        raise InputError(wanted, "is missing")
    with book.writing() as writing:
        state = writing.state
        row = open_incident(state, given["incident"])
        at_ms = stated_instant(given, book.clock())
        body = {key: given[key] for key in ("incident", "what", "count", "words") if key in given}
        entry = writing.append("incident-noted", body | {"pool": row["pool"]}, actor, at_ms=at_ms)
        hold_endings(writing, state, entry)
    return {"entry": entry.id}


def end_incident(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """End an incident where everything asked for is met, or as a false alarm with a reason.

    The house stops that it opened end with it; each pool stays closed until somebody opens it.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Somebody who may end an incident, signed in.
    given : mapping
        {"incident", "false_alarm"?, "reason"?}.

    Returns
    -------
    dict
        {"entry", "outcome", "pools"}.

    Raises
    ------
    RefusedError
        Naming what is not met.
    """
    END(given, "")
    false_alarm = given.get("false_alarm", False)
    if false_alarm and not given.get("reason"):
        raise InputError("reason", "is missing: why was it a false alarm?")
    with book.writing() as writing:
        require(writing.state, actor, "end-incident")
        told = standing_of(book, writing.state, given["incident"])
        if not told["may_end"] and not false_alarm:
            raise RefusedError(f"not met: {', '.join(told['why_not'])}")
        return ended(writing, actor, told, given)


def ended(
    writing: Writing, actor: Actor, told: Mapping[str, Any], given: Mapping[str, Any]
) -> dict[str, Any]:
    """Write that an incident is ended, with what was met then."""
    outcome = "false-alarm" if given.get("false_alarm") else "criteria-met"
    body = {
        "incident": told["incident"],
        "outcome": outcome,
        "pool": told["pool"],
        "criteria": [row["id"] for row in told["criteria"] if row["met"] == "yes"],
        **told["report"],
    }
    entry = writing.append("incident-ended", body, actor, reason=given.get("reason"))
    return {"entry": entry.id, "outcome": outcome, "pools": told["pools"]}


def set_quiet(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, int]:
    """Set how many minutes are waited after lightning was seen or thunder heard.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Somebody who may set the site up.
    given : mapping
        {"minutes": 1 to 240}.
    """
    QUIET(given, "")
    require(book.state, actor, "set-up")
    with book.writing() as writing:
        body = site_said(writing.state.site) | {"quiet_minutes": given["minutes"]}
        writing.append("site-set-up", body, actor)
    return {"minutes": given["minutes"]}
