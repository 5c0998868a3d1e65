"""The flags of `site add`, and the item that they spell."""

from __future__ import annotations

import argparse
from typing import Any

from lanewater.terms.errors import InputError

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
FACTS = (
    "kind",
    "location",
    "disinfectant",
    "stabiliser",
    "water",
    "supply",
    "control",
    "secondary",
    "coagulant",
    "risk_class",
)
# Flag: (key of the item, whether it may stand several times, help).
FLAGS: dict[str, dict[str, tuple[str, bool, str]]] = {
    "pool": {
        "--id": ("pool", False, "id; made from the name where left out"),
        "--name": ("name", False, "what people call it"),
        "--circuit": ("circuit", False, "the filter it shares"),
        "--volume": ("volume", False, "how much water, with --volume-unit"),
        "--volume-unit": ("volume_unit", False, "m3, L, us-gal or imp-gal"),
        "--volume-known": ("volume_known", False, "meter, drawing or guess"),
        "--surface": ("surface_m2", False, "m2 of surface"),
        "--target": ("targets", True, "free_chlorine=1.0..1.5"),
        "--hours": ("hours", True, "mon-fri=06:30-22:00, or closed for no hours at all"),
        "--interval": ("interval_minutes", False, "minutes between tests by the site's own plan"),
        "--before-opening": ("before_opening_minutes", False, "minutes before opening to test in"),
        "--point": ("points", True, "a place where samples are taken"),
        "--rules": ("rules", False, "rules of its own"),
        "--fact": ("more_facts", True, "NAME=VALUE, a fact that rules ask for"),
    }
    | {f"--{name.replace('_', '-')}": (name, False, f"its {name}") for name in FACTS},
    "circuit": {
        "--id": ("circuit", False, "id; made from the name where left out"),
        "--name": ("name", False, "what people call it"),
        "--volume": ("volume", False, "pools, pipes and, where it counts, the balance tank"),
        "--volume-unit": ("volume_unit", False, "m3, L, us-gal or imp-gal"),
        "--volume-known": ("volume_known", False, "meter, drawing or guess"),
        "--balance-tank": ("balance_tank", False, "included, not-included or none"),
        "--mixing-minutes": ("mixing_minutes", False, "minutes until it is mixed"),
        "--dye-test": ("dye_test", False, "date of the dye test"),
        "--feeder": ("feeder", False, "the product that the feeder gives"),
    },
    "kit": {
        "--id": ("kit", False, "id; made from the name where left out"),
        "--name": ("name", False, "what people call it"),
        "--kind": ("kind", False, "photometer, comparator, titration or strips"),
        "--range": ("ranges", True, "free_chlorine=0.02..6.00/0.01"),
        "--ph-limit": ("ph_free_chlorine_limit", False, "mg/L above which its pH is not believed"),
        "--total-stand": ("total_stand_s", False, "seconds that total chlorine stands"),
        "--accepted": ("accepted", False, "yes or no: whether the rules accept it as proof"),
        "--verified-on": ("verified_on", False, "date"),
    },
    "reagent": {
        "--id": ("reagent", False, "id"),
        "--kit": ("kit", False, "the kit it is for"),
        "--parameter": ("parameter", False, "what it tests"),
        "--lot": ("lot", False, "lot on the pack"),
        "--expires-on": ("expires_on", False, "date"),
        "--opened-on": ("opened_on", False, "date"),
    },
    "product": {
        "--id": ("product", False, "id; made from the name where left out"),
        "--name": ("name", False, "what people call it"),
        "--substance": ("substance", False, "such as sodium-hypochlorite"),
        "--method": ("method", False, "by-hand, feeder-only or never-by-hand"),
        "--strength": ("strength_value", False, "with --strength-unit and --strength-on"),
        "--strength-unit": ("strength_unit", False, "percent-w-w, percent-w-v or g-l"),
        "--strength-on": ("strength_on", False, "date of that strength"),
        "--density": ("density_kg_l", False, "kg/L"),
        "--excess-caustic": ("excess_caustic", False, "mol per mol"),
        "--approve": ("approved", True, "POOL=PURPOSE"),
        "--jug": ("jug", False, "the jug or scoop that belongs to it alone"),
        "--scoop": ("scoop", False, "what that holds at its least mark, such as 0.5L or 100g"),
        "--stock": ("stock", False, "how much there was on a day, such as 200L@2026-11-02"),
        "--price": ("price", False, "what it costs, such as 0.42/L"),
        "--lot": ("lot", False, "lot on the container in use"),
    },
    "person": {
        "--id": ("person", False, "id; made where left out"),
        "--name": ("name", False, "kept apart from the record"),
        "--initials": ("initials", False, "kept apart from the record"),
        "--phone": ("phone", False, "kept apart from the record"),
        "--role": ("roles", True, "tester, duty-manager, plant-operator, area-manager, contractor"),
        "--delegate": ("delegated", True, "open: may open and reopen pools"),
        "--may-dose": ("competences", True, "PRODUCT=FROM or PRODUCT=FROM..UNTIL, dates"),
    },
    "contact": {
        "--id": ("contact", False, "id; made where left out"),
        "--name": ("name", False, "whom it reaches"),
        "--phone": ("phone", False, "number"),
        "--kind": ("kind", False, "emergency, manager, contractor, authority, supplier, other"),
        "--note": ("note", False, "a remark"),
    },
    "rules": {
        "--id": ("rules", False, "id of a rules pack, or none"),
        "--pool": ("pool", False, "only for this pool"),
    },
}
WHOLE = ("interval_minutes", "before_opening_minutes", "mixing_minutes", "total_stand_s")


