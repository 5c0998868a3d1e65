"""Setting a site up over the wire."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import BaseModel
from tests.interfaces.api.baths import FACTS, PINS, Baths

from lanewater.interfaces.api.schemas import site as schemas
from lanewater.records import kinds
from lanewater.service import set_up_items
from lanewater.service.transfer import FILE
from lanewater.terms.shapes import Shape

# What the service knows of each thing, beside what the wire takes and keeps apart from the record.
PAIRS: list[tuple[type[BaseModel], Shape, set[str]]] = [
    (schemas.PoolSent, kinds.POOL, {"volume", "rules"}),
    (schemas.CircuitSent, kinds.CIRCUIT, {"volume"}),
    (schemas.KitSent, kinds.KIT, set()),
    (schemas.ReagentSent, kinds.REAGENT, set()),
    (schemas.ProductSent, kinds.PRODUCT, set()),
    (schemas.PersonSent, kinds.PERSON, {"name", "initials", "phone", "pin", "new_pin"}),
    (schemas.ContactSent, set_up_items.CONTACT, set()),
    (schemas.RangeSent, kinds.RANGE, set()),
    (schemas.TargetSent, kinds.TARGET, set()),
    (schemas.HoursSent, kinds.HOURS, set()),
    (schemas.StrengthSent, kinds.STRENGTH, set()),
    (schemas.CompetenceSent, kinds.COMPETENCE, set()),
    (schemas.ImportSent, FILE, set()),
]
ITEMS: list[tuple[str, dict[str, Any]]] = [
    ("circuit", {"name": "Outdoor plant"}),
    ("pool", {"name": "Outdoor", "facts": {**FACTS, "location": "outdoor"}}),
    ("kit", {"name": "Bench photometer", "kind": "photometer", "total_stand_s": 120}),
    ("reagent", {"parameter": "free_chlorine", "lot": "A17", "expires_on": "2027-06-30"}),
    (
        "product",
        {"name": "Soda", "substance": "sodium-carbonate", "method": "by-hand", "jug": "blue scoop"},
    ),
    ("contact", {"name": "Poison line", "phone": "555 0188", "kind": "emergency"}),
    ("rules", {"rules": "none", "pool": "teaching"}),
]


def names_on_the_wire(model: type[BaseModel]) -> set[str]:
    """Give the names of a model's fields as they are sent."""
    return {field.alias or name for name, field in model.model_fields.items()}


@pytest.mark.parametrize(
    ("model", "shape", "apart"), PAIRS, ids=lambda item: getattr(item, "__name__", "and")
)
def test_the_wire_takes_the_fields_that_the_record_keeps(
    model: type[BaseModel], shape: Shape, apart: set[str]
) -> None:
    kept = {*shape.required, *shape.optional} - {"volume_typed"}
    assert names_on_the_wire(model) == kept | apart


@pytest.mark.parametrize(("what", "item"), ITEMS, ids=[what for what, _ in ITEMS])
def test_each_kind_of_thing_is_set_up(baths: Baths, what: str, item: dict[str, Any]) -> None:
    answer = baths.post("/site/items", {"what": what, "item": item}, role="owner")
    assert answer.status_code == 200, answer.text
    assert answer.json()["id"]


def test_a_persons_pin_is_made_and_shown_once(baths: Baths) -> None:
    item = {"name": "A. Newcomer", "initials": "AN", "roles": ["tester"], "new_pin": True}
    made = baths.post("/site/items", {"what": "person", "item": item}, role="owner").json()
    assert made["pin"].isdigit()
    signed_in = baths.post("/sign-in", {"person": made["id"], "pin": made["pin"]})
    assert signed_in.status_code == 200
    for path in ("/site", "/record", "/people"):
        assert made["pin"] not in baths.get(path, role="area-manager").text
        assert "argon2" not in baths.get(path, role="area-manager").text


