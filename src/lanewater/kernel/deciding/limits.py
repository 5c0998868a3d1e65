"""The limit of a rule at one instant: printed, modified step by step, or hung on another number."""

from typing import Any

from lanewater.kernel.deciding.comparing import combined_value, decided, value_of
from lanewater.kernel.deciding.conditions import applies, fact_number
from lanewater.kernel.deciding.decimals import decimal_text
from lanewater.kernel.deciding.tries import WORDED, legible_text

WORST_FIRST = (
    "evacuate",
    "close",
    "does-not-meet",
    "does-not-meet-borderline",
    "not-judged",
    "meets-borderline",
    "meets",
)
SEVERITIES = {
    "evacuate": 0,
    "close": 1,
    "does-not-meet": 2,
    "does-not-meet-borderline": 3,
    "not-judged": 4,
    "meets-borderline": 5,
    "meets": 6,
}
NOT_JUDGED = 4
LOWER_LIMITS = ("at-least", "above")
DECIMAL_UNITS = (1000, 100, 10, 1)


def severity(verdict: str) -> int:
    """Give the place of a verdict in the order from worst (0) to best."""
    place = SEVERITIES.get(verdict, -1)
    if place < 0:
        raise ValueError("unknown verdict")
    return place


def fails(verdict: str) -> bool:
    """Tell whether a verdict is worse than "not-judged"."""
    return severity(verdict) < NOT_JUDGED


