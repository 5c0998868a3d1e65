"""What is typed at set-up, turned into the body of an entry."""

from __future__ import annotations

import re
import secrets
import unicodedata
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from lanewater.measurement.kits import kit_from
from lanewater.records.kinds import KINDS
from lanewater.rules.case import refuse_own_names
from lanewater.terms.errors import InputError
from lanewater.terms.errors import shown as short
from lanewater.terms.shapes import Shape, decimal, name, one_of, text, words

# Exact by definition: 1 US gallon = 231 cubic inches of 2.54 cm; 1 imperial gallon = 4.54609 L.
M3_PER_UNIT = {
    "m3": Decimal(1),
    "L": Decimal("0.001"),
    "us-gal": Decimal("0.003785411784"),
    "imp-gal": Decimal("0.00454609"),
}
LARGEST_M3 = Decimal(1_000_000)
CONTACT_KINDS = ("emergency", "manager", "contractor", "authority", "supplier", "other")

VOLUME = Shape({"value": decimal, "unit": text(12)})
CONTACT = Shape(
    {"name": name, "phone": text(40, shortest=2), "kind": one_of(*CONTACT_KINDS)},
    {"contact": text(64, shortest=1), "note": words},
)
KNOWN_OF_PERSON = Shape({"name": name, "initials": text(6, shortest=1)}, {"phone": text(40)})


def slug(words_given: Any, where: str) -> str:
    """Make an id from a name: "Main pool" gives main-pool.

    Raises
    ------
    InputError
        Where the name holds no letter that an id can.
    """
    if not isinstance(words_given, str):
        raise InputError(where, f"must be text, not {short(words_given)}")
    plain = unicodedata.normalize("NFKD", words_given).encode("ascii", "ignore").decode()
    found = re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:48].strip("-")
    if not found:
        raise InputError(where, "holds no letter a to z; give an id of your own")
    return found


def opaque_id(prefix: str) -> str:
    """Make an id that tells nothing about whom it stands for."""
    return f"{prefix}-{secrets.token_hex(5)}"


def volume_m3(value: Any, where: str) -> str:
    """Turn a volume in its unit into cubic metres, as decimal text.

    Raises
    ------
    InputError
        For a bare "gal", which may be either of two, and for what is no volume.
    """
    VOLUME(value, where)
    factor = M3_PER_UNIT.get(value["unit"])
    if factor is None:
        known = ", ".join(M3_PER_UNIT)
        raise InputError(
            f"{where}.unit", f"{value['unit']!r} is not one of {known}; say which gallon"
        )
    volume = Decimal(value["value"]) * factor
    if not 0 < volume <= LARGEST_M3:
        raise InputError(f"{where}.value", "must be above 0 and at most a million m3")
    return positive_decimal(volume)


def positive_decimal(value: Decimal) -> str:
    """Write a decimal with at most six places, without needless zeros."""
    written = f"{value.quantize(Decimal('0.000001')):f}".rstrip("0").rstrip(".")
    return written or "0"


def with_volume(item: Mapping[str, Any]) -> dict[str, Any]:
    """Put a volume typed in another unit beside its cubic metres; both stay on record."""
    body = dict(item)
    if "volume" in body:
        if "volume_m3" in body:
            raise InputError("volume", "give volume or volume_m3, not both")
        typed = body.pop("volume")
        body["volume_m3"] = volume_m3(typed, "volume")
        body["volume_typed"] = dict(typed)
    elif "volume_m3" in body:
        volume_m3({"value": body["volume_m3"], "unit": "m3"}, "volume_m3")
    if "volume_m3" in body and "volume_known" not in body:
        raise InputError("volume_known", "say how the volume is known: meter, drawing or guess")
    return body