def add_item_flags(parser: argparse.ArgumentParser, what: str) -> None:
    """Describe the flags of one kind of thing."""
    for flag, (key, several, about) in FLAGS[what].items():
        action = "append" if several else "store"
        parser.add_argument(flag, dest=f"item_{key}", action=action, metavar="VALUE", help=about)
    if what == "person":
        parser.add_argument("--new-pin", dest="item_new_pin", action="store_const", const=True)
        parser.add_argument("--gone", dest="item_gone", action="store_const", const=True)


def item_of(arguments: argparse.Namespace, what: str) -> dict[str, Any]:
    """Give the item that the flags spell; what was not said is not there."""
    given = {
        key.removeprefix("item_"): value
        for key, value in vars(arguments).items()
        if key.startswith("item_") and value is not None
    }
    for key in WHOLE:
        if key in given:
            given[key] = whole_number(given[key], f"--{key}")
    return SHAPERS.get(what, dict)(given)


def whole_number(text: str, flag: str) -> int:
    """Read a whole number."""
    if not text.isascii() or not text.isdigit() or len(text) > 9:
        raise InputError(flag, f"must be a whole number, not {text[:20]!r}")
    return int(text)


def parted(text: str, mark: str, flag: str, wanted: str) -> tuple[str, str]:
    """Part a text at a mark."""
    before, found, after = text.partition(mark)
    if not found or not before or not after:
        raise InputError(flag, f"{text[:40]!r}: write it as {wanted}")
    return before, after


def with_volume(given: dict[str, Any]) -> dict[str, Any]:
    """Put a volume and its unit together; a wrong unit would make every amount wrong."""
    item = {key: value for key, value in given.items() if key != "volume_unit"}
    if ("volume" in given) != ("volume_unit" in given):
        flag = "--volume-unit" if "volume" in given else "--volume"
        raise InputError(flag, "is missing: a volume is said with its unit")
    if "volume" in given:
        item["volume"] = {"value": given["volume"], "unit": given["volume_unit"]}
    return item


def pool_item(given: dict[str, Any]) -> dict[str, Any]:
    """Give a pool's item."""
    item = with_volume(given)
    facts: dict[str, Any] = {name: item.pop(name) for name in FACTS if name in item}
    more = [parted(row, "=", "--fact", "NAME=VALUE") for row in item.pop("more_facts", [])]
    if more:
        facts["facts"] = {name: fact_value(value) for name, value in more}
    item["facts"] = facts
    if "targets" in item:
        item["targets"] = [target_of(row) for row in item["targets"]]
    if "hours" in item:
        rows = [row for row in item["hours"] if row != "closed"]
        item["hours"] = [hours for row in rows for hours in hours_of(row)]
    return item


