"""What to change first for the saturation index, in words: never out of the rules, never an amount.

The index is no limit of safety. What the rules ask for comes before it, a doubtful reading is
repeated before it, and calcium comes before pH where water would dissolve.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from lanewater.kernel.deciding.limits import WORST_FIRST

# Handbooks commonly call an index within 0.3 of zero balanced. MEM
BALANCED_WITHIN = 0.3
# So far a band may reach before nobody can tell. JUDG
BAND_WITHIN = 0.5
# A half width from which the reading that drives it is repeated before anything is changed. JUDG
WIDE = 0.4
PASSES = ("meets", "meets-borderline")
FAILS = WORST_FIRST[: WORST_FIRST.index("not-judged")]
Ends = tuple[int | None, int | None]
OPEN: Ends = (None, None)


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do; id is a word's id, low and high the band to stay in, in thousandths."""

    id: str
    parameter: str = ""
    low: int | None = None
    high: int | None = None


@dataclass(frozen=True, slots=True)
class Judged:
    """What stands of the rules for the water as it is now.

    Attributes
    ----------
    overall : str
        The last round's, "not-judged" where there is none, it is out of date or in doubt.
    rows : mapping
        The worst of each parameter's rows.
    gaps : bool
        Whether anything is not judged.
    stopped : bool
        Whether a house stop stands.
    """

    overall: str = "not-judged"
    rows: Mapping[str, str] = field(default_factory=dict)
    gaps: bool = True
    stopped: bool = False


@dataclass(frozen=True, slots=True)
class Balance:
    """The index, its band, and what bounds a change.

    Attributes
    ----------
    value, low, high : float
        Saturation index and its ends at 95 %.
    driver : str
        The reading that widens the band most.
    readings : mapping
        pH, alkalinity and calcium in thousandths.
    bands : mapping
        Where the site and the rules want each: (low, high) in thousandths.
    """

    value: float
    low: float
    high: float
    driver: str
    readings: Mapping[str, int]
    bands: Mapping[str, Ends]


def tendency(value: float, low: float, high: float) -> str:
    """Tell which way the water goes: dissolves, settles (each also -little) or neither.

    Parameters
    ----------
    value, low, high : float
        Saturation index and the ends of its band.
    """
    if low <= 0.0 <= high:
        return "neither"
    little = "-little" if abs(round(value, 1)) < BAND_WITHIN else ""
    return ("dissolves" if value < 0 else "settles") + little


def may_be_called_balanced(found: Balance, judged: Judged) -> bool:
    """Tell whether the word may be said: never while anything fails or is not judged.

    Parameters
    ----------
    found : Balance
        The index and its band.
    judged : Judged
        What stands of the rules.
    """
    if judged.stopped or judged.gaps or judged.overall not in PASSES:
        return False
    if judged.rows.get("ph") not in PASSES or any(
        row not in PASSES for row in judged.rows.values()
    ):
        return False
    within = found.low >= -BAND_WITHIN and found.high <= BAND_WITHIN
    return within and abs(found.value) <= BALANCED_WITHIN


def what_first(found: Balance, judged: Judged) -> list[Step]:
    """Give what to do, the first thing first; the index comes after the rules.

    Parameters
    ----------
    found : Balance
        The index and what bounds a change.
    judged : Judged
        What stands of the rules.
    """
    if judged.stopped:
        return [Step("stop")]
    if judged.rows.get("ph") in FAILS:
        return [Step("rules-ph", "ph", *found.bands.get("ph", OPEN))]
    steps = [Step("rules")] if judged.overall in FAILS else []
    if not steps and (judged.overall == "not-judged" or judged.gaps):
        steps = [Step("judge")]
    if (found.high - found.low) / 2 > WIDE:
        return [*steps, Step("repeat", found.driver)]
    if abs(found.value) <= BALANCED_WITHIN:
        return [*steps, Step("nothing")]
    if found.low <= 0.0 <= found.high:
        return [*steps, Step("repeat", found.driver)]
    return [*steps, *(raise_it(found) if found.value < 0 else lower_it(found))]


def raise_it(found: Balance) -> list[Step]:
    """Give the steps for water that dissolves: what is below its target, then calcium, never pH."""
    steps = [
        Step("raise", parameter, *found.bands[parameter])
        for parameter in ("total_alkalinity", "ph")
        if side(found, parameter) == "low"
    ]
    low, high = found.bands.get("calcium_hardness", OPEN)
    if high is None:
        steps.append(Step("raise-untargeted", "calcium_hardness", low, high))
    elif found.readings["calcium_hardness"] < high:
        steps.append(Step("raise", "calcium_hardness", low, high))
    return steps or [Step("leave")]


def lower_it(found: Balance) -> list[Step]:
    """Give the steps for water that lets calcium settle: pH inside its band, then alkalinity."""
    steps = [
        Step("lower", parameter, *found.bands[parameter])
        for parameter in ("ph", "total_alkalinity")
        if side(found, parameter) == "high"
    ]
    low, high = found.bands.get("ph", OPEN)
    if not steps and low is not None and high is not None:
        middle = (low + high) // 2
        if found.readings["ph"] > middle:
            steps.append(Step("lower-half", "ph", low, middle))
    if side(found, "calcium_hardness") == "high":
        steps.append(Step("fresh-water", "calcium_hardness", *found.bands["calcium_hardness"]))
    return steps or [Step("leave")]


def side(found: Balance, parameter: str) -> str:
    """Tell whether a reading is low, high or inside ("") its band."""
    low, high = found.bands.get(parameter, OPEN)
    number = found.readings[parameter]
    if low is not None and number < low:
        return "low"
    return "high" if high is not None and number > high else ""


def worst_rows(results: list[Mapping[str, str]]) -> dict[str, str]:
    """Give the worst verdict of each parameter among a judgement's rows."""
    found: dict[str, str] = {}
    for row in results:
        parameter, verdict = row["parameter"], row["verdict"]
        if parameter not in found or WORST_FIRST.index(verdict) < WORST_FIRST.index(
            found[parameter]
        ):
            found[parameter] = verdict
    return found
