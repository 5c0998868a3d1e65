"""A plan for a question that stands alone: what `calc plan` reads."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.chemistry.fields import number_field, object_field
from lanewater.chemistry.products import PRODUCTS, Product, product_of
from lanewater.chemistry.strengths import (
    ALL_STRENGTHS,
    GRAMS,
    LITRES,
    STRENGTH_KEYS,
    TRADE,
    unit_of,
)
from lanewater.chemistry.water import BOUNDS
from lanewater.dosing.request import with_jugs_alike
from lanewater.kernel.deciding.decimals import decimal_text, thousandths_of_float
from lanewater.kernel.deciding.strengths import LIQUIDS
from lanewater.terms.errors import InputError, shown
from lanewater.terms.shapes import below
from lanewater.terms.words import POOL_FACTS

# The question's keys and the kernel's parameters.
FIGURES = {
    "ph": "ph",
    "free_chlorine_mg_l": "free_chlorine",
    "total_alkalinity_mg_l": "total_alkalinity",
    "calcium_hardness_mg_l": "calcium_hardness",
    "cyanuric_acid_mg_l": "cyanuric_acid",
    "saturation_index": "saturation_index",
}
# Its water's keys; sulfate, boron and magnesium keep their names without the unit.
READINGS = {key: key.removesuffix("_mg_l") for key in BOUNDS}
ALSO = (
    "volume_m3",
    "volume_known",
    "targets",
    "limits",
    "pool",
    "products",
    "fresh_water",
    "feeder",
    "mixing_minutes",
)
PRODUCT_KEYS = (
    "product",
    *STRENGTH_KEYS,
    TRADE,
    "excess_caustic_mol_per_mol",
    "scoop",
    "stock",
    "price",
    "approved",
    "jug",
)
STRENGTH_UNITS = {
    "strength_g_l": "g-l",
    "strength_percent_w_v": "percent-w-v",
    "strength_percent_w_w": "percent-w-w",
    TRADE: "percent-w-v",
}
ORDINARY = {
    "sodium-hypochlorite": "raise-chlorine",
    "calcium-hypochlorite": "raise-chlorine",
    "chlorine": "raise-chlorine",
    "sodium-dichloroisocyanurate": "raise-chlorine",
    "trichloroisocyanuric-acid": "raise-chlorine",
    "hydrochloric-acid": "lower-ph",
    "sodium-bisulfate": "lower-ph",
    "sulfuric-acid": "lower-ph",
    "carbon-dioxide": "lower-ph",
    "sodium-bicarbonate": "raise-alkalinity",
    "calcium-chloride": "raise-calcium",
}
# Only where the question says so: they come as a surprise otherwise.
BY_NAME_ONLY = {
    "sodium-carbonate": "raise-ph",
    "sodium-hydroxide": "raise-ph",
    "sodium-thiosulfate": "lower-chlorine",
}
PURPOSES = (*dict.fromkeys([*ORDINARY.values(), *BY_NAME_ONLY.values()]),)
VOLUME_KNOWN = ("meter", "drawing", "guess")
MOST_PRODUCTS = 20
MOST_NUMBER = 1e8
# A question has no clock of its own: what it says holds when it is asked.
ASKED_AT = 0
HOUR_S = 3600


def request_from(given: Any) -> dict[str, Any]:
    """Read a question that stands alone into the kernel's request.

    Parameters
    ----------
    given : object
        Keys of `calc water`, and volume_m3, targets, limits, pool, products, fresh_water, feeder,
        volume_known, mixing_minutes. What is missing is left for the kernel to refuse by name.

    Raises
    ------
    InputError
        Naming the field that is unknown, not a number, or out of its range.
    """
    stated = object_field(given, "", (*BOUNDS, *ALSO))
    table = {key: value for key, value in stated.items() if value is not None}
    request: dict[str, Any] = {
        "stateless": True,
        "at": ASKED_AT,
        "taken_at": ASKED_AT,
        "late": False,
        "case": {"pool": pool_of(table), "readings": readings_of(table), "history": []},
        "targets": bands_of(table, "targets"),
        "volume": volume_of(table),
        "products": products_of(table),
        "feeder": feeder_stated(table),
        "blocks": [],
        "others": [],
        "ages": dict.fromkeys(
            ("reading_s", "alkalinity_s", "stabiliser_s", "strength_s", "stable_strength_s"), HOUR_S
        ),
    }
    request["configured"] = request["case"]["pool"].pop("dosing_configured", False)
    if "limits" in table:
        request["limits"] = bands_of(table, "limits")
    if "mixing_minutes" in table:
        minutes = number_field(table["mixing_minutes"], "mixing_minutes", 0, 10080)
        request["mixing_s"] = round(minutes * 60)
    if "fresh_water" in table:
        fill = object_field(table["fresh_water"], "fresh_water", BOUNDS)
        request["fresh_water"] = {
            READINGS[key]: text_of(number_field(value, f"fresh_water.{key}", *BOUNDS[key]))
            for key, value in fill.items()
        }
    return request


def text_of(number: float) -> str:
    """Write a number as a decimal text to a thousandth."""
    return decimal_text(thousandths_of_float(number))


def readings_of(table: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Read the water's numbers as readings in normal form."""
    return [
        {
            "parameter": READINGS[key],
            "value": text_of(number_field(table[key], key, *bounds)),
            "dilution": 1,
            "point": "",
            "at": None,
            "uncertainty": None,
            "kit": "",
        }
        for key, bounds in BOUNDS.items()
        if table.get(key) is not None
    ]


