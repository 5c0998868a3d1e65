"""Water as it was read, and what follows from it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from lanewater.chemistry.fields import number_field, object_field
from lanewater.chemistry.handbook import handbook_index
from lanewater.kernel.water import saturation as figure
from lanewater.kernel.water.slots import INCONSISTENT, SOLVED
from lanewater.terms.errors import InputError

Finding = dict[str, str]
# The kernel's status and figures of a water.
Solved = tuple[int, tuple[float, ...]]
# The kernel's status and HOCl by the lower set.
Low = tuple[int, float]

# Required keys first, in the kernel's order of a reading; lowest and highest of each.
BOUNDS: dict[str, tuple[float, float]] = {
    "ph": (4.0, 11.0),
    "temperature_c": (0.0, 50.0),
    "total_alkalinity_mg_l": (0.0, 2000.0),
    "calcium_hardness_mg_l": (0.0, 5000.0),
    "cyanuric_acid_mg_l": (0.0, 1000.0),
    "boron_mg_l": (0.0, 500.0),
    "salt_mg_l": (0.0, 50000.0),
    "sulfate_mg_l": (0.0, 10000.0),
    "free_chlorine_mg_l": (0.0, 1000.0),
    "magnesium_mg_l": (0.0, 2000.0),
}
REQUIRED = tuple(BOUNDS)[:3]
ASSUMED_ZERO = tuple(BOUNDS)[3:9]

CYANURATE_RANGE_C = (5.0, 35.0)
IONIC_LIMIT = 0.5
FIZZING_ATM = 1.0
CYANURIC_SHARE = 3.0

# The answer's keys and the kernel's figures.
ANSWER = {
    "hocl_mg_l": figure.F_HOCL,
    "hocl_low_mg_l": figure.F_HOCL,  # by the other set, see answer_of
    "ocl_mg_l": figure.F_OCL,
    "carbonate_alkalinity_mg_l": figure.F_CARBONATE_ALKALINITY,
    "cyanurate_alkalinity_mg_l": figure.F_CYANURATE_ALKALINITY,
    "borate_alkalinity_mg_l": figure.F_BORATE_ALKALINITY,
    "hypochlorite_alkalinity_mg_l": figure.F_HYPOCHLORITE_ALKALINITY,
    "water_alkalinity_mg_l": figure.F_WATER_ALKALINITY,
    "dic_mmol_l": figure.F_CARBON,
    "saturation_index": figure.F_SATURATION_INDEX,
    "handbook_index": figure.F_SATURATION_INDEX,  # by the table, see answer_of
    "handbook_index_corrected": figure.F_SATURATION_INDEX,
    "ccpp_mg_l": figure.F_CCPP,
    "ionic_strength_mol_l": figure.F_IONIC_STRENGTH,
    "buffer_meq_l_ph": figure.F_BUFFER,
    "co2_ceiling_ph": figure.F_CEILING_PH,
}


@dataclass(frozen=True, slots=True)
class Water:
    """One water's readings; what was not given is zero and named in `assumed_zero`."""

    ph: float
    temperature_c: float
    total_alkalinity_mg_l: float
    calcium_hardness_mg_l: float = 0.0
    cyanuric_acid_mg_l: float = 0.0
    boron_mg_l: float = 0.0
    salt_mg_l: float = 0.0
    sulfate_mg_l: float = 0.0
    free_chlorine_mg_l: float = 0.0
    magnesium_mg_l: float = 0.0
    assumed_zero: tuple[str, ...] = ()

    @property
    def reading(self) -> tuple[float, ...]:
        """The readings in the kernel's order."""
        return (
            self.ph,
            self.temperature_c,
            self.total_alkalinity_mg_l,
            self.calcium_hardness_mg_l,
            self.cyanuric_acid_mg_l,
            self.boron_mg_l,
            self.salt_mg_l,
            self.sulfate_mg_l,
            self.free_chlorine_mg_l,
            self.magnesium_mg_l,
        )


def water_from(given: Any, also: tuple[str, ...] = ()) -> Water:
    """Read a water from named numbers.

    Parameters
    ----------
    given : object
        pH, temperature and total alkalinity at least; see `BOUNDS` for all keys and ranges.
    also : tuple of str, optional
        Further keys that the caller reads itself.

    Raises
    ------
    InputError
        Naming the field that is missing, unknown, not a number or out of its range.
    """
    table = object_field(given, "", (*BOUNDS, *also))
    for name in REQUIRED:
        if name not in table:
            raise InputError(name, "is missing")
    numbers = {
        name: number_field(table[name], name, low, high)
        for name, (low, high) in BOUNDS.items()
        if name in table
    }
    return Water(**numbers, assumed_zero=tuple(name for name in ASSUMED_ZERO if name not in table))


