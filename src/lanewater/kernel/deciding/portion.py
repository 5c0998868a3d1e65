"""The one portion of a step: how far to go now, the dose with its range, and its caps.

One addition moves pH by 0.2 at most, and never takes free chlorine to within test error of the
rules' maximum. Free chlorine rises by 3 mg/L, alkalinity by 15 mg/L and calcium by 30 mg/L at
most at a time (JUDG).
"""

from typing import Any

from lanewater.kernel.deciding.amounts import (
    NO_SUCH_WATER,
    OUT_OF_REACH,
    amount_of,
    dose_error,
    dose_needed,
    measurable,
    measurable_above,
    supply_error,
)
from lanewater.kernel.deciding.asking import UNKNOWN, number_in, part, word_in
from lanewater.kernel.deciding.comparing import whole_root
from lanewater.kernel.deciding.otherpools import others_readings
from lanewater.kernel.deciding.readingerror import reading_error, typical_error
from lanewater.kernel.deciding.steps import (
    band_of,
    exact_tries,
    highest_reading,
    lowest_reading,
)
from lanewater.kernel.deciding.strengths import strength_divisor
from lanewater.kernel.deciding.tries import number_of
from lanewater.kernel.deciding.waterknown import (
    W_ALKALINITY,
    W_CYANURIC,
    W_FREE,
    W_PH,
    WATER_ORDER,
    aged_error,
    water_numbers,
)
from lanewater.kernel.water.search import Q_ALKALINITY, Q_CALCIUM, Q_PH

CHLORINE_STEP = 3000
PH_STEP = 200
ALKALINITY_STEP = 15000
CALCIUM_STEP = 30000
LARGEST_SPREAD = 20000000


def searched_quantity(purpose: str) -> int:
    """Give the quantity of the water that a step searches for."""
    if purpose == "raise-alkalinity":
        return Q_ALKALINITY
    if purpose == "raise-calcium":
        return Q_CALCIUM
    return Q_PH


def reading_for(
    request: dict[str, Any], case: dict[str, Any], wanted: dict[str, Any]
) -> dict[str, Any]:
    """Give the reading a step starts from: of all points and pools the one that asks for least."""
    readings = exact_tries(case["readings"], wanted["parameter"])
    for reading in others_readings(request, wanted["parameter"]):
        readings.append(reading)
    if wanted["purpose"] == "lower-ph":
        return lowest_reading(readings)
    return highest_reading(readings)


def aim_of(request: dict[str, Any], wanted: dict[str, Any], start: dict[str, Any]) -> int:
    """Give how far one addition may go: the middle of the site's target, inside every cap.

    Parameters
    ----------
    request, wanted : dict
        The request and its step.
    start : dict
        The reading it starts from.

    Returns
    -------
    int
        In thousandths.
    """
    target = part(part(request, "targets"), wanted["parameter"])
    band = band_of(request, wanted["parameter"])
    middle = (number_in(target, "low") + number_in(target, "high")) // 2
    middle = max(band["low"], min(middle, band["high"]))
    now = number_of(start)
    if wanted["purpose"] == "lower-ph":
        return max(middle, now - PH_STEP)
    if wanted["purpose"] == "raise-ph":
        return min(middle, now + PH_STEP)
    if wanted["purpose"] == "raise-alkalinity":
        return min(middle, now + ALKALINITY_STEP)
    if wanted["purpose"] == "raise-calcium":
        return min(middle, now + CALCIUM_STEP)
    aim = min(middle, now + CHLORINE_STEP)
    highest = number_in(part(part(request, "limits"), "free_chlorine"), "high")
    if highest == UNKNOWN:
        return aim
    error = max(reading_error(start), typical_error("free_chlorine", highest))
    return min(aim, highest - error - 1)


def capped_by_ph(
    k: tuple[float, ...],
    numbers: list[int],
    wanted: dict[str, Any],
    product: dict[str, Any],
    dose: int,
) -> int:
    """Lower a dose of bicarbonate so that it does not move pH by more than one step."""
    if wanted["purpose"] != "raise-alkalinity" or dose <= 0:
        return dose
    most = dose_needed(k, numbers, product, Q_PH, numbers[W_PH] + PH_STEP)
    if most > 0 and most < dose:
        return most
    return dose


