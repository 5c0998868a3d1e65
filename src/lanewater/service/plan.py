"""The whole way to the targets, if this person may know it; the advice alone says what is now."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.dosing.plan import plan_for
from lanewater.service.actor import Actor
from lanewater.service.additions import competent_for, known_pool
from lanewater.service.advice import GIVEN, called, timed, told_of
from lanewater.service.advice_request import request_for
from lanewater.service.book import Book
from lanewater.service.constants import load_constants
from lanewater.service.rules_held import pack_of

IN_TEXT = ("amount", "size", "low", "high")


def plan_of(book: Book, actor: Actor, given: Mapping[str, Any], now_ms: int) -> dict[str, Any]:
    """Answer "what will it take?" for a pool's last round; nothing goes on record.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Who asks. Only a person signed in, whose recorded competence covers every product of the
        plan, gets one; everybody else whom to call and what to say.
    given : mapping
        As `advice_for` takes it.
    now_ms : int
        UTC milliseconds.

    Returns
    -------
    dict
        The wire form of dosing.plan. Its first step is named without an amount: that is asked of
        the advice, where it goes on record before it is shown. No later step is for now.
    """
    GIVEN(given, "")
    state = book.state
    pool = known_pool(state, given["pool"])
    may_dose = competent_for(state, actor, now_ms)
    if not may_dose:
        return called(book, told_of(state, pool))
    pack = pack_of(book, state, pool)
    request = request_for(state, pool, given, pack, now_ms)
    answer = plan_for(load_constants(), request, may_dose, told_of(state, pool)).as_dict()
    if answer["state"] == "call":
        return called(book, told_of(state, pool))
    return on_the_wire(answer)


def on_the_wire(answer: Mapping[str, Any]) -> dict[str, Any]:
    """Give a plan with its amounts and its times as text."""
    found = dict(answer)
    if "borrowed" in found:
        found["borrowed"] = [timed(row) for row in found["borrowed"]]
    for name in ("steps", "totals"):
        found[name] = [in_text(row) for row in found[name]]
    return found


def in_text(row: Mapping[str, Any]) -> dict[str, Any]:
    """Give a step or a total with its amounts as decimal text."""
    return {key: str(value) if key in IN_TEXT else value for key, value in row.items()}
