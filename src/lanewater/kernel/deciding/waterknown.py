"""The water an amount is worked out in: this round's numbers, borrowed ones and assumed ones."""

from typing import Any

from lanewater.kernel.deciding.asking import (
    UNKNOWN,
    part,
    refusal,
    whole_in,
    word_in,
)
from lanewater.kernel.deciding.doubt import surprising
from lanewater.kernel.deciding.readingerror import reading_error
from lanewater.kernel.deciding.steps import exact_tries, known_value, points_agree
from lanewater.kernel.deciding.tries import number_of, shown_text, word_of

# The order in which kernel/water takes a reading.
WATER_ORDER = (
    "ph",
    "temperature_c",
    "total_alkalinity",
    "calcium_hardness",
    "cyanuric_acid",
    "boron",
    "salt",
    "sulfate",
    "free_chlorine",
    "magnesium",
)
# What the equilibrium is tested for, in WATER_ORDER; outside it nothing is worked out.
TESTED_LOW = (4500, 5000, 5000, 0, 0, 0, 0, 0, 0, 0)
TESTED_HIGH = (
    10500,
    45000,
    1000000,
    1500000,
    400000,
    120000,
    20000000,
    2500000,
    30000,
    200000,
)
RESTS_ON = ("total_alkalinity", "cyanuric_acid", "calcium_hardness", "salt")
SURPRISING_WATER = ("total_alkalinity", "cyanuric_acid")
MAY_BE_ZERO = ("calcium_hardness", "cyanuric_acid", "boron", "salt", "sulfate")
W_PH = 0
W_TEMPERATURE = 1
W_ALKALINITY = 2
W_CYANURIC = 4
W_FREE = 8


def known_at(request: dict[str, Any], case: dict[str, Any], parameter: str) -> dict[str, Any]:
    """Find a parameter in this round or its history; see known_value."""
    taken = whole_in(request, "taken_at")
    return known_value(case, parameter, taken)


def stabiliser_matters(pool: dict[str, Any]) -> bool:
    """Tell whether cyanuric acid may be in the water: it is, unless stated that it is not used."""
    return word_in(pool, "stabiliser") != "not-used"


def age_limit_of(request: dict[str, Any], parameter: str) -> int:
    """Give how old a borrowed value may be by the site's own limits, UNKNOWN where not set."""
    ages = part(request, "ages")
    if parameter == "cyanuric_acid" or parameter == "salt":
        return whole_in(ages, "stabiliser_s")
    return whole_in(ages, "alkalinity_s")


def borrowed_refusal(
    request: dict[str, Any], case: dict[str, Any], parameter: str, short: str
) -> list[dict[str, Any]]:
    """Refuse a needed value that is missing, or older than the site's limit."""
    value = known_at(request, case, parameter)
    name = word_of(parameter)
    if not value["found"]:
        return [refusal(short + "-missing", name + " is not known.", "Test it first.")]
    limit = age_limit_of(request, parameter)
    if limit == UNKNOWN:
        return [refusal("age-limit-missing", "The site's age limit is not set.", "Set it in Site.")]
    now = whole_in(request, "at")
    if now == UNKNOWN or now - value["at"] > limit:
        return [refusal(short + "-old", name + " is too old to dose by.", "Test it again.")]
    return []


def apart_refusal(case: dict[str, Any], parameter: str) -> list[dict[str, Any]]:
    """Refuse a number that differs between this round's points by more than test error."""
    readings = exact_tries(case["readings"], parameter)
    if len(readings) == 0 or points_agree(readings):
        return []
    why = word_of(parameter) + " differs between points by more than test error."
    return [refusal("points-disagree", why, "Test it again at both points.")]


def surprise_refusal(case: dict[str, Any], parameter: str) -> list[dict[str, Any]]:
    """Refuse a number of this round that is far from the last one, until it is repeated."""
    if not surprising(case, parameter):
        return []
    why = word_of(parameter) + " is far from the last round and no cause is known."
    return [refusal("surprising-reading", why, "Repeat it once before anything is added.")]


