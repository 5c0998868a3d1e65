"""Which numbers no advice may be built on, and which are a surprise until repeated."""

from typing import Any

from lanewater.kernel.deciding.bleaching import event_since
from lanewater.kernel.deciding.readingerror import pair_error
from lanewater.kernel.deciding.tries import last_tries, newest_round, number_of, tries_of

DOUBTING_NOTES = (
    "real-none",
    "ph-outside-indicator",
    "tenfold-slip",
    "forgotten-dilution",
    "at-range-top",
    "over-range",
    "between-colours",
)
SURPRISING_CHLORINE = 300
SURPRISING_FROM = {"total_alkalinity": 40000, "cyanuric_acid": 20000}
SURPRISING_PH = 400


def casts_doubt(finding: dict[str, Any]) -> bool:
    """Tell whether a finding switches off advice that would rest on its parameters."""
    effect: str = finding["effect"]
    return effect != "note" or finding["id"] in DOUBTING_NOTES


def doubtful_parameters(findings: list[dict[str, Any]]) -> list[str]:
    """Give the parameters that no advice may rest on until they are repeated."""
    found: list[str] = []
    for finding in findings:
        if casts_doubt(finding):
            for parameter in finding["parameters"]:
                if parameter not in found:
                    found.append(parameter)
    return found


def repeated(readings: list[dict[str, Any]], parameter: str, point: str) -> bool:
    """Tell whether two tries at one point agree within their test error."""
    tries = []
    for reading in tries_of(readings, parameter):
        if reading["point"] == point:
            tries.append(reading)
    if len(tries) < 2:
        return False
    one = tries[len(tries) - 2]
    other = tries[len(tries) - 1]
    return abs(number_of(one) - number_of(other)) <= pair_error(one, other)


def far_from(parameter: str, number: int, last: int) -> bool:
    """Tell whether a number is so far from the last round's that one test is not enough. JUDG.

    Chlorine: less than half or more than double, and over 0.3 mg/L apart; alkalinity so and over
    40, stabiliser so and over 20 mg/L. pH: over 0.4 apart.
    """
    apart = abs(number - last)
    if parameter == "ph":
        return apart > SURPRISING_PH
    least: int = SURPRISING_FROM.get(parameter, SURPRISING_CHLORINE)
    return apart > least and (number * 2 < last or number > last * 2)


def fell(reading: dict[str, Any], last: dict[str, Any]) -> bool:
    """Tell whether a reading is lower than the last round's by more than test error."""
    return number_of(last) - number_of(reading) > pair_error(reading, last)


def surprising(case: dict[str, Any], parameter: str) -> bool:
    """Tell whether a reading is a surprise that nothing explains yet.

    It is compared with the last round's reading at the same point, or else at any; a repeat that
    agrees or a logged cause since then explains it. A logged chlorine addition explains more free
    chlorine; less of it after one is a surprise, as much chlorine bleaches its own test.

    Parameters
    ----------
    case : dict
        Case with readings, history and what was logged.
    parameter : str
        Parameter id.
    """
    earlier = newest_round(case, parameter)
    if earlier is None or event_since(case, "cause", earlier["at"]):
        return False
    added = parameter == "free_chlorine" and event_since(case, "addition", earlier["at"])
    lasts = last_tries(earlier["readings"], parameter)
    for reading in last_tries(case["readings"], parameter):
        for last in lasts:
            same = last["point"] == reading["point"] or len(lasts) == 1
            if same and not repeated(case["readings"], parameter, reading["point"]):
                if added and fell(reading, last):
                    return True
                if not added and far_from(parameter, number_of(reading), number_of(last)):
                    return True
    return False
