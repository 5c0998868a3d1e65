"""One rule of a pack against the readings of a case: worst point, persistence, doubt."""

from typing import Any

from lanewater.kernel.deciding.comparing import combined_value, decided, value_of
from lanewater.kernel.deciding.standing import standing_readings

WORDS = ("clarity", "circulation")
WORST_FIRST = (
    "evacuate",
    "close",
    "does-not-meet",
    "does-not-meet-borderline",
    "not-judged",
    "meets-borderline",
    "meets",
)


def severity(verdict: str) -> int:
    """Give the place of a verdict in the order from worst (0) to best."""
    for index in range(len(WORST_FIRST)):
        if WORST_FIRST[index] == verdict:
            return index
    raise ValueError("unknown verdict")


def pairs_at_points(readings: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give combined chlorine, total minus free, for every point where both were read."""
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
    if parameter == "combined_chlorine" and len(found) == 0:
        return pairs_at_points(readings)
    return found


def failing_verdict(level: str) -> str:
    """Give the verdict that goes with breaking a rule of a level."""
    if level == "evacuate" or level == "close":
        return level
    return "does-not-meet"


def limit_for(rule: dict[str, Any], readings: list[dict[str, Any]]) -> dict[str, Any]:
    """Give the limit as a fraction {known, numerator, denominator} in thousandths.

    A limit relative to another reading is times * reading + plus; the other reading must be
    exact. It is compared by cross multiplication, so nothing is rounded.
    """
    if rule["relative_to"] == "":
        return {"known": True, "numerator": rule["limit_thousandths"], "denominator": 1}
    others = values_of(readings, rule["relative_to"])
    if len(others) != 1 or others[0]["relation"] != "exact":
        return {"known": False, "numerator": 0, "denominator": 1}
    times = rule["times"]
    return {
        "known": True,
        "numerator": others[0]["number"] * times[0] + rule["limit_thousandths"] * times[1],
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


def failed_before(rule: dict[str, Any], readings: list[dict[str, Any]]) -> str:
    """Tell whether earlier readings broke a rule: yes, no, or unknown where it was not read."""
    answer = "unknown"
    standing = standing_readings(readings)
    for value in values_of(standing, rule["parameter"]):
        limit = limit_for(rule, standing)
        if limit["known"]:
            ruling = ruling_on(rule, value, limit)
            if severity(ruling) < severity("not-judged"):
                return "yes"
            if ruling != "not-judged":
                answer = "no"
    return answer


def broken_since(rule: dict[str, Any], case: dict[str, Any]) -> int | None:
    """Give the instant from which a rule has been broken without a break, or None if untimed.

    Between two readings the state of the earlier one is taken to hold.
    """
    since = case["at"]
    if since is None:
        return None
    latest_good = -1
    for earlier in case["history"]:
        before = earlier["at"] < case["at"] and earlier["at"] > latest_good
        if before and failed_before(rule, earlier["readings"]) == "no":
            latest_good = earlier["at"]
    for earlier in case["history"]:
        within = earlier["at"] > latest_good and earlier["at"] < since
        if within and failed_before(rule, earlier["readings"]) == "yes":
            since = earlier["at"]
    return since


def persistent(rule: dict[str, Any], case: dict[str, Any], verdict: str) -> str:
    """Turn a breach of a rule with a duration into a verdict once it has lasted long enough."""
    if rule["lasting_seconds"] == 0 or severity(verdict) >= severity("not-judged"):
        return verdict
    since = broken_since(rule, case)
    if since is None:
        return "not-judged"
    if case["at"] - since > rule["lasting_seconds"]:
        return verdict
    return "meets"


def result_of(rule: dict[str, Any], value: str, verdict: str) -> dict[str, Any]:
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
    return row


def words_ruling(rule: dict[str, Any], case: dict[str, Any]) -> dict[str, Any] | None:
    """Judge a parameter that is told in words, such as clarity; the worst answer counts."""
    found = None
    for reading in case["readings"]:
        if reading["parameter"] == rule["parameter"]:
            verdict = "meets"
            if reading["value"] != rule["limit"]:
                verdict = failing_verdict(rule["level"])
                if reading["value"] == "cannot-tell" or reading["value"] == "unknown":
                    verdict = "not-judged"
            if found is None or severity(verdict) < severity(found["verdict"]):
                found = result_of(rule, reading["value"], verdict)
    return found


def doubted_verdict(case: dict[str, Any], parameter: str, verdict: str) -> str:
    """Let doubt speak: what is not judged is not judged; what is not believed never meets."""
    if parameter in case["doubted"]:
        return "not-judged"
    if parameter in case["disbelieved"] and severity(verdict) > severity("not-judged"):
        return "not-judged"
    return verdict


def further_out(comparison: str, number: int, than: int) -> bool:
    """Tell whether a number lies further towards breaking a limit than another."""
    if comparison == "at-least" or comparison == "above":
        return number < than
    if comparison == "at-most" or comparison == "below":
        return number > than
    return False


def ruling_of(rule: dict[str, Any], case: dict[str, Any]) -> dict[str, Any] | None:
    """Judge one rule on the worst of its readings.

    Parameters
    ----------
    rule : dict
        Compiled rule that applies to this pool.
    case : dict
        Case with readings, history, at, doubted and disbelieved.

    Returns
    -------
    dict or None
        A row {rule, clause, parameter, value, limit, comparison, verdict}; None where its
        parameter was not read.
    """
    if rule["computable"] is not True:
        for reading in case["readings"]:
            if reading["parameter"] == rule["parameter"]:
                return result_of(rule, reading["value"], "not-judged")
        return None
    if rule["parameter"] in WORDS:
        return words_ruling(rule, case)
    found = None
    worst = 0
    for value in values_of(case["readings"], rule["parameter"]):
        verdict = "not-judged"
        limit = limit_for(rule, case["readings"])
        if limit["known"]:
            verdict = persistent(rule, case, ruling_on(rule, value, limit))
        verdict = doubted_verdict(case, rule["parameter"], verdict)
        worse = found is None
        if found is not None:
            behind = severity(verdict) - severity(found["verdict"])
            out = further_out(rule["comparison"], value["number"], worst)
            worse = behind < 0 or (behind == 0 and out)
        if worse:
            found = result_of(rule, value["text"], verdict)
            worst = value["number"]
    return found