def pool_body(item: Mapping[str, Any]) -> dict[str, Any]:
    """Give the body of a pool; its chosen rules are an entry of their own."""
    body = with_volume({key: value for key, value in item.items() if key != "rules"})
    body.setdefault("pool", slug(body.get("name"), "name"))
    KINDS["pool-set-up"](body, "")
    refuse_own_names(body.get("facts", {}).get("facts", {}))
    for index, target in enumerate(body.get("targets", ())):
        if Decimal(target["low"]) > Decimal(target["high"]):
            raise InputError(f"targets[{index}].low", "is above high")
    for index, hours in enumerate(body.get("hours", ())):
        if hours["opens"] == "24:00" or hours["opens"] == hours["closes"]:
            raise InputError(f"hours[{index}].opens", "must differ from closes and be under 24:00")
    return body


def circuit_body(item: Mapping[str, Any]) -> dict[str, Any]:
    """Give the body of a circuit; a stated volume must say whether the balance tank counts."""
    body = with_volume(item)
    body.setdefault("circuit", slug(body.get("name"), "name"))
    if "volume_m3" in body and "balance_tank" not in body:
        raise InputError(
            "balance_tank", "say whether the volume counts it: included, not-included or none"
        )
    KINDS["circuit-set-up"](body, "")
    return body


def kit_body(item: Mapping[str, Any]) -> dict[str, Any]:
    """Give the body of a test kit."""
    body = dict(item)
    body.setdefault("kit", slug(body.get("name"), "name"))
    KINDS["kit-registered"](body, "")
    kit_from(body, "")
    return body


def reagent_body(item: Mapping[str, Any]) -> dict[str, Any]:
    """Give the body of a reagent lot."""
    body = dict(item)
    if "reagent" not in body:
        body["reagent"] = slug(f"{body.get('parameter', '')} {body.get('lot', '')}", "lot")
    KINDS["reagent-registered"](body, "")
    return body


def product_body(item: Mapping[str, Any]) -> dict[str, Any]:
    """Give the body of a product; a strength in % w/w of a liquid needs its density to dose."""
    body = dict(item)
    body.setdefault("product", slug(body.get("name"), "name"))
    KINDS["product-registered"](body, "")
    strength = body.get("strength")
    if strength is not None and not 0 < Decimal(strength["value"]) <= 2000:
        raise InputError("strength.value", "must be above 0")
    for key, zero in (("scoop", False), ("stock", True), ("price", True)):
        amount = Decimal(body.get(key, {}).get("amount", "1"))
        if amount < 0 or (amount == 0 and not zero):
            raise InputError(f"{key}.amount", "must be 0 or more" if zero else "must be above 0")
    return body


def duty_body(item: Mapping[str, Any]) -> dict[str, Any]:
    """Give the body of a duty of the site; it comes every so often, or once on a day."""
    body = dict(item)
    body.setdefault("duty", slug(body.get("name"), "name"))
    KINDS["duty-set-up"](body, "")
    if "every" in body and len(body["every"]) != 1:
        raise InputError("every", "say one of days, weeks, months and years")
    if "every" not in body and "from" not in body and not body.get("gone", False):
        raise InputError("every", "say how often, or on which day (from)")
    return body


def closed_days_body(item: Mapping[str, Any]) -> dict[str, Any]:
    """Give the body of the closed days of the site or of a pool, each day once and in order."""
    body = dict(item)
    KINDS["closed-days-set"](body, "")
    days = {row["day"]: dict(row) for row in body["days"]}
    return body | {"days": [days[day] for day in sorted(days)]}


def person_parts(item: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, str]]:
    """Part what goes on record of a person from what may be forgotten.

    Returns
    -------
    tuple
        The body of the entry, and {"name", "initials", "phone"}.
    """
    body = {key: value for key, value in item.items() if key not in ("name", "initials", "phone")}
    known = {key: item[key] for key in ("name", "initials", "phone") if key in item}
    KNOWN_OF_PERSON(known, "")
    body.setdefault("person", opaque_id("p"))
    KINDS["person-added"](body, "")
    return body, {"phone": "", **known}


def contact_row(item: Mapping[str, Any]) -> dict[str, str]:
    """Give a line of the phone list."""
    CONTACT(item, "")
    identity = item.get("contact") or opaque_id("c")
    return {
        "id": identity,
        "name": item["name"],
        "phone": item["phone"],
        "kind": item["kind"],
        "note": item.get("note", ""),
    }