def dose_for(
    k: tuple[float, ...],
    numbers: list[int],
    wanted: dict[str, Any],
    product: dict[str, Any],
    aim: int,
) -> int:
    """Give the dose that takes a water to the aim of a step, in micrograms in a cubic metre.

    Chlorine is a plain sum: a milligram a litre is a gram in a cubic metre. All else is searched
    in the equilibrium.
    """
    if wanted["purpose"] == "raise-chlorine":
        return max(aim - numbers[W_FREE], 0) * 1000
    dose = dose_needed(k, numbers, product, searched_quantity(wanted["purpose"]), aim)
    return capped_by_ph(k, numbers, wanted, product, dose)


def water_with(numbers: list[int], index: int, by: int) -> list[int]:
    """Give a water with one number moved, never below zero."""
    found = []
    for place in range(len(numbers)):
        number = numbers[place]
        if place == index:
            number = max(number + by, 0)
        found.append(number)
    return found


def place_of(parameter: str) -> int:
    """Give the place of a parameter in WATER_ORDER, -1 where it has none."""
    for index in range(len(WATER_ORDER)):
        if WATER_ORDER[index] == parameter:
            return index
    return -1


def dose_spread(
    k: tuple[float, ...],
    request: dict[str, Any],
    case: dict[str, Any],
    wanted: dict[str, Any],
    product: dict[str, Any],
    aim: int,
    dose: int,
) -> int:
    """Give how far the dose moves when the readings it rests on move by their 95 % error.

    Each input moves alone, the starting reading, alkalinity, stabiliser; the moves add as
    squares. A water that cannot be solved so counts as the whole dose.
    """
    start = reading_for(request, case, wanted)
    numbers = water_numbers(request, case)
    numbers[place_of(wanted["parameter"])] = number_of(start)
    if wanted["purpose"] == "raise-chlorine":
        return min(reading_error(start) * 1000, LARGEST_SPREAD)
    own = place_of(wanted["parameter"])
    inputs = [own]
    for index in [W_PH, W_ALKALINITY, W_CYANURIC]:
        if index != own:
            inputs.append(index)
    squares = 0
    for index in inputs:
        error = reading_error(start)
        if index != own:
            error = aged_error(request, case, WATER_ORDER[index])
        if error > 0:
            other = dose_for(k, water_with(numbers, index, error), wanted, product, aim)
            if other < 0:
                other = 2 * dose
            away = min(abs(other - dose), LARGEST_SPREAD)
            squares = squares + away * away
    return whole_root(squares)


def falls_short(request: dict[str, Any], wanted: dict[str, Any], aim: int) -> bool:
    """Tell whether a step's aim is still outside its band, so that another will be needed."""
    band = band_of(request, wanted["parameter"])
    return aim < band["low"] or aim > band["high"]


def portion_of(
    k: tuple[float, ...],
    request: dict[str, Any],
    case: dict[str, Any],
    wanted: dict[str, Any],
    product: dict[str, Any],
) -> dict[str, Any]:
    """Work out one portion.

    Returns
    -------
    dict
        {"trouble": "" or the id of a refusal, "aim", "now", "dose", "amount", "low", "high",
        "half", "again": more will be needed, "numbers"}.
    """
    start = reading_for(request, case, wanted)
    numbers = water_numbers(request, case)
    numbers[place_of(wanted["parameter"])] = number_of(start)
    aim = aim_of(request, wanted, start)
    dose = dose_for(k, numbers, wanted, product, aim)
    trouble = ""
    if dose == NO_SUCH_WATER:
        trouble = "readings-cannot-all-be-right"
    elif dose == OUT_OF_REACH:
        trouble = "out-of-reach"
    elif dose == 0 and len(others_readings(request, wanted["parameter"])) > 0:
        trouble = "another-pool-has-enough"
    elif dose == 0:
        trouble = "no-room"
    if trouble != "":
        return {"trouble": trouble}
    volume = number_in(part(request, "volume"), "m3")
    divisor = strength_divisor(product)
    half = word_in(part(request, "volume"), "known") == "guess"
    spread = dose_spread(k, request, case, wanted, product, aim, dose)
    error = dose_error(dose, spread, supply_error(request, product))
    amount = amount_of(dose, volume, divisor)
    if half:
        amount = amount // 2
    amount = measurable(amount)
    if amount == 0:
        return {"trouble": "too-little-to-measure"}
    return {
        "trouble": "",
        "aim": aim,
        "now": number_of(start),
        "amount": amount,
        "low": measurable(amount_of(max(dose - error, 0), volume, divisor)),
        "high": measurable_above(amount_of(dose + error, volume, divisor) + 1),
        "half": half,
        "again": half or falls_short(request, wanted, aim),
        "numbers": numbers,
    }
