"""Set-up: said once, superseded by saying it again, refused by field, whole or not at all."""

from __future__ import annotations

from typing import Any

import pytest
from tests.baths import Baths

from lanewater.service.actor import ANYBODY, SHELL, Actor
from lanewater.service.directory import contacts, names, people
from lanewater.service.permission import NotAllowedError
from lanewater.service.set_up import add
from lanewater.terms.errors import InputError, LanewaterError, RefusedError

FACTS = {"kind": "pool"}
P = {"name": "A", "facts": FACTS}
BORAX = {"name": "A", "substance": "borax", "method": "by-hand"}
NOBODY = {"name": "A", "initials": "A", "roles": []}
STRONG = {"value": "12.5", "unit": "g-l", "on": "2026-01-01"}
EXPIRED = {"parameter": "ph", "lot": "1", "expires_on": "2026-01-01"}


def hours(day: int, opens: str = "06:00") -> dict[str, Any]:
    """Give an opening that closes at seven."""
    return {"day": day, "opens": opens, "closes": "07:00"}


def span(parameter: str) -> dict[str, str]:
    """Give a range that stands upside down."""
    return {"parameter": parameter, "low": "8", "high": "7"}


def test_setting_up_again_supersedes_and_keeps_the_chosen_rules(baths: Baths) -> None:
    book = baths.book
    add(book, SHELL, "rules", {"rules": "au-vic", "pool": "plunge"})
    add(book, SHELL, "pool", {"pool": "plunge", "name": "Cold plunge", "facts": FACTS})
    assert book.state.pools["plunge"].name == "Cold plunge"
    assert book.state.rules_of("plunge").id == "au-vic"
    assert book.state.rules_of("main").id == "ca-qc"
    add(book, SHELL, "rules", {"rules": "none", "pool": "plunge"})
    assert book.state.rules_of("plunge").id == ""


@pytest.mark.parametrize(
    ("unit", "value", "m3"),
    [
        ("m3", "312.5", "312.5"),
        ("L", "8000", "8"),
        ("us-gal", "100000", "378.541178"),
        ("imp-gal", "100000", "454.609"),
    ],
)
def test_a_volume_is_kept_as_typed_and_in_m3(baths: Baths, unit: str, value: str, m3: str) -> None:
    item = {
        "name": "P",
        "facts": FACTS,
        "volume": {"value": value, "unit": unit},
        "volume_known": "drawing",
    }
    identity = add(baths.book, SHELL, "pool", item)["id"]
    assert baths.book.state.pools[identity].volume_m3 == m3


@pytest.mark.parametrize(
    ("what", "item", "field"),
    [
        ("pool", {"facts": FACTS}, "name"),
        ("pool", {"name": "東京", "facts": FACTS}, "name"),
        ("pool", {"name": "A"}, "facts"),
        ("pool", {"name": "A", "facts": {"kind": "lake"}}, "facts.kind"),
        ("pool", {"name": "A", "facts": {"zz": "1"}}, "facts.zz"),
        ("pool", P | {"circuit": "nope"}, "circuit"),
        ("pool", P | {"volume_m3": "10"}, "volume_known"),
        ("pool", P | {"volume_m3": "0", "volume_known": "guess"}, "volume_m3.value"),
        ("pool", P | {"volume": {"value": "1", "unit": "gal"}}, "volume.unit"),
        ("pool", P | {"volume": {"value": "NaN", "unit": "m3"}}, "volume.value"),
        ("pool", P | {"volume": "10"}, "volume"),
        ("pool", P | {"interval_minutes": 0}, "interval_minutes"),
        ("pool", P | {"interval_minutes": True}, "interval_minutes"),
        ("pool", P | {"hours": [hours(7)]}, "hours[0].day"),
        ("pool", P | {"hours": [hours(1, "25:00")]}, "hours[0].opens"),
        ("pool", P | {"hours": [hours(1, "07:00")]}, "hours[0].opens"),
        ("pool", P | {"targets": [span("ph")]}, "targets[0].low"),
        ("pool", P | {"targets": [span("luck")]}, "targets[0].parameter"),
        ("circuit", {"name": "A", "volume_m3": "10", "volume_known": "guess"}, "balance_tank"),
        ("kit", {"name": "A", "kind": "crystal-ball"}, "kind"),
        ("kit", {"name": "A", "kind": "strips", "ranges": [span("ph")]}, "ranges[0]"),
        ("reagent", EXPIRED | {"expires_on": "soon"}, "expires_on"),
        ("reagent", EXPIRED | {"kit": "zz"}, "kit"),
        ("product", {"name": "A", "substance": "Bleach!", "method": "by-hand"}, "substance"),
        ("product", {"name": "A", "substance": "borax", "method": "by-helicopter"}, "method"),
        ("product", BORAX | {"approved": [{"pool": "zz", "purpose": "x"}]}, "approved[0].pool"),
        ("product", BORAX | {"strength": STRONG | {"value": "0"}}, "strength.value"),
        ("person", {"name": "A", "initials": "A", "roles": ["king"]}, "roles[0]"),
        ("person", NOBODY | {"pin": "123456"}, "pin"),
        ("person", NOBODY | {"pin": 283746}, "pin"),
        ("person", NOBODY | {"pin": "283746", "new_pin": True}, "new_pin"),
        ("person", {"initials": "A", "roles": []}, "name"),
        ("contact", {"name": "A", "phone": "112", "kind": "friend"}, "kind"),
        ("contact", {"name": "\ud800", "phone": "112", "kind": "other"}, "name"),
        ("rules", {"rules": "ca-qc", "pool": "zz"}, "pool"),
        ("rules", {"rules": 5}, "rules"),
        ("throne", {}, "what"),
        ("pool", [1], "pool"),
    ],
)
def test_what_does_not_fit_is_refused_by_its_field_and_nothing_is_saved(
    baths: Baths, what: str, item: Any, field: str
) -> None:
    before = baths.book.state.index
    with pytest.raises(InputError) as caught:
        add(baths.book, SHELL, what, item)
    assert caught.value.field == field
    assert baths.book.state.index == before


