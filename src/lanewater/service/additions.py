"""What is being added: a question that stays open until it is answered, and its wait."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.kernel.deciding.retesting import retest_times, water_blocks
from lanewater.people.competence import why_not_dose
from lanewater.service.actor import Actor
from lanewater.service.book import Book
from lanewater.service.clock import in_text
from lanewater.service.in_the_way import why_not_begun
from lanewater.service.judging import local_date
from lanewater.service.permission import NotAllowedError, may, person_of
from lanewater.service.pool_facts import amounts_of
from lanewater.service.state import Advice, SiteState
from lanewater.terms.errors import InputError, RefusedError
from lanewater.terms.shapes import Shape, decimal, identity, one_of, text, whole

SCOPES = ("pool", "circuit")

START = Shape(
    {"pool": identity},
    {
        "advice": identity,
        "product": identity,
        "amount": decimal,
        "unit": text(12, shortest=1),
        "wait_minutes": whole(0, 10080),
        "lot": text(40),
        "scope": one_of(*SCOPES),
    },
)
ANSWER = Shape(
    {"answer": one_of("added", "not-added", "unknown")},
    {
        "pool": identity,
        "addition": identity,
        "advice": identity,
        "product": identity,
        "amount": decimal,
        "unit": text(12, shortest=1),
        "wait_minutes": whole(0, 10080),
        "lot": text(40),
        "scope": one_of(*SCOPES),
    },
)
OF_AN_AMOUNT = ("amount", "unit", "wait_minutes", "lot", "scope", "strength", "density_kg_l")
AS_IN_USE = ("lot", "strength", "density_kg_l")
AMOUNT_UNITS = ("g", "kg", "mL", "L", "us-gal", "imp-gal", "us-fl-oz", "oz-weight", "lb")


def blocks(state: SiteState, pool: str, now_ms: int) -> list[dict[str, str]]:
    """Give what stands in the way of adding anything to a pool's circuit now.

    Parameters
    ----------
    state : SiteState
        The site.
    pool : str
        A pool; additions to any pool on the same filter count.
    now_ms : int
        UTC milliseconds.

    Returns
    -------
    list of dict
        {"id", "about", "pool", "until"?, "why", "do"}; ids are advice-unanswered, dose-running,
        wait, retest-first, addition-unknown.
    """
    found: list[dict[str, str]] = in_text(water_blocks(amounts_of(state, pool), now_ms))
    return found


def retest_instants(state: SiteState, pool: str) -> list[int]:
    """Give when the retests after additions are due that nobody did yet, in UTC milliseconds."""
    return retest_times(amounts_of(state, pool))


def why_not_amount(state: SiteState, actor: Actor, substance: str, now_ms: int) -> str:
    """Tell why an actor may not be shown an amount of a substance, "" where nothing is in the way.

    Returns
    -------
    str
        not-signed-in, role, no-competence-on-record, competence-not-yet, competence-expired, "".
    """
    person = person_of(state.people, actor)
    if person is None or not actor.verified:
        return "not-signed-in"
    if may(state, actor, "hand-dose") == "no":
        return "role"
    return why_not_dose(person.competences, substance, local_date(state, now_ms))


def competent_for(state: SiteState, actor: Actor, now_ms: int) -> frozenset[str]:
    """Give the substances on the site's list that an actor may dose by hand."""
    substances = {str(product.body["substance"]) for product in state.products.values()}
    return frozenset(name for name in substances if not why_not_amount(state, actor, name, now_ms))


def hold_to_competence(state: SiteState, actor: Actor, product: str, now_ms: int) -> None:
    """Refuse an addition by somebody whose recorded competence does not cover it."""
    known = state.products.get(product)
    substance = str(known.body["substance"]) if known else product
    if why_not_amount(state, actor, substance, now_ms):
        raise NotAllowedError(
            "adding by hand takes a person, signed in, whose recorded competence covers the product"
        )


def record_advice(book: Book, actor: Actor, body: Mapping[str, Any]) -> dict[str, str]:
    """Put an amount that is about to be shown on record; it asks to be answered.

    Raises
    ------
    RefusedError
        Where another addition is open on the circuit.
    NotAllowedError
        Where the actor's competence does not cover the product.
    """
    with book.writing() as writing:
        state = writing.state
        known_pool(state, body.get("pool"))
        hold_to_competence(state, actor, str(body.get("product")), book.clock())
        refuse_blocked(state, str(body["pool"]), book.clock())
        entry = writing.append("advice-given", body, actor)
        return {"id": entry.id}


def known_pool(state: SiteState, pool: Any) -> str:
    """Give a pool's id, refusing one that is not set up."""
    if not isinstance(pool, str) or pool not in state.pools:
        raise InputError("pool", f"{pool!r} is not set up here")
    return pool


def refuse_blocked(state: SiteState, pool: str, now_ms: int, without: str = "") -> None:
    """Refuse an addition while another is open on the circuit, and name it."""
    for found in blocks(state, pool, now_ms):
        if found["about"] != without:
            raise RefusedError(f"{found['id']}: {found['why']} {found['do']}")


