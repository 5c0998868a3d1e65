"""The constants as data: read from their text, checked, and laid flat for the kernel."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from lanewater.kernel.water import slots
from lanewater.terms.errors import InputError

SETS = ("OBM74_25C", "OBM74_dH", "WA2019")
DEFAULT_SET = "OBM74_dH"
LOW_SET = "WA2019"
TAGS = ("SEEN", "DB", "MEM", "CALC", "JUDG")
GAS_CONSTANT_KJ = 8.314462618e-3
KELVIN_25 = 298.15
TERMS = ("one", "T", "inverse_T", "log_T", "inverse_T2", "T2")
FIELDS = {
    "log-k": TERMS,
    "pk": TERMS,
    "log-k-25": ("log_k", "heat_kj"),
    "pk-25": ("pk", "slope"),
    "celsius": ("celsius",),
    "number": ("number",),
}
COMMON = {"id", "name", "form", "range_c", "source", "tag", "note", "sets", "at_25"}

# Which slot of the kernel's flat tuple a constant fills.
SLOTS: dict[str, int] = {
    "debye-hueckel": slots.K_DEBYE_HUECKEL,
    "davies": slots.K_DAVIES,
    "davies-limit": slots.K_DAVIES_LIMIT,
    "salting-out": slots.K_NEUTRAL,
    "osmotic": slots.K_OSMOTIC,
    "water": slots.K_WATER,
    "carbonic-1": slots.K_CARBONIC_1,
    "carbonic-2": slots.K_CARBONIC_2,
    "carbon-dioxide": slots.K_CARBON_DIOXIDE,
    "calcite": slots.K_CALCITE,
    "calcium-bicarbonate": slots.K_CALCIUM_BICARBONATE,
    "calcium-carbonate": slots.K_CALCIUM_CARBONATE,
    "sodium-bicarbonate": slots.K_SODIUM_BICARBONATE,
    "sodium-carbonate": slots.K_SODIUM_CARBONATE,
    "calcium-sulfate": slots.K_CALCIUM_SULFATE,
    "sodium-sulfate": slots.K_SODIUM_SULFATE,
    "magnesium-bicarbonate": slots.K_MAGNESIUM_BICARBONATE,
    "magnesium-carbonate": slots.K_MAGNESIUM_CARBONATE,
    "magnesium-sulfate": slots.K_MAGNESIUM_SULFATE,
    "bisulfate": slots.K_BISULFATE,
    "hypochlorous": slots.K_HYPOCHLOROUS,
    "boric": slots.K_BORIC,
    "cyanuric-1": slots.K_CYANURIC_1,
    "cyanuric-2": slots.K_CYANURIC_2,
    "cyanuric-3": slots.K_CYANURIC_3,
    "monochlorinated-9a": slots.K_MONOCHLORINATED_9A,
    "monochlorinated-8": slots.K_MONOCHLORINATED_8,
    "monochlorinated-4": slots.K_MONOCHLORINATED_4,
    "dichlorinated-7a": slots.K_DICHLORINATED_7A,
    "dichlorinated-2": slots.K_DICHLORINATED_2,
    "trichlorinated-1a": slots.K_TRICHLORINATED_1A,
    "air-carbon-dioxide": slots.K_AIR_CARBON_DIOXIDE,
}
# The kernel reads only A and C/T of the first, four terms of the next, one number of the last.
TWO_TERM = {
    "sodium-bicarbonate",
    "sodium-carbonate",
    "calcium-sulfate",
    "sodium-sulfate",
    "magnesium-sulfate",
    *(name for name in SLOTS if "cyanuric" in name or "chlorinated" in name),
}
FOUR_TERM = {
    "calcite",
    "calcium-bicarbonate",
    "calcium-carbonate",
    "magnesium-bicarbonate",
    "magnesium-carbonate",
    "bisulfate",
    "hypochlorous",
    "boric",
}
PLAIN = {"davies", "davies-limit", "salting-out", "osmotic", "air-carbon-dioxide"}


@dataclass(frozen=True, slots=True)
class Constant:
    """One constant as its source gives it.

    Attributes
    ----------
    id, name : str
        The slot it fills, and its reaction or what it is.
    form : str
        How its numbers are meant; `constants.toml` says it.
    numbers : dict
        The source's own numbers.
    range_c : tuple of float
        Where the source gives it. [deg C]
    source, tag, note : str
        Where it comes from, how far that was seen, and what else to know.
    sets : tuple of str
        The cyanurate sets it belongs to.
    at_25 : float or None
        What the source says for 25 degrees, where it does: a check, not used.
    """

    id: str
    name: str
    form: str
    numbers: dict[str, Any]
    range_c: tuple[float, float]
    source: str
    tag: str
    note: str
    sets: tuple[str, ...]
    at_25: float | None


def read_constants(table: dict[str, Any]) -> tuple[Constant, ...]:
    """Read every constant from the parsed text.

    Raises
    ------
    InputError
        Where one lacks a source, a tag or a range, or has a number that its form does not know.
    """
    return tuple(read_constant(entry) for entry in table["constant"])


def read_constant(entry: dict[str, Any]) -> Constant:
    """Read one constant; see `read_constants`."""
    where = f"constant {entry.get('id', '?')}"
    form = entry.get("form", "")
    if entry.get("id") not in SLOTS:
        raise InputError(where, "the kernel has no place for it")
    if form not in FIELDS:
        raise InputError(where, f"form must be one of {', '.join(FIELDS)}")
    if entry.get("tag") not in TAGS:
        raise InputError(where, f"tag must be one of {', '.join(TAGS)}")
    if not str(entry.get("source", "")).strip() or not str(entry.get("name", "")).strip():
        raise InputError(where, "must name what it is and its source")
    numbers = {name: value for name, value in entry.items() if name not in COMMON}
    if not numbers or not set(numbers) <= set(FIELDS[form]):
        raise InputError(where, f"a {form} takes {', '.join(FIELDS[form])}")
    low, high = entry.get("range_c", (1, 0))
    if not low <= high:
        raise InputError(where, "range_c must be [lowest, highest] in degrees Celsius")
    sets = tuple(entry.get("sets", SETS))
    if not set(sets) <= set(SETS):
        raise InputError(where, f"sets must be among {', '.join(SETS)}")
    return Constant(
        entry["id"],
        entry["name"],
        form,
        numbers,
        (float(low), float(high)),
        entry["source"],
        entry["tag"],
        entry.get("note", ""),
        sets,
        entry.get("at_25"),
    )


def row_of(constant: Constant) -> tuple[float, ...]:
    """Turn one constant into the six numbers that the kernel reads: of ln K for an equilibrium."""
    numbers = constant.numbers
    ten = math.log(10)
    if constant.form == "number":
        return (number_of(constant), 0.0, 0.0, 0.0, 0.0, 0.0)
    if constant.form == "celsius":
        return tuple(ten * coefficient for coefficient in numbers["celsius"])
    if constant.form == "log-k-25":
        inverse = -numbers["heat_kj"] / GAS_CONSTANT_KJ
        return (ten * numbers["log_k"] - inverse / KELVIN_25, 0.0, inverse, 0.0, 0.0, 0.0)
    if constant.form == "pk-25":
        slope = numbers["slope"]
        return (-ten * (numbers["pk"] - slope / KELVIN_25), 0.0, -ten * slope, 0.0, 0.0, 0.0)
    sign = -1.0 if constant.form == "pk" else 1.0
    one, t, inverse, log_t, inverse_2, t_2 = (sign * numbers.get(term, 0.0) for term in TERMS)
    # log_T is told against log10 T and read against ln T: its two factors of ln 10 cancel.
    return (ten * one, ten * t, ten * inverse, log_t, ten * inverse_2, ten * t_2)


def number_of(constant: Constant) -> float:
    """Give a plain number as the kernel reads it; salting-out for natural logarithms."""
    number = float(constant.numbers["number"])
    return number * math.log(10) if constant.id == "salting-out" else number


def flat_tuple(constants: tuple[Constant, ...], cyanurate_set: str) -> tuple[float, ...]:
    """Lay the constants of one cyanurate set flat, for the kernel's first argument.

    Parameters
    ----------
    constants : tuple of Constant
        All of them.
    cyanurate_set : str
        OBM74_25C, OBM74_dH or WA2019.

    Raises
    ------
    InputError
        Where the set is not known, a slot is filled twice or not at all, or a row holds a term
        that the kernel does not read.
    """
    if cyanurate_set not in SETS:
        raise InputError("set", f"must be one of {', '.join(SETS)}")
    flat: dict[int, float] = {}
    for constant in constants:
        if cyanurate_set not in constant.sets:
            continue
        row = row_of(constant)
        slot = SLOTS[constant.id]
        if slot in flat:
            raise InputError(f"constant {constant.id}", f"stands twice in {cyanurate_set}")
        check_row(constant, row)
        flat.update({slot + index: value for index, value in enumerate(row)})
    missing = [name for name, slot in SLOTS.items() if slot not in flat]
    if missing:
        raise InputError("constants", f"missing in {cyanurate_set}: {', '.join(missing)}")
    return tuple(flat[index] for index in range(len(flat)))


def read_terms(id_: str) -> tuple[int, ...]:
    """Tell which of a constant's six numbers the kernel reads."""
    if id_ in TWO_TERM:
        return (0, 2)
    if id_ in PLAIN:
        return (0,)
    return (0, 1, 2, 3) if id_ in FOUR_TERM else (0, 1, 2, 3, 4, 5)


def check_row(constant: Constant, row: tuple[float, ...]) -> None:
    """Refuse a row that is not six finite numbers, or holds what the kernel would pass over."""
    where = f"constant {constant.id}"
    if len(row) != slots.COEFFICIENTS or not all(map(math.isfinite, row)):
        raise InputError(where, "must come to six finite numbers")
    if any(value != 0.0 for index, value in enumerate(row) if index not in read_terms(constant.id)):
        raise InputError(where, "holds a term that the kernel does not read for it")
    if (constant.form == "celsius") is not (constant.id == "debye-hueckel"):
        raise InputError(where, "the Debye-Hueckel slope alone is a polynomial in Celsius")