@pytest.mark.parametrize("rules", ["common-practice", "zz-nowhere"])
def test_rules_that_no_live_site_may_be_run_by_are_refused(baths: Baths, rules: str) -> None:
    with pytest.raises(LanewaterError):
        add(baths.book, SHELL, "rules", {"rules": rules})
    assert baths.book.state.site.rules.id == "ca-qc"


def test_historic_rules_cannot_be_chosen(baths: Baths) -> None:
    def load(_identity: str) -> dict[str, Any]:
        return {"status": "historic", "law": True, "edition": "1964", "hash": "0"}

    baths.book.load = load
    with pytest.raises(RefusedError, match="historic"):
        add(baths.book, SHELL, "rules", {"rules": "us-old"})


def test_a_historic_edition_is_refused_as_such(baths: Baths) -> None:
    with pytest.raises(RefusedError, match="us-fl@2016 is historic"):
        add(baths.book, SHELL, "rules", {"rules": "us-fl@2016"})


def test_chosen_rules_are_on_record_with_edition_and_hash(baths: Baths) -> None:
    rules = baths.book.state.site.rules
    assert rules.id == "ca-qc"
    assert rules.edition
    assert len(rules.hash) == 64


@pytest.mark.parametrize(
    "actor",
    [ANYBODY, Actor("p-area", "pin", verified=False), Actor("p-nobody", "pin", verified=True)],
)
def test_set_up_takes_the_area_manager_or_the_owner(baths: Baths, actor: Actor) -> None:
    item = {"name": "A", "facts": FACTS}
    with pytest.raises(NotAllowedError, match="area manager"):
        add(baths.book, actor, "pool", item)
    with pytest.raises(NotAllowedError):
        add(baths.book, baths.who("manager"), "pool", item)
    assert add(baths.book, baths.who("area"), "pool", item) == {"id": "a"}


def test_a_person_is_changed_without_losing_the_pin(baths: Baths) -> None:
    again = {"person": "p-tester", "name": "Tove T", "initials": "T", "roles": ["duty-manager"]}
    add(baths.book, SHELL, "person", again)
    assert names(baths.book)["p-tester"]["name"] == "Tove T"
    assert baths.book.state.people["p-tester"].roles == ("duty-manager",)


def test_somebody_who_left_is_not_on_the_list(baths: Baths) -> None:
    add(
        baths.book,
        SHELL,
        "person",
        {"person": "p-tester", "name": "T", "initials": "T", "roles": [], "gone": True},
    )
    assert "p-tester" not in {row["id"] for row in people(baths.book)}
    assert "p-tester" in baths.book.state.people


def test_emergency_numbers_come_first(baths: Baths) -> None:
    add(
        baths.book, SHELL, "contact", {"contact": "a", "name": "A", "phone": "555", "kind": "other"}
    )
    assert [row["kind"] for row in contacts(baths.book)] == ["emergency", "other"]


@pytest.mark.parametrize(
    ("key", "given"),
    [
        ("scoop", {"amount": "0", "unit": "L"}),
        ("scoop", {"amount": "-0.5", "unit": "L"}),
        ("stock", {"amount": "-5", "unit": "L", "on": "2026-06-01"}),
        ("price", {"amount": "-3", "per": "L"}),
    ],
)
def test_a_product_with_less_than_nothing_is_refused(
    baths: Baths, key: str, given: dict[str, str]
) -> None:
    known = dict(baths.book.state.products["hypo"].body)
    with pytest.raises(InputError, match=rf"{key}\.amount"):
        add(baths.book, SHELL, "product", known | {key: given})


@pytest.mark.parametrize("name", ["kind", "stabiliser", "numbers", "volume_m3", "risk_class"])
def test_a_fact_that_has_its_own_place_stands_under_no_other(baths: Baths, name: str) -> None:
    item = {"pool": "other", "name": "Other", "facts": {"facts": {name: "spa"}}}
    with pytest.raises(InputError, match=name):
        add(baths.book, SHELL, "pool", item)
    assert "other" not in baths.book.state.pools
