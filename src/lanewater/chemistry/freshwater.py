"""Fresh water as something that is added: how much, in which way, and what it brings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lanewater.chemistry.fields import number_field
from lanewater.chemistry.strengths import LITRES
from lanewater.chemistry.water import Finding, Water, finding, water_from
from lanewater.kernel.water.additions import mixed_totals
from lanewater.kernel.water.dilution import flushed_share, flushed_totals, topped_totals
from lanewater.kernel.water.equilibrium import totals_of_reading
from lanewater.kernel.water.slots import SOLVED
from lanewater.terms.errors import InputError, shown
from lanewater.terms.shapes import below

FRESH_WATER = "fresh-water"
QUESTION_KEY = "fresh_water"
DRAIN, FLOW, EVAPORATION = "drain-and-refill", "flow-through", "evaporation"
# What each way can exchange at most, in volumes of the pool.
WAYS = {DRAIN: 1.0, FLOW: 10.0, EVAPORATION: 1.0}
KEPT, MIXED = "kept", "mixed"
UNITS = ("m3", "percent", *LITRES)
KEYS = ("product", "amount", "unit", "way", "heat")

Totals = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class FreshWater:
    """One exchange of water.

    Attributes
    ----------
    water : Water
        What comes in.
    way : str
        One of WAYS.
    volumes : float
        Fresh water over the pool's volume. [m3/m3]
    m3 : float
        Fresh water. [m3]
    heat : str
        KEPT: the pool is brought back to its temperature. MIXED: it stays as mixed.
    said : bool
        The way was said, not assumed.
    """

    water: Water
    way: str
    volumes: float
    m3: float
    heat: str
    said: bool

    @property
    def share(self) -> float:
        """The share of the pool that is fresh water afterwards, evaporation's beside the whole."""
        return flushed_share(self.volumes) if self.way == FLOW else self.volumes


def water_within(given: Any, where: str) -> Water:
    """Read a water that stands inside a question.

    Parameters
    ----------
    given : object
        As `water_from` takes it.
    where : str
        Its path; what is wrong in it is named below that.
    """
    try:
        return water_from(given)
    except InputError as error:
        message = str(error).removeprefix(f"{error.field}: ")
        raise InputError(below(where, error.field) if error.field else where, message) from None


def exchange_from(
    table: Mapping[str, Any], where: str, volume_m3: float, water: Water | None
) -> FreshWater:
    """Read one exchange of water.

    Parameters
    ----------
    table : mapping
        `amount`, `unit`, and `way` and `heat` where they are not the first of each.
    where : str
        Its path, for messages.
    volume_m3 : float
        Of the pool. [m3]
    water : Water or None
        The question's fresh water.

    Raises
    ------
    InputError
        Naming the field; without the fresh water's readings nothing is computed.
    """
    for name in table:
        if name not in KEYS:
            raise InputError(below(where, name), f"does not go with {FRESH_WATER}")
    if water is None:
        raise InputError(
            QUESTION_KEY, "is missing: ph, temperature_c and total_alkalinity_mg_l of what comes in"
        )
    for name in ("amount", "unit"):
        if name not in table:
            raise InputError(below(where, name), "is missing")
    way = word_of(table, "way", where, tuple(WAYS))
    heat = word_of(table, "heat", where, (KEPT, MIXED))
    unit = table["unit"]
    if unit not in UNITS:
        raise InputError(
            below(where, "unit"), f"must be one of {', '.join(UNITS)}, not {shown(unit)}"
        )
    path = below(where, "amount")
    amount = number_field(table["amount"], path, 0, 1e9)
    scale = {"m3": 1.0, "percent": volume_m3 / 100}
    m3 = amount * (scale[unit] if unit in scale else LITRES[unit] / 1000)
    if m3 > WAYS[way] * volume_m3 * (1 + 1e-9):
        raise InputError(path, f"is more than {way} can exchange: {WAYS[way]:g} times the volume")
    return FreshWater(water, way, m3 / volume_m3, m3, heat, "way" in table)


def word_of(table: Mapping[str, Any], name: str, where: str, words: tuple[str, ...]) -> str:
    """Give one of a few words, the first where none stands there."""
    word = table.get(name, words[0])
    if word not in words:
        raise InputError(
            below(where, name), f"must be one of {', '.join(words)}, not {shown(word)}"
        )
    return str(word)


def exchanged(k: tuple[float, ...], totals: Totals, step: FreshWater) -> tuple[int, Totals]:
    """Exchange water in a pool.

    Parameters
    ----------
    k : tuple of float
        The flat tuple of one cyanurate set.
    totals : tuple of float
        The pool before. [mol/L]
    step : FreshWater
        What is exchanged.

    Returns
    -------
    int
        The kernel's status of the fresh water.
    tuple of float
        The pool after. [mol/L]
    """
    status, fresh = totals_of_reading(k, step.water.reading)
    if step.way == FLOW:
        return status, flushed_totals(totals, fresh, step.volumes)
    if step.way == EVAPORATION:
        return status, topped_totals(totals, fresh, step.volumes)
    return status, mixed_totals(totals, fresh, min(step.volumes, 1.0))


def temperature_after(temperature_c: float, step: FreshWater) -> float:
    """Give the pool's temperature after an exchange, in deg C; heat mixes like the water."""
    if step.heat == KEPT:
        return temperature_c
    share = min(step.share, 1.0)
    return temperature_c + share * (step.water.temperature_c - temperature_c)


def told(step: FreshWater) -> dict[str, Any]:
    """Give an exchange as an answer lists it."""
    return {
        "product": FRESH_WATER,
        "grams_active": None,
        "strength_means": None,
        "mol_l": None,
        "method": "by-hand",
        "way": step.way,
        "m3": step.m3,
        "share_percent": 100 * step.share,
    }


def assumed(step: FreshWater, temperature_c: float) -> list[str]:
    """Say what was assumed of an exchange, with the pool's temperature before it."""
    said = []
    if not step.said:
        said.append(f"{FRESH_WATER} is taken as {DRAIN}: let out first, then filled and mixed.")
    if step.way == FLOW:
        said.append("Water flows in and out of a pool that mixes as fast as it is fed.")
    if step.way == EVAPORATION:
        said.append("Only water left by evaporation: everything dissolved stayed.")
    if step.heat == KEPT and abs(step.water.temperature_c - temperature_c) > 1:
        said.append(f"The pool is brought back to {temperature_c:g} C after the fresh water.")
    if step.water.assumed_zero:
        said.append(
            "Not given of the fresh water, taken as zero: " + ", ".join(step.water.assumed_zero)
        )
    return said


def exchange_findings(step: FreshWater, status: int) -> list[Finding]:
    """Say what stands against an exchange, or belies its figures.

    Parameters
    ----------
    step : FreshWater
        What is exchanged.
    status : int
        The kernel's status of the fresh water.
    """
    found = []
    if status != SOLVED:
        found.append(
            finding(
                "fresh-water-cannot-be",
                QUESTION_KEY,
                "No water has these readings of the fresh water: nothing is computed.",
                "Test the fresh water again, or ask the supplier.",
            )
        )
    if step.way == DRAIN:
        found.append(
            finding(
                "draining-a-pool",
                FRESH_WATER,
                "Letting water out needs leave to discharge it, and a pool that stands low can be"
                " lifted or cracked by ground water.",
                "Ask whoever knows the basin first; refill before anybody bathes, then test.",
            )
        )
    return found
