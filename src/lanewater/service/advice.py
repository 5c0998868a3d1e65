"""What to add, if this person may know it; shown amounts are on record until answered."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

from lanewater.dosing.advice import CALL_ROLES, Tell, advise_for
from lanewater.dosing.request import ANSWERS, QUESTIONS, AdviceRequest, Asked
from lanewater.service.actor import Actor
from lanewater.service.additions import competent_for, known_pool, record_advice
from lanewater.service.advice_request import request_for, wait_minutes
from lanewater.service.book import Book
from lanewater.service.clock import instant_text
from lanewater.service.constants import load_constants
from lanewater.service.directory import people
from lanewater.service.judging import ENGINE, storable
from lanewater.service.rules_held import pack_of
from lanewater.service.state import Reading, SiteState, current_readings
from lanewater.terms.parameters import PARAMETERS
from lanewater.terms.shapes import Shape, flag, identity, one_of

GIVEN = Shape(
    {
        "pool": identity,
        "questions": Shape({}, {name: one_of(*ANSWERS) for name in QUESTIONS}),
    },
    {"volume_of": one_of("pool", "circuit"), "product": identity, "accept_guess": flag},
)
ON_RECORD = ("substance", "low", "high", "purpose")


def advice_for(book: Book, actor: Actor, given: Mapping[str, Any], now_ms: int) -> dict[str, Any]:
    """Answer "what do I add?" for a pool's last round.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Who asks. Only a person signed in, whose recorded competence covers the product, gets an
        amount; everybody else whom to call and what to say.
    given : mapping
        {"pool", "questions": {everybody_out, pump_running, anything_added, looked: yes, no or
        unknown}, "volume_of"?: pool or circuit, "product"?, "accept_guess"?}.
    now_ms : int
        UTC milliseconds.

    Returns
    -------
    dict
        The wire form of dosing.advice; "advice" is the id of its line where an amount is shown,
        which stays an open question until it is answered.
    """
    GIVEN(given, "")
    pool = known_pool(book.state, given["pool"])
    may_dose = competent_for(book.state, actor, now_ms)
    if not may_dose:
        return called(book, told_of(book.state, pool))
    # One transaction: nobody else may be shown an amount between the question and the answer.
    with book.writing() as writing:
        state = writing.state
        pack = pack_of(book, state, pool)
        request = request_for(state, pool, given, pack, now_ms)
        answer = advise_for(load_constants(), request, may_dose, told_of(state, pool)).as_dict()
        if answer["state"] == "call":
            return called(book, told_of(state, pool))
        if answer["state"] != "add":
            return on_the_wire(answer)
        body = record_body(state, pool, request, answer)
        advice = record_advice(book, actor, body)["id"]
    return {**on_the_wire(answer), "advice": advice}


def called(book: Book, tell: Tell) -> dict[str, Any]:
    """Give whom to call, by name and number, and what to say; nothing of any amount."""
    answer = advise_for((), NOTHING_KNOWN, frozenset(), tell).as_dict()
    answer["people"] = [
        {"name": row["name"], "phone": row.get("phone", ""), "roles": row["roles"]}
        for row in people(book)
        if set(row["roles"]) & set(CALL_ROLES)
    ]
    return answer


NOTHING_KNOWN = AdviceRequest(at=0, case={})


def told_of(state: SiteState, pool: str) -> Tell:
    """Give what anybody may say of a pool on the telephone."""
    last = state.last_round(pool)
    verdict = state.verdicts.get(last.id) if last else None
    rows: list[tuple[str, str]] = []
    if last is not None:
        for reading in current_readings(last):
            name = PARAMETERS[reading.parameter].name
            rows.append((f"{name} {reading.point}".strip(), spoken(reading)))
    return Tell(
        pool=state.pools[pool].name,
        readings=tuple(rows),
        verdict=verdict.overall if verdict else "not-judged",
        stops=tuple(stop.id for stop in state.stops.get(pool, ())),
    )


def spoken(reading: Reading) -> str:
    """Give a reading as it is said: the number with its unit and dilution, or the word."""
    value = " to ".join(reading.between) if reading.between is not None else reading.value
    times = f" x{reading.dilution}" if reading.dilution != 1 else ""
    return f"{value} {reading.unit}".strip() + times


def record_body(
    state: SiteState, pool: str, asked: Asked, answer: Mapping[str, Any]
) -> dict[str, Any]:
    """Give what goes on record of an amount that is about to be shown."""
    last = state.last_round(pool)
    known = state.pools[pool]
    request = asked.for_kernel()
    body: dict[str, Any] = {
        "pool": pool,
        "round": last.id if last else "",
        "product": answer["product"],
        "amount": answer["amount"],
        "unit": answer["unit"],
        "wait_minutes": wait_minutes(answer["wait_s"]),
        "scope": request["volume"].get("of", ""),
        "place": answer["place_words"],
        "why": answer["why"],
        "questions": request["questions"],
        "targets": {name: list(band) for name, band in known.targets.items()},
        "borrowed": [timed(row) for row in answer["borrowed"]],
        "predicted": dict(answer["predicted"]),
        "assumptions": [f"{row['id']}: {row['text']}" for row in answer["assumed"]],
        "cautions": [caution["id"] for caution in answer["cautions"]],
        "retest_points": answer["retest"]["points"],
        "engine": ENGINE,
        "hash": constants_hash(),
        **{key: answer[key] for key in ON_RECORD},
    }
    if known.circuit:
        body["circuit"] = known.circuit
    if answer["jug"]:
        body["tool"] = answer["jug"]
    stored: dict[str, Any] = storable(body)
    return stored


def constants_hash() -> str:
    """Give the SHA-256 of the constants an amount was worked out with."""
    return hashlib.sha256(json.dumps(load_constants()).encode()).hexdigest()


def timed(row: Mapping[str, Any]) -> dict[str, Any]:
    """Give a borrowed value with its time as text."""
    return {**row, "at": instant_text(row["at"] * 1000)}


def on_the_wire(answer: Mapping[str, Any]) -> dict[str, Any]:
    """Give an answer with its times as text."""
    found = dict(answer)
    if "borrowed" in found:
        found["borrowed"] = [timed(row) for row in found["borrowed"]]
    if "retest" in found:
        retest = found["retest"]
        found["retest"] = {**retest, "not_before": instant_text(retest["not_before"] * 1000)}
    return found
