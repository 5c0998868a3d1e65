"""Set up a site: each thing is an entry, and setting it up again supersedes the earlier."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from lanewater.records.store import people as store
from lanewater.service.access import hashed_pin, new_first_key, random_pin
from lanewater.service.actor import SHELL, Actor
from lanewater.service.book import Book, LoadPack, Writing, create_book, new_id
from lanewater.service.clock import Clock, system_clock, zone
from lanewater.service.config import Config
from lanewater.service.duty_facts import EPOCH_DAY, days_open
from lanewater.service.grants import retire_pin
from lanewater.service.judging import local_date
from lanewater.service.packs import IDENTITY, load_pack
from lanewater.service.permission import require
from lanewater.service.rules_held import put_shipped
from lanewater.service.set_up_items import (
    circuit_body,
    closed_days_body,
    contact_row,
    duty_body,
    kit_body,
    person_parts,
    pool_body,
    product_body,
    reagent_body,
)
from lanewater.service.state import SiteState
from lanewater.terms.errors import InputError, RefusedError
from lanewater.terms.shapes import (
    Shape,
    either,
    flag,
    identity,
    map_of,
    matching,
    name,
    one_of,
    text,
)

RULES_ID = matching(IDENTITY, "the id of a rules pack, such as ca-qc, or none")
SITE = Shape(
    {"name": name, "timezone": text(64, shortest=1)},
    {
        "rules": either(one_of("none"), RULES_ID),
        "units": map_of(text(12), 8),
        "demo": flag,
    },
)
RULES = Shape({"rules": either(one_of("none"), RULES_ID)}, {"pool": identity})
UNITS = {
    "volume": ("m3", "L", "us-gal", "imp-gal"),
    "temperature": ("C", "F"),
    "dose": ("metric", "us"),
}
NO_RULES = "none"
OF_A_POOL = ("duty-set-up", "closed-days-set")


def new_site(
    config: Config,
    command: Mapping[str, Any],
    *,
    clock: Clock = system_clock,
    load: LoadPack = load_pack,
) -> dict[str, str]:
    """Make the record of a new site.

    Parameters
    ----------
    config : Config
        Says in which folder; it must not hold a site.
    command : mapping
        {"name", "timezone", "rules"?: pack id or "none", "units"?, "demo"?: bool}.
    clock : callable, optional
        Gives UTC milliseconds.
    load : callable, optional
        Gives a compiled rules pack by its id.

    Returns
    -------
    dict
        {"site", "first_key"}; the first key is shown this once and kept only as a hash.

    Raises
    ------
    InputError
        Naming the field.
    RefusedError
        Where the folder holds a site, or the rules cannot be a live site's.
    """
    SITE(command, "")
    zone(command["timezone"])
    check_units(command.get("units", {}))
    demo = command.get("demo", False)
    rules = command.get("rules", NO_RULES)
    chosen = rules_facts(load, rules, demo=demo)
    site = new_id(clock())
    book = create_book(config, site, clock=clock, load=load)
    try:
        with book.writing() as writing:
            body = {key: command[key] for key in ("name", "timezone", "units") if key in command}
            writing.timezone = command["timezone"]
            writing.append("site-set-up", body | ({"demo": True} if demo else {}), SHELL)
            if chosen is not None:
                put_shipped(book, rules, chosen["hash"])
            writing.append("rules-chosen", {"rules": rules}, SHELL, rules=chosen)
            key = new_first_key(writing)
    except BaseException:
        book.close()
        config.store.unlink(missing_ok=True)
        raise
    book.close()
    return {"site": site, "first_key": key}


def check_units(units: Mapping[str, str]) -> None:
    """Refuse a unit that pages cannot show."""
    for quantity, unit in units.items():
        if quantity not in UNITS:
            raise InputError(f"units.{quantity}", f"must be one of {', '.join(UNITS)}")
        if unit not in UNITS[quantity]:
            raise InputError(f"units.{quantity}", f"must be one of {', '.join(UNITS[quantity])}")


def rules_facts(load: LoadPack, rules: str, *, demo: bool) -> dict[str, str] | None:
    """Give what is put on record of chosen rules, None for no rules.

    Raises
    ------
    RefusedError
        For rules that are historic, and for what is no law on a live site.
    """
    if rules == NO_RULES:
        return None
    pack = load(rules)
    if pack["status"] == "historic":
        raise RefusedError(f"rules: {rules} is historic; a pool is run by rules that are in force")
    if not pack["law"] and not demo:
        raise RefusedError(f"rules: {rules} is no law; choose your authority's rules, or none")
    return {"id": rules, "edition": pack["edition"], "hash": pack["hash"]}


def add(book: Book, actor: Actor, what: str, item: Mapping[str, Any]) -> dict[str, str]:
    """Set up one thing; nothing is saved where a field does not fit.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Must be allowed to change the set-up.
    what : str
        pool, circuit, kit, reagent, product, person, contact, duty, closed-days or rules.
    item : mapping
        Its fields.

    Returns
    -------
    dict
        {"id"}, and for a person with "new_pin": {"pin"}, shown this once.

    Raises
    ------
    InputError
        Naming the field.
    """
    if what not in ADD:
        raise InputError("what", f"must be one of {', '.join(ADD)}, not {what!r}")
    if not isinstance(item, Mapping):
        raise InputError(what, "must be an object with named fields")
    require(book.state, actor, "set-up")
    with book.writing() as writing:
        return ADD[what](writing, actor, item)


def adder(
    kind: str, key: str, make: Callable[[Mapping[str, Any]], dict[str, Any]]
) -> Callable[[Writing, Actor, Mapping[str, Any]], dict[str, str]]:
    """Make the command that registers one kind of thing."""

    def put(writing: Writing, actor: Actor, item: Mapping[str, Any]) -> dict[str, str]:
        body = make(item)
        refuse_unknown(writing.state, kind, body)
        writing.append(kind, body, actor)
        return {"id": body[key]}

    return put


def refuse_unknown(state: SiteState, kind: str, body: Mapping[str, Any]) -> None:
    """Refuse a thing that hangs on another which is not set up."""
    if kind == "pool-set-up" and "circuit" in body and body["circuit"] not in state.circuits:
        raise InputError("circuit", f"{body['circuit']!r} is not set up; add the circuit first")
    if kind == "reagent-registered" and "kit" in body and body["kit"] not in state.kits:
        raise InputError("kit", f"{body['kit']!r} is not set up; add the kit first")
    if kind in OF_A_POOL and "pool" in body and body["pool"] not in state.pools:
        raise InputError("pool", f"{body['pool']!r} is not set up; add the pool first")
    for index, row in enumerate(body.get("approved", ())):
        if row["pool"] not in state.pools:
            raise InputError(f"approved[{index}].pool", f"{row['pool']!r} is not set up")


def add_pool(writing: Writing, actor: Actor, item: Mapping[str, Any]) -> dict[str, str]:
    """Set up a pool, and its own rules where it names some."""
    put = adder("pool-set-up", "pool", pool_body)(writing, actor, item)
    if "rules" in item:
        choose_rules(writing, actor, {"rules": item["rules"], "pool": put["id"]})
    return put


def choose_rules(writing: Writing, actor: Actor, item: Mapping[str, Any]) -> dict[str, str]:
    """Choose the rules of the site, or of one pool."""
    RULES(item, "")
    pool = item.get("pool")
    if pool is not None and pool not in writing.state.pools:
        raise InputError("pool", f"{pool!r} is not set up")
    chosen = rules_facts(writing.book.load, item["rules"], demo=writing.state.site.demo)
    if chosen is not None:
        put_shipped(writing.book, item["rules"], chosen["hash"])
    writing.append("rules-chosen", dict(item), actor, rules=chosen)
    return {"id": item["rules"]}


def add_person(writing: Writing, actor: Actor, item: Mapping[str, Any]) -> dict[str, str]:
    """Add a person, or change one; the name stays out of the record."""
    given = dict(item)
    pin = given.pop("pin", None)
    make_pin = given.pop("new_pin", False)
    if not isinstance(make_pin, bool) or (make_pin and pin is not None):
        raise InputError("new_pin", "true makes a PIN; leave it out where a PIN is given")
    pin = random_pin() if make_pin else pin
    body, known = person_parts(given)
    again = body["person"] in writing.state.people
    if again and forgotten(writing, body["person"]):
        raise RefusedError(f"{body['person']!r} was forgotten; add them as a new person")
    if pin is not None:
        known["pin_hash"] = hashed_pin(pin, "pin")
        retire_pin(writing, body["person"])
    store.put_person(writing.connection, body["person"], known)
    writing.append("person-changed" if again else "person-added", body, actor)
    if body.get("gone") or pin is not None:
        store.end_sessions_of(writing.connection, body["person"])
    return {"id": body["person"]} | ({"pin": str(pin)} if make_pin else {})


def forgotten(writing: Writing, person: str) -> bool:
    """Tell whether somebody was forgotten: gone, and no longer among the names."""
    return writing.state.people[person].gone and person not in store.people(writing.connection)


def refuse_opened(writing: Writing, body: Mapping[str, Any]) -> None:
    """Refuse a day on which a pool was opened on record: no test that was missed goes away."""
    state = writing.state
    scope = body.get("pool", "")
    held = {row["day"] for row in state.asked.get("closed_days", {}).get(scope, ())}
    asked = {row["day"] for row in body["days"]} - held
    if not asked:
        return
    for pool in [scope] if scope else state.pools:
        trail = writing.book.draft.trails.get(pool)
        words = [] if trail is None else trail.words.values()
        opened = {local_date(state, one.since_ms) for one in words if one.status == "open"}
        stood = days_open(state, pool, writing.book.clock())
        opened |= {date.fromordinal(day + EPOCH_DAY).isoformat() for day in stood}
        if late := sorted(asked & opened):
            raise RefusedError(f"days: {pool} was open on {late[0]}, which was no closed day")


def set_closed_days(writing: Writing, actor: Actor, item: Mapping[str, Any]) -> dict[str, str]:
    """Set the closed days of the site, or of one pool, in the place of those before."""
    body = closed_days_body(item)
    refuse_unknown(writing.state, "closed-days-set", body)
    refuse_opened(writing, body)
    writing.append("closed-days-set", body, actor)
    return {"id": body.get("pool", writing.site)}


def add_contact(writing: Writing, _actor: Actor, item: Mapping[str, Any]) -> dict[str, str]:
    """Add a line of the phone list, or change one; it stays out of the record."""
    row = contact_row(item)
    store.put_contact(writing.connection, row)
    return {"id": row["id"]}


ADD: dict[str, Callable[[Writing, Actor, Mapping[str, Any]], dict[str, str]]] = {
    "circuit": adder("circuit-set-up", "circuit", circuit_body),
    "pool": add_pool,
    "kit": adder("kit-registered", "kit", kit_body),
    "reagent": adder("reagent-registered", "reagent", reagent_body),
    "product": adder("product-registered", "product", product_body),
    "person": add_person,
    "contact": add_contact,
    "duty": adder("duty-set-up", "duty", duty_body),
    "closed-days": set_closed_days,
    "rules": choose_rules,
}
