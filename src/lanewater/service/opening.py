"""Everyone out, and who opens, closes and reopens: people decide, by role, on record."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.kernel.deciding.mayopen import IN_CONFLICT, opening_now, why_reason
from lanewater.kernel.deciding.reopening import criteria_met, to_confirm
from lanewater.records.kinds import HOUSE_STOPS
from lanewater.records.kinds_events import CLOSURE
from lanewater.service.actor import Actor
from lanewater.service.additions import known_pool
from lanewater.service.book import Book
from lanewater.service.clock import MINUTE_MS, instant_ms
from lanewater.service.permission import require
from lanewater.service.pool_facts import lane_facts
from lanewater.service.state import SiteState
from lanewater.terms.errors import InputError, RefusedError
from lanewater.terms.shapes import Shape, anything, flag, identity, list_of, one_of, text, words

EARLY_MS = 5 * MINUTE_MS

OUT = Shape(
    {"pool": identity, "stop": one_of(*HOUSE_STOPS)},
    {"at": anything, "nobody_in": flag, "words": words},
)
END = Shape({"pool": identity, "reason": words}, {"stop": identity, "false_alarm": flag})
CRITERIA = list_of(text(200), 40)
OPEN = Shape({"pool": identity}, {"reason": words, "confirmed": CRITERIA})
SETTLE = Shape(
    {
        "pool": identity,
        "status": one_of("open", "closed"),
        "entries": list_of(identity, 40, least=2),
        "reason": words,
    },
    {"confirmed": CRITERIA},
)
CLOSE = Shape({"pool": identity, "kind": one_of("closed", "shut")}, {"reason": words} | CLOSURE)
TOLD = Shape({"pool": identity, "about": identity, "whom": identity}, {"how": text(60)})


def everyone_out(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """Call everyone out; anybody may, without signing in and without rules.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Anybody.
    given : mapping
        {"pool", "stop": why, "at"?, "nobody_in"?, "words"?}.

    Returns
    -------
    dict
        {"entry", "also_look": the other pools on the same filter}.
    """
    OUT(given, "")
    with book.writing() as writing:
        pool = known_pool(writing.state, given["pool"])
        at_ms = stated_instant(given, book.clock())
        body = {key: given[key] for key in ("pool", "stop", "nobody_in", "words") if key in given}
        entry = writing.append("everyone-out", body, actor, at_ms=at_ms)
        others = [mate for mate in writing.state.same_filter(pool) if mate != pool]
    return {"entry": entry.id, "also_look": others}


def stated_instant(given: Mapping[str, Any], now_ms: int) -> int:
    """Give when something happened: as stated, else now; never in the future."""
    if given.get("at") is None:
        return now_ms
    found = instant_ms(given["at"], "at")
    if found > now_ms + EARLY_MS:
        raise InputError("at", "lies in the future")
    return found


def end_house_stop(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """End a house stop, with a reason; the pool stays closed until somebody opens it.

    Raises
    ------
    NotAllowedError
        For anybody who may not reopen a pool.
    """
    END(given, "")
    with book.writing() as writing:
        state = writing.state
        pool = known_pool(state, given["pool"])
        require(state, actor, "end-house-stop")
        standing = [stop.id for stop in state.stops.get(pool, ())]
        ended = [given["stop"]] if "stop" in given else standing
        if not standing or not set(ended) <= set(standing):
            raise RefusedError(f"stop: no such house stop stands at {pool}")
        body: dict[str, Any] = {"pool": pool, "stops": ended}
        if given.get("false_alarm"):
            body["false_alarm"] = True
        entry = writing.append("house-stop-ended", body, actor, reason=given["reason"])
    return {"entry": entry.id, "ended": ended}


def opening_answer(book: Book, pool: str, now_ms: int) -> dict[str, Any]:
    """Tell whether a pool may be opened by somebody who may open pools.

    Returns
    -------
    dict
        {"may": "open", "reason" (only with a reason, and marked) or "never", "why": ids}.
    """
    return opening_now(lane_facts(book, book.state, pool, now_ms), now_ms)


def open_pool(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """Open a pool, on the word of a person who may.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        A listed person, signed in.
    given : mapping
        {"pool", "reason"?, "confirmed"?}; a reason is needed where the last round does not meet the
        rules, is not judged, by nobody who is verified, out of date or changed after its result;
        the opening is then marked. What the rules want a person to see to before a pool that was
        closed is opened stands in `confirmed`, by its id.

    Returns
    -------
    dict
        {"entry", "marked": why it needed a reason}.

    Raises
    ------
    RefusedError
        Where a house stop stands, the rules say close, something is being added, an authority's
        order stands, or what the rules want before reopening is not met or not known.
    """
    OPEN(given, "")
    with book.writing() as writing:
        state = writing.state
        pool = known_pool(state, given["pool"])
        require(state, actor, "open")
        opening = state.openings.get(pool)
        if opening is not None and opening.status == "open":
            raise RefusedError(f"{pool} is open already")
        answer = opening_answer(book, pool, book.clock())
        if answer["may"] == "never":
            raise RefusedError(f"{pool} stays closed: {', '.join(answer['why'])}")
        if answer["may"] == "reason" and "reason" not in given:
            raise InputError("reason", f"is needed to open now: {', '.join(answer['why'])}")
        body = {"pool": pool} | opened_on(state, pool, answer["why"])
        body |= criteria_said(book, pool, given)
        entry = writing.append("pool-opened", body, actor, reason=given.get("reason"))
    return {"entry": entry.id, "marked": answer["why"]}


def opened_on(state: SiteState, pool: str, marked: list[str]) -> dict[str, Any]:
    """Give the round that an opening rests on, and why it took a reason."""
    last = state.last_round(pool)
    found: dict[str, Any] = {"marked": marked} if marked else {}
    if last is not None:
        verdict = state.verdicts.get(last.id)
        found |= {"round": last.id, "overall": "not-judged" if verdict is None else verdict.overall}
    return found


def criteria_said(book: Book, pool: str, given: Mapping[str, Any]) -> dict[str, Any]:
    """Give what the rules wanted before an opening and was met, or said to be so by who opens.

    Raises
    ------
    InputError
        Naming what has to be confirmed and was not.
    """
    now_ms = book.clock()
    facts = lane_facts(book, book.state, pool, now_ms)
    said = list(given.get("confirmed", ()))
    missing = [row for row in to_confirm(facts, now_ms) if row not in said]
    if missing:
        raise InputError("confirmed", f"must say that these were seen to: {', '.join(missing)}")
    found = criteria_met(facts, said, now_ms)
    return {"criteria": found} if found else {}


def settle_opening(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """Decide, where two devices wrote of a pool without knowing of each other, how it stands.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        A listed person who may open pools, signed in.
    given : mapping
        {"pool", "status": open or closed, "entries": every line in conflict, as the Now page told
        them, "reason"}. What was written stays.

    Returns
    -------
    dict
        {"entry", "marked": why an opening would have needed a reason}.

    Raises
    ------
    RefusedError
        Where nothing is in conflict, other lines are by now, or it may not be open.
    """
    SETTLE(given, "")
    with book.writing() as writing:
        state = writing.state
        pool = known_pool(state, given["pool"])
        require(state, actor, "open")
        wanted = in_conflict(state, pool)
        if not wanted:
            raise RefusedError(f"nothing is in conflict at {pool}")
        if set(given["entries"]) != set(wanted):
            raise RefusedError(f"{pool}: other lines are in conflict now; look again")
        marked: list[str] = []
        body: dict[str, Any] = {"pool": pool, "status": given["status"], "entries": wanted}
        if given["status"] == "open":
            answer = opening_answer(book, pool, book.clock())
            blocked = answer["may"] == "never"
            others = [why for why in answer["why"] if why != IN_CONFLICT]
            if blocked and others:
                raise RefusedError(f"{pool} stays closed: {', '.join(others)}")
            marked = why_reason(lane_facts(book, state, pool, book.clock()), book.clock())
            body |= opened_on(state, pool, marked) | criteria_said(book, pool, given)
        entry = writing.append("opening-settled", body, actor, reason=given["reason"])
    return {"entry": entry.id, "marked": marked}


def in_conflict(state: SiteState, pool: str) -> list[str]:
    """Give the lines about a pool that contradict each other, the earliest claimed first."""
    sides = [side for row in state.disputes.get(pool, ()) for side in (row.opened, row.closed)]
    sides.sort(key=lambda side: (side.since_ms, side.entry))
    return list(dict.fromkeys(side.entry for side in sides))


def close_pool(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """Close a pool for a reason, or shut it for the hours.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Somebody who may close pools, signed in.
    given : mapping
        {"pool", "kind": closed or shut, "reason": of a closing, "clause"?, "scope"?: pool, circuit
        (each pool on the same filter is closed) or site, "by_order"?: with "authority" and
        "reference"?, "incident"?, "round"?: what it is closed for}.

    Returns
    -------
    dict
        {"entry", "closed": [{"pool", "entry"}], the pool itself first}.

    Raises
    ------
    InputError
        Naming the field.
    """
    CLOSE(given, "")
    hold_to_closing(given)
    with book.writing() as writing:
        state = writing.state
        pool = known_pool(state, given["pool"])
        require(state, actor, "close")
        details = {key: given[key] for key in CLOSURE if key in given}
        found = []
        for one in closed_together(state, pool, given.get("scope", "pool")):
            body = {"pool": one, "kind": given["kind"]} | details
            entry = writing.append("pool-closed", body, actor, reason=given.get("reason"))
            found.append({"pool": one, "entry": entry.id})
    return {"entry": found[0]["entry"], "closed": found}


def hold_to_closing(given: Mapping[str, Any]) -> None:
    """Hold a closing to what it has to say."""
    if given["kind"] == "closed" and "reason" not in given:
        raise InputError("reason", "is missing: why is it closed?")
    if given["kind"] == "shut":
        for key in CLOSURE:
            if key in given:
                raise InputError(key, "is of a closing for cause, not of shutting for the hours")
    if given.get("by_order") and not given.get("authority"):
        raise InputError("authority", "is missing: by whose order is it closed?")
    if not given.get("by_order"):
        for key in ("authority", "reference"):
            if key in given:
                raise InputError(key, "is of a closing by order")


def closed_together(state: SiteState, pool: str, scope: str) -> list[str]:
    """Give the pools that one closing closes, the one it is said of first."""
    whole = list(state.pools) if scope == "site" else list(state.same_filter(pool))
    return [pool] if scope == "pool" else [pool, *(one for one in whole if one != pool)]


def told(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """Keep that somebody was told about a round or a stop."""
    TOLD(given, "")
    with book.writing() as writing:
        known_pool(writing.state, given["pool"])
        if not writing.known(given["about"]):
            raise InputError("about", "is not on record")
        body = {key: given[key] for key in ("pool", "about", "whom", "how") if key in given}
        entry = writing.append("told", body, actor)
    return {"entry": entry.id}