def test_a_person_changed_without_a_pin_keeps_the_pin(baths: Baths) -> None:
    item = {"person": "tester", "name": "New name", "initials": "NN", "roles": ["tester"]}
    baths.post("/site/items", {"what": "person", "item": item}, role="owner")
    assert baths.post("/sign-in", {"person": "tester", "pin": PINS["tester"]}).status_code == 200


def test_an_exported_set_up_is_taken_again(baths: Baths) -> None:
    whole = baths.get("/site", role="owner").json()
    whole.pop("devices")
    answer = baths.post("/site/import", whole, role="owner")
    assert answer.status_code == 200, answer.text
    things = ("circuits", "pools", "kits", "reagents", "products", "people", "contacts")
    assert answer.json() == {"added": sum(len(whole[thing]) for thing in things)}
    again = baths.get("/site", role="owner").json()
    again.pop("devices")
    assert again["pools"] == whole["pools"]


def test_an_import_with_one_fault_adds_nothing_and_names_it(baths: Baths) -> None:
    whole = baths.get("/site", role="owner").json()
    whole.pop("devices")
    whole["pools"][1]["circuit"] = "no-such-circuit"
    before = baths.entries()
    answer = baths.post("/site/import", whole, role="owner")
    assert answer.status_code == 422
    assert answer.json()["error"]["field"] == "pools[1].circuit"
    assert baths.entries() == before


def test_what_any_browser_may_know_holds_no_people_and_no_products(baths: Baths) -> None:
    found = baths.get("/site/public").json()
    assert set(found) == {"site", "pools", "circuits", "kits", "reagents", "contacts"}
    assert "tester" not in baths.get("/site/public").text
    assert found["contacts"][0]["phone"] == "555 0100"


@pytest.mark.parametrize(
    ("what", "item", "field"),
    [
        ("pool", {"name": "X", "facts": {"kind": "lagoon"}}, "facts.kind"),
        ("pool", {"facts": {}}, "item.name"),
        ("pool", {"name": "X", "facts": {}, "volume_m3": 50}, "item.volume_m3"),
        ("pool", {"name": "X", "facts": {}, "volume_m3": "50"}, "volume_known"),
        (
            "pool",
            {"name": "X", "facts": {}, "volume": {"value": "5", "unit": "gal"}},
            "volume.unit",
        ),
        ("kit", {"name": "X", "kind": "guess"}, "item.kind"),
        ("reagent", {"parameter": "ph", "lot": "1", "expires_on": "soon"}, "item.expires_on"),
        ("person", {"name": "X", "initials": "X", "roles": ["king"]}, "item.roles[0]"),
        ("person", {"name": "X", "initials": "X", "roles": [], "pin": "123456"}, "pin"),
        ("rules", {"rules": "common-practice"}, ""),
        ("lagoon", {}, "what"),
    ],
)
def test_what_does_not_fit_is_refused_by_the_fields_name(
    baths: Baths, what: str, item: dict[str, Any], field: str
) -> None:
    before = baths.entries()
    answer = baths.post("/site/items", {"what": what, "item": item}, role="owner")
    assert answer.status_code in (409, 422)
    assert answer.json()["error"].get("field", "") == field
    assert baths.entries() == before


def test_the_rules_held_here_are_listed_with_their_coverage(baths: Baths) -> None:
    rows = {row["id"]: row for row in baths.get("/rules").json()}
    assert rows["ca-qc"]["full_coverage"] is True
    assert rows["us-ca"]["coverage"]["ph"] == "not-read"
    assert baths.get("/rules/ca-qc").json()["title"] == rows["ca-qc"]["title"]


@pytest.mark.parametrize("pack", ["zz-none", "ca-qc.toml", "..%2Fca-qc", "CA-QC"])
def test_rules_that_are_not_held_here_are_missing(baths: Baths, pack: str) -> None:
    answer = baths.get(f"/rules/{pack}")
    assert answer.status_code in (404, 422)
    assert "zz-none" not in answer.text