def pool_of(table: Mapping[str, Any]) -> dict[str, Any]:
    """Read the pool's facts; a fact that is "unknown" is left out."""
    facts = object_field(table.get("pool", {}), "pool", (*POOL_FACTS, "dosing_configured"))
    found: dict[str, Any] = {}
    for name, word in facts.items():
        where = below("pool", name)
        if name == "dosing_configured":
            if not isinstance(word, bool):
                raise InputError(where, f"must be true or false, not {shown(word)}")
            found[name] = word
        elif word != "unknown":
            if word not in POOL_FACTS[name]:
                known = ", ".join(POOL_FACTS[name])
                raise InputError(where, f"must be one of {known}, not {shown(word)}")
            found[name] = word
    return found


def bands_of(table: Mapping[str, Any], key: str) -> dict[str, dict[str, str]]:
    """Read targets or limits: [low, high] by figure, either of them null for no end."""
    given = object_field(table.get(key, {}), key, FIGURES)
    found = {}
    for name, ends in given.items():
        where = below(key, name)
        if not isinstance(ends, list | tuple) or len(ends) != 2:
            raise InputError(where, "must be [low, high]")
        most = 15.0 if name in ("ph", "saturation_index") else MOST_NUMBER
        band = {
            end: text_of(number_field(value, where, -most, most))
            for end, value in zip(("low", "high"), ends, strict=True)
            if value is not None
        }
        if len(band) == 2 and number_field(ends[0], where, -most, most) > ends[1]:
            raise InputError(where, "the low stands first")
        found[FIGURES[name]] = band
    return found


def volume_of(table: Mapping[str, Any]) -> dict[str, Any]:
    """Read the volume, and how it is known."""
    found: dict[str, Any] = {"of": "pool", "accepted": True, "shared": []}
    if table.get("volume_m3") is not None:
        found["m3"] = text_of(number_field(table["volume_m3"], "volume_m3", 0, MOST_NUMBER))
    if table.get("volume_known") is not None:
        word = table["volume_known"]
        if word not in VOLUME_KNOWN:
            raise InputError(
                "volume_known", f"must be one of {', '.join(VOLUME_KNOWN)}, not {shown(word)}"
            )
        found["known"] = word
    return found


def feeder_stated(table: Mapping[str, Any]) -> str:
    """Read what the feeder holds: a product, salt-cell or none; "" where it is not said."""
    word = table.get("feeder", "")
    if word not in ("", "none", "salt-cell", *PRODUCTS):
        raise InputError("feeder", f"must be a product, salt-cell or none, not {shown(word)}")
    return str(word)