def pairs_at_points(readings: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give combined chlorine, total minus free, of every try; one that is given hides none."""
    found = []
    for free in readings:
        if free["parameter"] == "free_chlorine":
            for total in readings:
                if total["parameter"] == "total_chlorine" and total["point"] == free["point"]:
                    found.append(combined_value(value_of(free), value_of(total)))
    return found


def values_of(readings: list[dict[str, Any]], parameter: str) -> list[dict[str, Any]]:
    """Give every value of a parameter among the readings, combined chlorine worked out.

    Parameters
    ----------
    readings : list of dict
        Standing readings in normal form.
    parameter : str
        Parameter id.
    """
    found = []
    for reading in readings:
        if reading["parameter"] == parameter:
            found.append(value_of(reading))
    if parameter == "combined_chlorine":
        for pair in pairs_at_points(readings):
            found.append(pair)
    return found


def values_by_parameter(readings: list[dict[str, Any]]) -> dict[str, Any] | None:
    """Give every value of standing readings by its parameter, combined chlorine worked out.

    None where the error of one cannot be read: each is then looked at as it is asked for.
    """
    found: dict[str, Any] = {}
    for reading in readings:
        if reading["uncertainty"] is not None and not legible_text(reading["uncertainty"]):
            return None
        if reading["parameter"] not in WORDED:
            if reading["parameter"] not in found:
                found[reading["parameter"]] = []
            found[reading["parameter"]].append(value_of(reading))
    combined: list[dict[str, Any]] = found.get("combined_chlorine", [])
    for pair in pairs_at_points(readings):
        combined.append(pair)
    if len(combined) > 0:
        found["combined_chlorine"] = combined
    return found


def values_in(case: dict[str, Any], parameter: str) -> list[dict[str, Any]]:
    """Give every value of a parameter in a case, as they were read from it once where they were."""
    known: dict[str, Any] | None = case.get("values")
    if known is None:
        return values_of(case["readings"], parameter)
    found: list[dict[str, Any]] = known.get(parameter, [])
    return found


def failing_verdict(level: str) -> str:
    """Give the verdict that goes with breaking a rule of a level."""
    if level == "evacuate" or level == "close":
        return level
    return "does-not-meet"


def decimals_in(text: str) -> int:
    """Count the decimals of a printed number."""
    count = 0
    after = False
    for index in range(len(text)):
        if after:
            count = count + 1
        elif text[index] == ".":
            after = True
    return count


def printed_number(number: int, decimals: int) -> str:
    """Write thousandths with so many decimals, 0 to 3, and more where they are needed."""
    kept = decimals
    while kept < 3 and number % DECIMAL_UNITS[kept] != 0:
        kept = kept + 1
    text = decimal_text(number)
    cut = ""
    written = 0
    after = False
    for index in range(len(text)):
        if text[index] == ".":
            after = True
            if kept > 0:
                cut = cut + "."
        elif not after:
            cut = cut + text[index]
        elif written < kept:
            cut = cut + text[index]
            written = written + 1
    while written < kept:
        cut = cut + "0"
        written = written + 1
    return cut


def stricter(comparison: str, number: int, than: int) -> bool:
    """Tell whether a limit leaves less room than another."""
    if comparison in LOWER_LIMITS:
        return number > than
    return number < than


def changed_by(number: int, step: dict[str, Any]) -> int:
    """Give a limit after one step of `modify`, whole in thousandths as compiled."""
    return (number * step["times"] + 1000 * step["add"]) // 1000


def step_written(before: str, step: dict[str, Any], again: bool) -> str:
    """Write one step of `modify` after what was worked out before it."""
    by: str = step["by"] + " (" + step["words"] + ")"
    if step["sum"] is True:
        return before + " + " + by
    if again:
        return "(" + before + ")" + " x " + by
    return before + " x " + by


def modified(rule: dict[str, Any], case: dict[str, Any], oldest: int) -> dict[str, Any]:
    """Work out a limit that changes with what was read or is known, step by step.

    Parameters
    ----------
    rule : dict
        Compiled rule.
    case : dict
        What it is judged with.
    oldest : int
        UTC seconds before which a borrowed reading no longer counts.

    Returns
    -------
    dict
        {"number": thousandths, "worked": "3.0 + 1.0 (pH above 7.6) = 4.0" or "" where no step
        holds, "limit": the result as printed, "assumed": names that are not known}. A step whose
        condition is not known is taken only where it leaves less room.
    """
    number: int = rule["limit_thousandths"]
    worked: str = rule["limit"]
    decimals = decimals_in(rule["limit"])
    assumed: list[str] = []
    taken = False
    for step in rule["modify"]:
        answer = applies(case, step["when"], oldest)
        if answer["holds"]:
            after = changed_by(number, step)
            if len(answer["assumed"]) == 0 or stricter(rule["comparison"], after, number):
                worked = step_written(worked, step, taken)
                if step["sum"] is True:
                    decimals = max(decimals, decimals_in(step["by"]))
                number = after
                taken = True
            for name in answer["assumed"]:
                if name not in assumed:
                    assumed.append(name)
    if not taken:
        return {"number": number, "worked": "", "limit": rule["limit"], "assumed": assumed}
    limit = printed_number(number, decimals)
    return {
        "number": number,
        "worked": worked + " = " + limit,
        "limit": limit,
        "assumed": assumed,
    }


def with_limit(rule: dict[str, Any], found: dict[str, Any]) -> dict[str, Any]:
    """Give a rule with the limit that `modified` worked out; what was printed stays beside it."""
    copied = {}
    for key, value in rule.items():
        copied[key] = value
    copied["as_printed"] = rule
    copied["limit"] = found["limit"]
    copied["limit_thousandths"] = found["number"]
    copied["worked"] = found["worked"]
    return copied


def limit_for(rule: dict[str, Any], case: dict[str, Any]) -> dict[str, Any]:
    """Give the limit as a fraction {known, numerator, denominator} in thousandths.

    A limit relative to another reading, or to a fact of the pool, is times * number + plus; a
    reading must be exact. It is compared by cross multiplication, so nothing is rounded.
    """
    other: int | None = None
    if rule.get("relative_to_fact", "") != "":
        other = fact_number(case, rule["relative_to_fact"])
    elif rule["relative_to"] == "":
        return {"known": True, "numerator": rule["limit_thousandths"], "denominator": 1}
    else:
        others = values_in(case, rule["relative_to"])
        if len(others) == 1 and others[0]["relation"] == "exact":
            other = others[0]["number"]
    if other is None:
        return {"known": False, "numerator": 0, "denominator": 1}
    times = rule["times"]
    return {
        "known": True,
        "numerator": other * times[0] + rule["limit_thousandths"] * times[1],
        "denominator": times[1],
    }


def ruling_on(rule: dict[str, Any], value: dict[str, Any], limit: dict[str, Any]) -> str:
    """Give the verdict of one value under one rule, before doubt and persistence."""
    scale = limit["denominator"]
    answer = decided(
        value["number"] * scale, value["relation"], rule["comparison"], limit["numerator"]
    )
    if answer == "undecided":
        return "not-judged"
    near = False
    if value["relation"] == "exact" and value["uncertainty"] >= 0:
        near = abs(value["number"] * scale - limit["numerator"]) <= value["uncertainty"] * scale
    if answer == "yes":
        if near:
            return "meets-borderline"
        return "meets"
    verdict = failing_verdict(rule["level"])
    if verdict == "does-not-meet" and near:
        return "does-not-meet-borderline"
    return verdict
