"""The handover: what the next shift must know, written from the record, and who took over."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from lanewater.kernel.deciding.doubt import doubtful_parameters
from lanewater.kernel.deciding.handover import HANDED_ROUNDS, MOST_MARKS, handover
from lanewater.service.actor import UNLISTED, Actor
from lanewater.service.book import Book
from lanewater.service.clock import instant_text, known_instant
from lanewater.service.judging import kernel_readings, kits_of
from lanewater.service.now import now_page
from lanewater.service.permission import NotAllowedError, person_of
from lanewater.service.state import Round, SiteState
from lanewater.terms.errors import InputError
from lanewater.terms.shapes import Shape, instant, list_of, text, whole

ACKNOWLEDGED = Shape(
    {"made": instant, "open": list_of(text(120), MOST_MARKS)}, {"more": whole(0, 10**6)}
)
# A device's clock may be a little ahead of this one.
AHEAD_MS = 300_000


def handover_page(book: Book, now_ms: int, person: str = "") -> dict[str, Any]:
    """Give the handover as it is now.

    Parameters
    ----------
    book : Book
        The site's book.
    now_ms : int
        UTC milliseconds.
    person : str
        Who looks, "" where nobody is signed in.

    Returns
    -------
    dict
        As `kernel.deciding.handover.handover`, with "made" and "taken": who read it last.
    """
    facts = handover_facts(book.state)
    case = {
        "now": now_ms // 1000,
        "person": "" if person == UNLISTED else person,
        "rows": now_page(book, now_ms)["pools"],
        "unsent": 0,
        **{key: facts[key] for key in ("listed", "rounds", "acts")},
    }
    return {"made": instant_text(now_ms), **handover(case), "taken": facts["taken"]}


def handover_facts(state: SiteState) -> dict[str, Any]:
    """Give what a device needs beside the lanes to write the handover itself; no "now" is in it.

    Returns
    -------
    dict
        {"listed": people on the list, "rounds": {pool: rounds in the kernel's form}, "acts":
        [{"by", "at"}] what each person last did, "taken": {"by", "at"} or None}.
    """
    taken = state.handovers[-1] if state.handovers else None
    return {
        "listed": sum(not person.gone for person in state.people.values()),
        "rounds": {pool: rounds_handed(state, pool) for pool in state.pools},
        "acts": [{"by": by, "at": at} for by, at in sorted(last_acts(state).items())],
        "taken": None if taken is None else {"by": taken.by, "at": instant_text(taken.at_ms)},
    }


def rounds_handed(state: SiteState, pool: str) -> list[dict[str, Any]]:
    """Give a pool's latest rounds as the kernel takes them, oldest first."""
    kits = kits_of(state)
    rounds = [row for row in state.rounds.get(pool, ()) if row.purpose == "round"]
    return [
        {
            "at": found.at_ms // 1000,
            "readings": kernel_readings(found, kits),
            "doubtful": in_doubt(state, found),
        }
        for found in rounds[-HANDED_ROUNDS:]
    ]


def in_doubt(state: SiteState, found: Round) -> list[str]:
    """Give the parameters of a round that nothing is built on."""
    verdict = state.verdicts.get(found.id)
    findings = [] if verdict is None else verdict.body.get("findings", ())
    return doubtful_parameters([{"parameters": [], **row} for row in findings])


def last_acts(state: SiteState) -> dict[str, int]:
    """Give when each person, or somebody not on the list, last did something here, in UTC s."""
    found: dict[str, int] = {}
    for by, at_ms in acts(state):
        found[by] = max(found.get(by, 0), at_ms // 1000)
    return found


def acts(state: SiteState) -> Iterator[tuple[str, int]]:
    """Give who did what the state knows of, and when."""
    for rounds in state.rounds.values():
        yield from ((row.by, row.at_ms) for row in rounds)
    for stops in state.stops.values():
        yield from ((row.by, row.since_ms) for row in stops)
    yield from ((row.by, row.since_ms) for row in state.openings.values())
    yield from ((row.by, row.at_ms) for row in state.told)
    yield from ((row.by, row.at_ms) for row in state.advices.values())
    yield from ((row.by, row.started_ms) for row in state.additions.values())
    yield from ((row.by, row.at_ms) for row in state.handovers)


def acknowledge(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, str]:
    """Put on record that somebody read the handover and took over.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Somebody on the list, signed in.
    given : mapping
        {"made": when what was read was worked out, "open": what stood open, "more"?}.

    Raises
    ------
    InputError
        Naming the field.
    NotAllowedError
        Where nobody on the list is signed in.
    """
    ACKNOWLEDGED(given, "")
    if person_of(book.state.people, actor) is None or not actor.verified:
        raise NotAllowedError("a handover is taken over by somebody on the list, signed in")
    if known_instant(given["made"]) > book.clock() + AHEAD_MS:
        raise InputError("made", "lies ahead")
    body = {key: given[key] for key in ("made", "open", "more") if key in given}
    with book.writing() as writing:
        entry = writing.append("handover-acknowledged", body, actor)
    return {"entry": entry.id}
