"""One rule of a pack against the readings of a case: worst point, repetition, doubt."""

from typing import Any

from lanewater.kernel.deciding.lasting import (
    after_repetition,
    counted_for,
    held_readings,
    lasted,
    repeats,
    values_held,
)
from lanewater.kernel.deciding.limits import (
    failing_verdict,
    fails,
    limit_for,
    ruling_on,
    severity,
    values_in,
)

WORDS = ("clarity", "circulation")


def weighed(rule: dict[str, Any], case: dict[str, Any], verdict: str) -> dict[str, Any]:
    """Give the verdict of a rule that must last or repeat, and what was counted for it.

    Parameters
    ----------
    rule : dict
        Compiled rule.
    case : dict
        With at and history.
    verdict : str
        What this round alone would be.

    Returns
    -------
    dict
        {"verdict", "counted": as `counted_for`, None where nothing was counted}.
    """
    if not fails(verdict):
        return {"verdict": verdict, "counted": None}
    if rule["lasting_seconds"] > 0:
        return {"verdict": lasted(rule, case, verdict), "counted": None}
    if not repeats(rule):
        return {"verdict": verdict, "counted": None}
    counted = counted_for(rule, case)
    return {"verdict": after_repetition(counted, verdict), "counted": counted}


def result_of(
    rule: dict[str, Any], value: str, verdict: str, counted: dict[str, Any] | None
) -> dict[str, Any]:
    """Write one row of the answer."""
    row = {
        "rule": rule["id"],
        "clause": rule["clause"],
        "parameter": rule["parameter"],
        "value": value,
        "limit": rule["limit"],
        "comparison": rule["comparison"],
        "verdict": verdict,
    }
    if rule["lasting_seconds"] > 0:
        row["lasting_hours"] = rule["lasting_seconds"] // 3600
    if rule.get("worked", "") != "":
        row["worked"] = rule["worked"]
    if counted is not None:
        row["counted"] = counted
    return row


def words_ruling(rule: dict[str, Any], case: dict[str, Any]) -> dict[str, Any] | None:
    """Judge a parameter that is told in words, such as clarity; the worst answer counts."""
    found = None
    for reading in held_readings(rule, case["readings"]):
        if reading["parameter"] == rule["parameter"]:
            verdict = "meets"
            if reading["value"] != rule["limit"]:
                verdict = failing_verdict(rule["level"])
                if reading["value"] == "cannot-tell" or reading["value"] == "unknown":
                    verdict = "not-judged"
            held = weighed(rule, case, verdict)
            if found is None or severity(held["verdict"]) < severity(found["verdict"]):
                found = result_of(rule, reading["value"], held["verdict"], held["counted"])
    return found


def doubted_verdict(case: dict[str, Any], parameter: str, verdict: str) -> str:
    """Let doubt speak: what is not judged is not judged; what is not believed never meets."""
    if parameter in case["doubted"]:
        return "not-judged"
    if parameter in case["disbelieved"] and not fails(verdict):
        return "not-judged"
    return verdict


def further_out(comparison: str, number: int, than: int) -> bool:
    """Tell whether a number lies further towards breaking a limit than another."""
    if comparison == "at-least" or comparison == "above":
        return number < than
    if comparison == "at-most" or comparison == "below":
        return number > than
    return False


def not_computed(rule: dict[str, Any], case: dict[str, Any]) -> dict[str, Any] | None:
    """Give the row of a clause that cannot be worked out, where its parameter was read."""
    for reading in case["readings"]:
        if reading["parameter"] == rule["parameter"]:
            return result_of(rule, reading["value"], "not-judged", None)
    # Combined chlorine is seldom read: it is what total has over free.
    for value in values_in(case, rule["parameter"]):
        return result_of(rule, value["text"], "not-judged", None)
    return None


def ruling_of(rule: dict[str, Any], case: dict[str, Any]) -> dict[str, Any] | None:
    """Judge one rule on the worst of its readings.

    Parameters
    ----------
    rule : dict
        Compiled rule that applies to this pool.
    case : dict
        Case with pool, readings, history, at, doubted and disbelieved.

    Returns
    -------
    dict or None
        A row {rule, clause, parameter, value, limit, comparison, verdict, and where they apply
        worked, lasting_hours, counted}; None where its parameter was not read.
    """
    if rule["computable"] is not True:
        return not_computed(rule, case)
    if rule["parameter"] in WORDS:
        return words_ruling(rule, case)
    values = values_held(rule, case)
    if len(values) == 0:
        return None
    found = None
    worst = 0
    limit = limit_for(rule, case)
    for value in values:
        verdict = "not-judged"
        counted = None
        if limit["known"]:
            verdict = ruling_on(rule, value, limit)
            if fails(verdict):
                held = weighed(rule, case, verdict)
                verdict = held["verdict"]
                counted = held["counted"]
        verdict = doubted_verdict(case, rule["parameter"], verdict)
        worse = found is None
        if found is not None:
            behind = severity(verdict) - severity(found["verdict"])
            out = further_out(rule["comparison"], value["number"], worst)
            worse = behind < 0 or (behind == 0 and out)
        if worse:
            found = result_of(rule, value["text"], verdict, counted)
            worst = value["number"]
    return found