def products_of(table: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Read the products at hand."""
    entries = table.get("products", [])
    if not isinstance(entries, list | tuple) or len(entries) > MOST_PRODUCTS:
        raise InputError("products", f"must be a list of at most {MOST_PRODUCTS} products")
    return with_jugs_alike(
        [product_from(entry, f"products[{index}]", index) for index, entry in enumerate(entries)]
    )


def product_from(entry: Any, where: str, index: int) -> dict[str, Any]:
    """Read one product at hand; its place in the list is its id."""
    table = object_field(entry, where, PRODUCT_KEYS)
    if not isinstance(table.get("product"), str):
        raise InputError(below(where, "product"), "must be a product id")
    product = product_of(table["product"], below(where, "product"))
    found: dict[str, Any] = {
        "product": f"{index}",
        "substance": product.id,
        "name": product.name,
        "method": product.method,
        "approved": approved_of(table, where, product),
        "strength": strength_from(table, where),
        "jug": jug_of(table, where),
    }
    for name, key, most in (
        ("density_kg_l", "density_kg_l", 3.0),
        ("excess_caustic", "excess_caustic_mol_per_mol", 0.5),
    ):
        if table.get(key) is not None:
            found[name] = text_of(number_field(table[key], below(where, key), 0, most))
    for name in ("scoop", "stock"):
        if table.get(name) is not None:
            found[name] = portion_of_table(table[name], below(where, name))
    if table.get("price") is not None:
        found["price"] = price_of(table["price"], below(where, "price"), product)
    return found


def jug_of(table: Mapping[str, Any], where: str) -> str:
    """Read the name of a product's jug."""
    jug = table.get("jug", "")
    if not isinstance(jug, str) or len(jug) > 60:
        raise InputError(below(where, "jug"), "must be a name of at most 60 letters")
    return " ".join(jug.split())


def approved_of(table: Mapping[str, Any], where: str, product: Product) -> list[str]:
    """Give what a product is approved for: its ordinary purpose, unless the question says else.

    Soda ash, caustic and thiosulfate serve only where they are approved in so many words.
    """
    said = table.get("approved")
    if isinstance(said, list | tuple):
        for word in said:
            if word not in PURPOSES:
                raise InputError(
                    below(where, "approved"),
                    f"must hold words of {', '.join(PURPOSES)}, not {shown(word)}",
                )
        return [str(word) for word in said]
    if said is None:
        return [ORDINARY[product.id]] if product.id in ORDINARY else []
    if not isinstance(said, bool):
        raise InputError(
            below(where, "approved"),
            "must be true, false or a list of purposes, not " + shown(said),
        )
    known = ORDINARY | BY_NAME_ONLY
    return [known[product.id]] if said and product.id in known else []


def strength_from(table: Mapping[str, Any], where: str) -> dict[str, Any]:
    """Read the one strength that is stated; without one the kernel refuses by name."""
    stated = [name for name in ALL_STRENGTHS if table.get(name) is not None]
    if len(stated) > 1:
        raise InputError(below(where, stated[1]), "state one strength, not two")
    found: dict[str, Any] = {"at": ASKED_AT}
    for name in stated:
        found["value"] = text_of(number_field(table[name], below(where, name), 0, 2000))
        found["unit"] = STRENGTH_UNITS[name]
    return found


def portion_of_table(given: Any, where: str) -> dict[str, str]:
    """Read a scoop or a stock, and turn it into g or mL."""
    table = object_field(given, where, ("amount", "unit"))
    for name in ("amount", "unit"):
        if name not in table:
            raise InputError(below(where, name), "is missing")
    unit = unit_of(table["unit"], below(where, "unit"))
    amount = number_field(table["amount"], below(where, "amount"), 0, MOST_NUMBER)
    if unit in GRAMS:
        return {"amount": text_of(min(amount * GRAMS[unit], MOST_NUMBER)), "unit": "g"}
    millilitres = min(amount * LITRES[unit] * 1000, MOST_NUMBER)
    return {"amount": text_of(millilitres), "unit": "mL"}


def price_of(given: Any, where: str, product: Product) -> dict[str, str]:
    """Read a price: a number for a litre of a liquid or a kg of a solid, or amount and per."""
    if not isinstance(given, Mapping):
        per = "L" if product.id in LIQUIDS else "kg"
        return {"amount": text_of(number_field(given, where, 0, 1e6)), "per": per}
    table = object_field(given, where, ("amount", "per"))
    if table.get("per") not in ("kg", "L"):
        raise InputError(below(where, "per"), "must be kg or L")
    amount = number_field(table.get("amount"), below(where, "amount"), 0, 1e6)
    return {"amount": text_of(amount), "per": str(table["per"])}
