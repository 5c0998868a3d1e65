"""What to add: asked, begun and answered; an amount goes only to recorded competence."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from fastapi.responses import JSONResponse

from lanewater.interfaces.api.caller import Who
from lanewater.interfaces.api.routes.answering import PoolId, answer, known_pool
from lanewater.interfaces.api.schemas.pools import (
    AdditionAnswerSent,
    AdditionStartSent,
    AdviceSent,
)
from lanewater.interfaces.api.served import Site
from lanewater.service import additions, learned
from lanewater.service.actor import Actor
from lanewater.service.advice import advice_for
from lanewater.service.book import Book
from lanewater.service.permission import may
from lanewater.service.plan import plan_of

# A product or an amount is no business of somebody who may not dose; what was added is shown
# beside them to whoever sets the site up, who answers for its record.
ON_ITS_WAY = ("advice-given", "addition-started", "addition-answered")
WORDS = {
    "advice-given": "An amount was shown to somebody who may add it.",
    "addition-started": "Something is being added.",
    "added": "Something was added.",
    "not-added": "Nothing was added.",
    "unknown": "Nobody knows whether something was added.",
}
HOW_MUCH = ("product", "amount", "unit", "lot", "place")
SAID_TO_ALL = ("pool", "circuit", "advice", "addition", "answer", "name")
# How strong a product is and what it may be used for is known to whom it may be shown.
REGISTERED = "product-registered"


def advise(sent: AdviceSent, served: Site, caller: Who) -> JSONResponse:
    """Say what to add, or whom to call: an amount only for whom recorded competence allows it."""
    book = served.book
    return answer(advice_for(book, caller.actor, sent.given(), book.clock()))


def plan(sent: AdviceSent, served: Site, caller: Who) -> JSONResponse:
    """Say what it takes to reach the targets, or whom to call; what is for now, advice says."""
    book = served.book
    return answer(plan_of(book, caller.actor, sent.given(), book.clock()))


def start(sent: AdditionStartSent, served: Site, caller: Who) -> JSONResponse:
    """Say "adding it now"; every device shows it."""
    return answer(additions.start_addition(served.book, caller.actor, sent.given()))


def say_what_came(sent: AdditionAnswerSent, served: Site, caller: Who) -> JSONResponse:
    """Say whether it was added: a fact, so anybody may."""
    return answer(additions.answer_addition(served.book, caller.actor, sent.given()))


def without_amounts(
    book: Book, actor: Actor, lines: Iterable[Mapping[str, Any]]
) -> list[dict[str, Any]]:
    """Give lines of the record, without product and amount for somebody who may not dose."""
    return [dict(line) if may_see(book, actor, line) else without_amount(line) for line in lines]


def may_see(book: Book, actor: Actor, line: Mapping[str, Any]) -> bool:
    """Tell whether an actor may see everything that a line of the record says."""
    state = book.state
    if line["type"] not in (*ON_ITS_WAY, REGISTERED):
        return True
    fact = line["type"] == REGISTERED or line["body"].get("answer") == "added"
    if fact and may(state, actor, "set-up") == "yes":
        return True
    product = state.products.get(line["body"].get("product", ""))
    if product is None:
        return False
    substance = str(product.body["substance"])
    return not additions.why_not_amount(state, actor, substance, book.clock())


def without_amount(line: Mapping[str, Any]) -> dict[str, Any]:
    """Give a line with nothing in it that could be measured out, and a sentence without holes."""
    kept = {key: value for key, value in line["body"].items() if key in SAID_TO_ALL}
    words = WORDS.get(kept.get("answer", line["type"]))
    said = {} if words is None else {"words": words}
    return {**line, "body": kept, "withheld": True, **said}


def list_additions(pool: PoolId, served: Site, caller: Who) -> JSONResponse:
    """List a pool's additions with what the retest found, and what they teach of its water."""
    book = served.book
    found = learned.additions_of(book, known_pool(served, pool), book.clock())
    rows = [
        row if may_see_addition(book, caller.actor, row) else of_no_amount(row)
        for row in found["additions"]
    ]
    return answer({**found, "additions": rows})


def may_see_addition(book: Book, actor: Actor, row: Mapping[str, Any]) -> bool:
    """Tell whether an actor may see what was added, and how much; see `may_see`."""
    known = book.state.products.get(row["product"])
    if row["answer"] == "added" and may(book.state, actor, "set-up") == "yes":
        return True
    substance = str(known.body["substance"]) if known else row["product"]
    return not additions.why_not_amount(book.state, actor, substance, book.clock())


def of_no_amount(row: Mapping[str, Any]) -> dict[str, Any]:
    """Give an addition with nothing in it that could be measured out."""
    return {**row, **dict.fromkeys(HOW_MUCH, ""), "predicted": {}, "withheld": True}