def water_refusals(
    request: dict[str, Any], case: dict[str, Any], purpose: str
) -> list[dict[str, Any]]:
    """Refuse a step whose amount hangs on numbers that are missing or too old.

    All but chlorine, which is a plain sum, need alkalinity and temperature, stabiliser where it
    may be in the water, salt where the water is salt.
    """
    found: list[dict[str, Any]] = []
    if purpose == "raise-chlorine":
        return found
    for entry in borrowed_refusal(request, case, "total_alkalinity", "alkalinity"):
        found.append(entry)
    for entry in borrowed_refusal(request, case, "temperature_c", "temperature"):
        found.append(entry)
    if stabiliser_matters(case["pool"]):
        for entry in borrowed_refusal(request, case, "cyanuric_acid", "stabiliser"):
            found.append(entry)
    if word_in(case["pool"], "water") == "salt":
        for entry in borrowed_refusal(request, case, "salt", "salt"):
            found.append(entry)
    for parameter in RESTS_ON:
        for entry in apart_refusal(case, parameter):
            found.append(entry)
    for parameter in SURPRISING_WATER:
        for entry in surprise_refusal(case, parameter):
            found.append(entry)
    return found


def foreseeable(request: dict[str, Any], case: dict[str, Any]) -> bool:
    """Tell whether enough is known, and fresh enough, to foresee the water's pH."""
    return len(water_refusals(request, case, "lower-ph")) == 0


def untested_parameter(numbers: list[int]) -> str:
    """Name the first number of a water that lies outside the tested range, "" for none."""
    for index in range(len(numbers)):
        if numbers[index] < TESTED_LOW[index] or numbers[index] > TESTED_HIGH[index]:
            return WATER_ORDER[index]
    return ""


def water_numbers(request: dict[str, Any], case: dict[str, Any]) -> list[int]:
    """Give the ten numbers of the water in WATER_ORDER, in thousandths; unknown ones are zero."""
    numbers = []
    for parameter in WATER_ORDER:
        value = known_at(request, case, parameter)
        number = 0
        if value["found"]:
            number = number_of(value["reading"])
        numbers.append(max(number, 0))
    return numbers


def untested_refusals(request: dict[str, Any], case: dict[str, Any]) -> list[dict[str, Any]]:
    """Refuse a water that would have to be solved outside the tested range."""
    found: list[dict[str, Any]] = []
    if not foreseeable(request, case):
        return found
    name = untested_parameter(water_numbers(request, case))
    if name != "":
        why = word_of(name) + " is outside the range that amounts are worked out for."
        found.append(refusal("water-outside-range", why, "Test it again; call the operator."))
    return found


def aged_error(request: dict[str, Any], case: dict[str, Any], parameter: str) -> int:
    """Give the 95 % error of a known value; it grows with age, to double at the site's limit.

    Parameters
    ----------
    request : dict
        Request with now and the site's age limits.
    case : dict
        Its case.
    parameter : str
        Parameter id.

    Returns
    -------
    int
        Thousandths of the unit, 0 where the value is not known.
    """
    value = known_at(request, case, parameter)
    if not value["found"]:
        return 0
    error = reading_error(value["reading"])
    limit = age_limit_of(request, parameter)
    now = whole_in(request, "at")
    if limit <= 0 or now == UNKNOWN:
        return error
    age = min(max(now - value["at"], 0), limit)
    return error + error * age // limit


def borrowed_values(request: dict[str, Any], case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give what was borrowed from earlier rounds, each with its time."""
    taken = whole_in(request, "taken_at")
    found = []
    for parameter in WATER_ORDER:
        value = known_at(request, case, parameter)
        if value["found"] and value["at"] != taken:
            found.append(
                {
                    "parameter": parameter,
                    "value": shown_text(value["reading"]),
                    "at": value["at"],
                }
            )
    return found


def taken_as_zero(request: dict[str, Any], case: dict[str, Any]) -> list[str]:
    """Give the parameters that are not known and taken as none."""
    found = []
    for parameter in MAY_BE_ZERO:
        unknown = not known_at(request, case, parameter)["found"]
        if unknown and (parameter != "cyanuric_acid" or stabiliser_matters(case["pool"])):
            found.append(parameter)
    return found