def fact_value(text: str) -> bool | int | str:
    """Read a fact: yes, no, a whole number or a word."""
    if text in ("yes", "no"):
        return text == "yes"
    if text.isascii() and text.lstrip("-").isdigit() and len(text) < 10:
        return int(text)
    return text


def target_of(text: str) -> dict[str, str]:
    """Read free_chlorine=1.0..1.5."""
    wanted = "free_chlorine=1.0..1.5"
    parameter, span = parted(text, "=", "--target", wanted)
    low, high = parted(span, "..", "--target", wanted)
    return {"parameter": parameter, "low": low, "high": high}


def hours_of(text: str) -> list[dict[str, Any]]:
    """Read mon-fri=06:30-22:00."""
    wanted = "mon-fri=06:30-22:00"
    days, times = parted(text, "=", "--hours", wanted)
    opens, closes = parted(times, "-", "--hours", wanted)
    first, _, last = days.partition("-")
    if first not in DAYS or (last or first) not in DAYS:
        raise InputError("--hours", f"{days[:20]!r}: days are {', '.join(DAYS)}")
    start, end = DAYS.index(first), DAYS.index(last or first)
    span = range(start, end + 1) if start <= end else (*range(start, 7), *range(end + 1))
    return [{"day": day, "opens": opens, "closes": closes} for day in span]


def kit_item(given: dict[str, Any]) -> dict[str, Any]:
    """Give a kit's item."""
    if "accepted" in given:
        if given["accepted"] not in ("yes", "no"):
            raise InputError("--accepted", "must be yes or no")
        given["accepted"] = given["accepted"] == "yes"
    if "ranges" in given:
        given["ranges"] = [range_of(row) for row in given["ranges"]]
    return given


def range_of(text: str) -> dict[str, str]:
    """Read free_chlorine=0.02..6.00/0.01."""
    wanted = "free_chlorine=0.02..6.00/0.01"
    parameter, span = parted(text, "=", "--range", wanted)
    ends, _, step = span.partition("/")
    low, high = parted(ends, "..", "--range", wanted)
    row = {"parameter": parameter, "low": low, "high": high}
    return row | ({"step": step} if step else {})


def product_item(given: dict[str, Any]) -> dict[str, Any]:
    """Give a product's item."""
    strength = {
        key: given.pop(f"strength_{key}")
        for key in ("value", "unit", "on")
        if f"strength_{key}" in given
    }
    if strength:
        given["strength"] = strength
    if "scoop" in given:
        given["scoop"] = portion_of(given["scoop"], "--scoop")
    if "stock" in given:
        amount, day = parted(given["stock"], "@", "--stock", "200L@2026-11-02")
        given["stock"] = {**portion_of(amount, "--stock"), "on": day}
    if "price" in given:
        amount, per = parted(given["price"], "/", "--price", "0.42/L")
        given["price"] = {"amount": amount, "per": per}
    if "approved" in given:
        rows = [parted(row, "=", "--approve", "POOL=PURPOSE") for row in given["approved"]]
        given["approved"] = [{"pool": pool, "purpose": purpose} for pool, purpose in rows]
    return given


def portion_of(text: str, flag: str) -> dict[str, str]:
    """Read an amount with its unit, such as 0.5L."""
    unit = text.lstrip("0123456789.")
    if not unit or unit == text:
        raise InputError(flag, f"{text[:40]!r} is not an amount with its unit, such as 0.5L")
    return {"amount": text[: -len(unit)], "unit": unit}


def person_item(given: dict[str, Any]) -> dict[str, Any]:
    """Give a person's item."""
    if "competences" in given:
        given["competences"] = [competence_of(row) for row in given["competences"]]
    return given


def competence_of(text: str) -> dict[str, str]:
    """Read sodium-hypochlorite=2026-01-01..2028-01-01."""
    product, span = parted(text, "=", "--may-dose", "PRODUCT=FROM..UNTIL")
    start, _, until = span.partition("..")
    row = {"covers": "hand-dosing", "product": product, "from": start}
    return row | ({"until": until} if until else {})


SHAPERS = {
    "pool": pool_item,
    "circuit": with_volume,
    "kit": kit_item,
    "product": product_item,
    "person": person_item,
}
