"""`calc strength`: one strength in every way the trade writes it, and what a label may hide."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from lanewater.chemistry.fields import object_field
from lanewater.chemistry.products import Product, counted_share, product_of
from lanewater.chemistry.strengths import (
    BY_WEIGHT,
    IN_A_LITRE,
    LABEL_KEYS,
    LIME,
    density_of,
    strength_of,
)
from lanewater.chemistry.tanks import AGEING_KEYS, Tank, describe_tank, tank_from
from lanewater.chemistry.water import Finding, finding
from lanewater.kernel.water.additions import P_SODIUM_HYPOCHLORITE
from lanewater.terms.errors import InputError

KEYS = tuple(key for key in LABEL_KEYS if key != LIME)
# Two readings of one label that lie closer than this are no trap.
NO_TRAP = 0.02
READINGS = {
    "trade-percent": "percent as the trade means it: grams of available chlorine in 100 mL",
    "percent-w-w-chlorine": "percent by weight of available chlorine",
    "percent-w-w-compound": "percent by weight of sodium hypochlorite",
}


@dataclass(frozen=True, slots=True)
class Label:
    """One product's strength as its label says it.

    Attributes
    ----------
    product : Product
        What it is.
    stated : str
        The key of the strength.
    number : float
        As stated.
    counted : float
        Grams of what Lanewater counts in a gram of what the strength counts.
    density_kg_l : float or None
        Where it is stated. [kg/L]
    tank : Tank or None
        What is known of its ageing, of sodium hypochlorite alone.
    """

    product: Product
    stated: str
    number: float
    counted: float
    density_kg_l: float | None
    tank: Tank | None

    @property
    def grams_l(self) -> float | None:
        """Grams of what Lanewater counts in a litre; None without the density it needs."""
        if self.stated != BY_WEIGHT:
            return self.number * IN_A_LITRE[self.stated] * self.counted
        if self.density_kg_l is None:
            return None
        return self.number * 10 * self.density_kg_l * self.counted

    @property
    def percent_w_w(self) -> float | None:
        """The percentage by weight of what Lanewater counts; None without the density it needs."""
        if self.stated == BY_WEIGHT:
            return self.number * self.counted
        grams_l = self.grams_l
        if self.density_kg_l is None or grams_l is None:
            return None
        return grams_l / (10 * self.density_kg_l)


def label_from(given: Any) -> Label:
    """Read a question.

    Parameters
    ----------
    given : object
        `product`, one strength with its unit in its name, and what goes with it.

    Raises
    ------
    InputError
        Naming the field.
    """
    table = object_field(given, "", ("product", *KEYS, *AGEING_KEYS))
    if "product" not in table:
        raise InputError("product", "is missing")
    product = product_of(str(table["product"]))
    stated, number, counted = strength_of(product, table, "")
    label = Label(product, stated, number, counted, density_of(table, ""), None)
    for name in AGEING_KEYS:
        if name in table and product.index != P_SODIUM_HYPOCHLORITE:
            raise InputError(name, "goes with sodium-hypochlorite alone")
    if product.index != P_SODIUM_HYPOCHLORITE:
        return label
    tank = tank_from(table, product, label.grams_l)
    return Label(product, stated, number, counted, label.density_kg_l, tank)


def describe_label(plant: tuple[float, ...], label: Label) -> dict[str, Any]:
    """Give all that `calc strength` answers.

    Parameters
    ----------
    plant : tuple of float
        The flat tuple of the plant's table.
    label : Label
        As read.

    Returns
    -------
    dict
        The same strength in every unit, null where it needs the density; `read_as`, what the same
        number would be if it meant something else; `ageing`; `assumed` and `findings`.
    """
    product, percent, grams_l = label.product, label.percent_w_w, label.grams_l
    whole = counted_share(product, "anhydrous", compound=True)
    hypochlorite = product.index == P_SODIUM_HYPOCHLORITE
    ageing: dict[str, Any] | None = None
    said: list[str] = []
    found: list[Finding] = []
    if label.tank is not None:
        ageing, said, found = describe_tank(plant, label.tank)
    readings = read_as(label) if hypochlorite else []
    return {
        "product": product.id,
        "strength_means": product.strength_means,
        "percent_w_w": percent,
        "percent_w_w_compound": None if percent is None else percent / whole,
        "percent_w_v": None if grams_l is None else grams_l / 10,
        "trade_percent": grams_l / 10 if hypochlorite and grams_l is not None else None,
        "g_l": grams_l,
        "read_as": readings,
        "ageing": ageing,
        "assumed": [*assumed(label), *said],
        "findings": [*label_trap(label, readings), *found],
    }


def assumed(label: Label) -> list[str]:
    """Say what was assumed of a label."""
    said = [f"Strength means {label.product.strength_means}."]
    if label.counted != 1:
        said.append(f"The label's number was taken {label.counted:.4g} times to come to that.")
    if label.grams_l is None or label.percent_w_w is None:
        said.append("Without density or specific gravity the other kind of strength is not told.")
    return said


def read_as(label: Label) -> list[dict[str, Any]]:
    """Give what a label's percentage comes to by each meaning that it may have."""
    if label.stated not in {BY_WEIGHT, "strength_percent_w_v", "strength_trade_percent"}:
        return []
    number, density = label.number, label.density_kg_l
    whole = counted_share(label.product, "anhydrous", compound=True)
    weight = None if density is None else number * 10 * density
    grams = (number * 10, weight, None if weight is None else weight * whole)
    return [
        {"meaning": meaning, "words": words, "g_l": value}
        for (meaning, words), value in zip(READINGS.items(), grams, strict=True)
    ]


def label_trap(label: Label, readings: list[dict[str, Any]]) -> list[Finding]:
    """Say how far apart the meanings of one label lie."""
    if not readings:
        return []
    known = [each["g_l"] for each in readings if each["g_l"] is not None]
    if len(known) < len(readings):
        apart = "by weight and by volume they differ by the density, a sixth or more"
    elif max(known) / min(known) - 1 < NO_TRAP:
        return []
    else:
        apart = (
            f"by the trade's percent it is {known[0]:.0f} g of chlorine in a litre, by weight of"
            f" chlorine {known[1]:.0f}, by weight of the hypochlorite {known[2]:.0f}:"
            f" {100 * (max(known[1:]) / known[0] - 1):.0f} % apart, and so is the dose"
        )
    return [
        finding(
            "percent-of-what",
            label.stated,
            f"A label that says {label.number:g} % alone can mean three things; {apart}.",
            "Look for the words beside the number, ask the supplier, or measure.",
        )
    ]