def start_addition(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """Say "adding it now"; every device shows it as running.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Competent for the product, and signed in.
    given : mapping
        {"pool", "advice"} or {"pool", "product", "amount"?, "unit"?, "wait_minutes"?}.

    Returns
    -------
    dict
        {"addition": id}.
    """
    START(given, "")
    with book.writing() as writing:
        state, now = writing.state, book.clock()
        known_pool(state, given["pool"])
        advice = advice_of(state, given)
        if advice is not None and advice.answer:
            raise RefusedError(f"advice: is answered already: {advice.answer}")
        body = addition_body(state, given, advice)
        hold_to_competence(state, actor, body["product"], now)
        refuse_blocked(state, given["pool"], now, without=advice.id if advice else "")
        for found in why_not_begun(state, advice, now) if advice else ():
            raise RefusedError(f"{found['id']}: {found['why']} {found['do']}")
        entry = writing.append("addition-started", body, actor)
        return {"addition": entry.id}


def advice_of(state: SiteState, given: Mapping[str, Any]) -> Advice | None:
    """Find the advice that is meant."""
    if "advice" not in given:
        return None
    found = state.advices.get(given["advice"])
    if found is None or found.pool != given.get("pool", found.pool):
        raise InputError("advice", "is not on record for this pool")
    return found


def addition_body(
    state: SiteState, given: Mapping[str, Any], advice: Advice | None
) -> dict[str, Any]:
    """Give what is added: what was advised, unless something else is said."""
    advised = {} if advice is None else dict(advice.body)
    body: dict[str, Any] = {"pool": given.get("pool", advised.get("pool"))}
    circuit = state.pools[body["pool"]].circuit
    if circuit:
        body["circuit"] = circuit
    for key in ("product", "amount", "unit", "lot", "scope"):
        if key in given or key in advised:
            body[key] = given.get(key, advised.get(key))
    wait = max(row.get("wait_minutes", 0) for row in (given, advised, mixing(state, circuit)))
    if wait:
        body["wait_minutes"] = wait
    if advice is not None:
        body["advice"] = advice.id
    hold_to_list(state, body)
    # As it is on the list now: it may be registered anew with another strength or lot.
    in_use = state.products[body["product"]].body
    for key in AS_IN_USE:
        if in_use.get(key):
            body.setdefault(key, in_use[key])
    return body


def hold_to_list(state: SiteState, body: Mapping[str, Any]) -> None:
    """Refuse what is not on the site's list, and an amount without its unit."""
    if "product" not in body:
        raise InputError("product", "is missing: what is added?")
    if body["product"] not in state.products:
        raise InputError("product", f"{body['product']!r} is not on the site's list")
    if ("amount" in body) != ("unit" in body):
        raise InputError("unit" if "amount" in body else "amount", "is missing")
    if "unit" in body and body["unit"] not in AMOUNT_UNITS:
        raise InputError("unit", f"must be one of {', '.join(AMOUNT_UNITS)}")


def mixing(state: SiteState, circuit: str) -> dict[str, int]:
    """Give the wait that a circuit's stated mixing time asks for; empty where none is stated."""
    known = state.circuits.get(circuit)
    stated = known.body.get("mixing_minutes") if known else None
    return {} if stated is None else {"wait_minutes": stated}


def answer_addition(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """Say what came of an advice or of an addition; a fact, so anybody may say it.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Who says so.
    given : mapping
        {"answer": added|not-added|unknown} with "addition", or "advice", or "pool" and
        "product" for what was added without asking; "amount" and "unit" where they differ.

    Returns
    -------
    dict
        {"answer", "blocks": what now stands in the way of another addition}.
    """
    ANSWER(given, "")
    with book.writing() as writing:
        state, now = writing.state, book.clock()
        body = answer_body(state, given)
        if given["answer"] == "not-added":
            body = {key: value for key, value in body.items() if key not in OF_AN_AMOUNT}
        writing.append("addition-answered", body, actor)
        found = blocks(writing.state, body["pool"], now)
        return {"answer": given["answer"], "blocks": found}


def answer_body(state: SiteState, given: Mapping[str, Any]) -> dict[str, Any]:
    """Give the body of an answer."""
    started = state.additions.get(given.get("addition", ""))
    if "addition" in given:
        if started is None:
            raise InputError("addition", "is not on record")
        if started.answer not in ("", "unknown"):
            raise RefusedError(f"addition: is answered already: {started.answer}")
        known = {
            key: getattr(started, key) for key in ("pool", "product", "circuit", "lot", "scope")
        }
        body = {key: value for key, value in known.items() if value}
        body |= {key: given[key] for key in ("amount", "unit", "lot", "scope") if key in given}
        body["wait_minutes"] = max(started.wait_minutes, given.get("wait_minutes", 0))
        return {**body, "addition": started.id, "answer": given["answer"]}
    advice = advice_of(state, given)
    if advice is not None and advice.answer not in ("", "unknown"):
        raise RefusedError(f"advice: is answered already: {advice.answer}")
    if advice is None:
        known_pool(state, given.get("pool"))
    return {**addition_body(state, given, advice), "answer": given["answer"]}