def describe(k: tuple[float, ...], k_low: tuple[float, ...], water: Water) -> dict[str, Any]:
    """Give all that `calc water` answers.

    Parameters
    ----------
    k, k_low : tuple of float
        The flat tuples of the default cyanurate set and of the one that gives less HOCl.
    water : Water
        As read.

    Returns
    -------
    dict
        Figures by name; null where the readings cannot all be right, or a figure has no value.
    """
    solved = figure.figures_of_reading(k, water.reading)
    low = figure.hocl_of_reading(k_low, water.reading)
    return {
        **answer_of(solved, low, water.temperature_c),
        "assumed_zero": list(water.assumed_zero),
        "findings": findings_of(solved, low, water.temperature_c),
    }


def answer_of(solved: Solved, low: Low, temperature_c: float) -> dict[str, Any]:
    """Name the figures of a water; all null where it is not solved."""
    status, figures = solved
    if status != SOLVED:
        return dict.fromkeys(ANSWER)
    answer: dict[str, Any] = {name: figures[index] for name, index in ANSWER.items()}
    answer["hocl_low_mg_l"] = low_hocl(solved, low)
    calcium = figures[figure.F_CALCIUM]
    alkalinity = figures[figure.F_TOTAL_ALKALINITY]
    corrected = alkalinity - figures[figure.F_CYANURIC_ACID] / CYANURIC_SHARE
    place = (figures[figure.F_PH], temperature_c, calcium)
    dissolved = figures[figure.F_DISSOLVED]
    answer["handbook_index"] = handbook_index(*place, alkalinity, dissolved)
    answer["handbook_index_corrected"] = handbook_index(*place, corrected, dissolved)
    if calcium <= 0:
        answer["saturation_index"] = None
    return answer


def low_hocl(solved: Solved, low: Low) -> float | None:
    """Give the lower estimate of HOCl; None where its constants find no such water.

    Parameters
    ----------
    solved, low : tuple
        The kernel's answers by the default set and by the lower one.

    Returns
    -------
    float or None
        [mg/L as Cl2]
    """
    if low[0] != SOLVED:
        return None
    return min(low[1], solved[1][figure.F_HOCL])


def findings_of(solved: Solved, low: Low, temperature_c: float) -> list[Finding]:
    """Say what limits or belies the figures."""
    status, figures = solved
    if status == INCONSISTENT:
        return [
            finding(
                "readings-cannot-all-be-right",
                "total_alkalinity",
                "At this pH the cyanuric acid, borate and hypochlorite alone hold more alkalinity"
                " than was read; no water has these readings.",
                "Test pH, total alkalinity and cyanuric acid again.",
            )
        ]
    if status != SOLVED:
        return [
            finding(
                "not-solved",
                "total_alkalinity",
                "No water was found for these readings.",
                "Test again; keep the readings and report them.",
            )
        ]
    return [*limits_of(figures), *estimates_of(solved, low, temperature_c)]


def limits_of(figures: tuple[float, ...]) -> list[Finding]:
    """Say where the model ends, and where the readings are hard to believe."""
    found = []
    if figures[figure.F_IONIC_STRENGTH] > IONIC_LIMIT:
        found.append(
            finding(
                "beyond-the-activity-model",
                "salt",
                "The water is saltier than the activity model reaches (ionic strength 0.5).",
                "Take the figures as rough; sea water is not covered.",
            )
        )
    if figures[figure.F_CALCIUM] <= 0:
        found.append(
            finding(
                "no-calcium",
                "calcium_hardness",
                "Without calcium the saturation index has no value.",
                "Test calcium hardness.",
            )
        )
    if figures[figure.F_CARBON_DIOXIDE_PRESSURE] > FIZZING_ATM:
        found.append(
            finding(
                "more-carbon-dioxide-than-water-holds",
                "ph",
                "Water of this pH and alkalinity would fizz: it holds more carbon dioxide than"
                " one atmosphere of the gas keeps in.",
                "Test pH and total alkalinity again.",
            )
        )
    return found


def estimates_of(solved: Solved, low: Low, temperature_c: float) -> list[Finding]:
    """Say how far the unbound chlorine of stabilised water can be trusted."""
    figures = solved[1]
    if figures[figure.F_CYANURIC_ACID] <= 0 or figures[figure.F_FREE_CHLORINE] <= 0:
        return []
    other = low_hocl(solved, low)
    lower = "none" if other is None else f"{other:.3g}"
    found = [
        finding(
            "hocl-is-an-estimate",
            "free_chlorine",
            "In stabilised water two published sets of constants differ: HOCl is"
            f" {figures[figure.F_HOCL]:.3g} mg/L by one and {lower} by the other.",
            "Judge free chlorine and cyanuric acid, never HOCl.",
        )
    ]
    coldest, warmest = CYANURATE_RANGE_C
    if not coldest <= temperature_c <= warmest:
        found.append(
            finding(
                "cyanurate-extrapolated",
                "temperature_c",
                "The cyanurate constants were measured from 5 to 35 C.",
                "Take HOCl as rough at this temperature.",
            )
        )
    return found


def finding(id_: str, about: str, why: str, do: str) -> Finding:
    """Give one finding."""
    return {"id": id_, "about": about, "why": why, "do": do}
