"""Rules that one reading does not break: that must last, repeat, or fill a share of the samples.

Between two readings the state of the earlier one is taken to hold. What no history shows does not
count: a single break is then no breach of such a rule, and the plain rule beside it speaks.
"""

from typing import Any

from lanewater.kernel.deciding.conditions import condition_holds
from lanewater.kernel.deciding.decimals import whole_text
from lanewater.kernel.deciding.limits import (
    limit_for,
    modified,
    ruling_on,
    severity,
    values_in,
    values_of,
    with_limit,
)
from lanewater.kernel.deciding.standing import standing_readings
from lanewater.kernel.deciding.tries import WORDED

SECONDS_OF_A_DAY = 86400
UNDECIDED_WORDS = ("cannot-tell", "unknown")
PARTS_OF_COMBINED = ("combined_chlorine", "free_chlorine", "total_chlorine")


def add_parameter(parameters: list[str], name: str) -> None:
    """Add a parameter, and what it is worked out of."""
    if name == "combined_chlorine":
        for part in PARTS_OF_COMBINED:
            if part not in parameters:
                parameters.append(part)
    elif name not in parameters:
        parameters.append(name)


def readings_for(rule: dict[str, Any], readings: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give the readings that a rule without conditions looks at: of its parameter and its limit."""
    asked: list[str] = []
    add_parameter(asked, rule["parameter"])
    if rule.get("relative_to", "") != "":
        add_parameter(asked, rule["relative_to"])
    found = []
    for reading in readings:
        if reading["parameter"] in asked:
            found.append(reading)
    return found


def repeats(rule: dict[str, Any]) -> bool:
    """Tell whether a rule asks for more than one break."""
    if rule.get("consecutive", 1) > 1:
        return True
    return rule.get("window") is not None or rule.get("share") is not None


def breaks_at_once(rule: dict[str, Any]) -> bool:
    """Tell whether one reading can break a rule."""
    return rule["lasting_seconds"] == 0 and not repeats(rule)


def held_readings(rule: dict[str, Any], readings: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give the readings that a rule holds: not those of its parameter made by another method."""
    methods = rule.get("methods", [])
    if len(methods) == 0:
        return readings
    found = []
    for reading in readings:
        method = reading.get("method", "")
        other = method != "" and method not in methods
        if reading["parameter"] != rule["parameter"] or not other:
            found.append(reading)
    return found


def values_held(rule: dict[str, Any], case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give every value of a case that a rule holds."""
    if len(rule.get("methods", [])) == 0:
        return values_in(case, rule["parameter"])
    return values_of(held_readings(rule, case["readings"]), rule["parameter"])


def round_then(
    rule: dict[str, Any], case: dict[str, Any], row: dict[str, Any], earlier: bool
) -> dict[str, Any]:
    """Give an earlier round as a rule saw it then, with the rounds before it where asked for."""
    history = []
    readings = row["readings"]
    if not earlier:
        readings = readings_for(rule, readings)
    else:
        for other in rows_before(case):
            if other["at"] < row["at"]:
                history.append(other)
    return {
        "pool": case["pool"],
        "readings": standing_readings(readings),
        "history": history,
        "at": row["at"],
        "doubted": [],
        "disbelieved": [],
    }


def rows_before(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give the earlier rounds: those of the window where a case brings them, else its history."""
    found: list[dict[str, Any]] = case.get("window", case["history"])
    return found


def broken_at(rule: dict[str, Any], then: dict[str, Any]) -> str:
    """Tell whether readings broke a rule: yes, no, or unknown where one of them does not decide it.

    Unknown too where it was not read.
    """
    kept = 0
    undecided = 0
    readings = held_readings(rule, then["readings"])
    if rule["parameter"] in WORDED:
        for reading in readings:
            if reading["parameter"] == rule["parameter"]:
                if reading["value"] == rule["limit"]:
                    kept = kept + 1
                elif reading["value"] in UNDECIDED_WORDS:
                    undecided = undecided + 1
                else:
                    return "yes"
    else:
        limit = limit_for(rule, then)
        for value in values_of(readings, rule["parameter"]):
            ruling = "not-judged"
            if limit["known"]:
                ruling = ruling_on(rule, value, limit)
            if severity(ruling) < severity("not-judged"):
                return "yes"
            if ruling == "not-judged":
                undecided = undecided + 1
            else:
                kept = kept + 1
    if kept > 0 and undecided == 0:
        return "no"
    return "unknown"


def was_held(rule: dict[str, Any], then: dict[str, Any]) -> bool:
    """Tell whether the parameter of a rule was read in a round by a method that it speaks of."""
    for reading in held_readings(rule, then["readings"]):
        if reading["parameter"] == rule["parameter"]:
            return True
    return len(values_held(rule, then)) > 0


def state_then(rule: dict[str, Any], case: dict[str, Any], row: dict[str, Any]) -> str:
    """Tell whether an earlier round broke a rule, as its conditions and its limit were then.

    Returns
    -------
    str
        yes, no, undecided, or "not-read".
    """
    asked = []
    for condition in rule["when"]:
        if condition["of"] == "reading":
            asked.append(condition)
    printed: dict[str, Any] = rule.get("as_printed", rule)
    steps = len(printed.get("modify", [])) > 0
    then = round_then(rule, case, row, steps or len(asked) > 0)
    if not was_held(rule, then):
        return "not-read"
    oldest = row["at"] - case.get("borrow_seconds", 0)
    for condition in asked:
        if condition_holds(then, condition, oldest) == "no":
            return "no"
    held = printed
    if steps:
        held = with_limit(printed, modified(printed, then, oldest))
    state = broken_at(held, then)
    return "undecided" if state == "unknown" else state


def states_before(rule: dict[str, Any], case: dict[str, Any], since: int) -> list[dict[str, Any]]:
    """Give how each earlier round since an instant stood under a rule, oldest first."""
    found: list[dict[str, Any]] = []
    for row in rows_before(case):
        if since <= row["at"] and row["at"] < case["at"]:
            state = state_then(rule, case, row)
            if state != "not-read":
                at = row["at"]
                placed = []
                later = []
                if len(found) > 0 and found[len(found) - 1]["at"] > at:
                    for other in found:
                        if other["at"] > at:
                            later.append(other)
                        else:
                            placed.append(other)
                    found = placed
                found.append({"at": at, "state": state})
                for other in later:
                    found.append(other)
    return found


def counted_samples(
    states: list[dict[str, Any]], first: int, wanted: int, unit: str
) -> dict[str, Any]:
    """Count the breaks from one sample on, this one included: {fails, open, of, wanted, unit}."""
    fails = 1
    undecided = 0
    for index in range(max(first, 0), len(states)):
        if states[index]["state"] == "yes":
            fails = fails + 1
        elif states[index]["state"] == "undecided":
            undecided = undecided + 1
    samples = len(states) - max(first, 0) + 1
    return {"fails": fails, "open": undecided, "of": samples, "wanted": wanted, "unit": unit}


def counted_days(
    states: list[dict[str, Any]], case: dict[str, Any], window: dict[str, Any]
) -> dict[str, Any]:
    """Count the days with a break, this one included, by the days of the place."""
    offset: int = case.get("offset_seconds", 0)
    today = (case["at"] + offset) // SECONDS_OF_A_DAY
    broken: dict[str, str] = {}
    for row in states:
        day = (row["at"] + offset) // SECONDS_OF_A_DAY
        if today - window["of"] < day < today and row["state"] != "no":
            name = whole_text(today - day)
            if broken.get(name, "") != "yes":
                broken[name] = row["state"]
    fails = 1
    undecided = 0
    for _name, state in broken.items():
        if state == "yes":
            fails = fails + 1
        else:
            undecided = undecided + 1
    return {
        "fails": fails,
        "open": undecided,
        "of": window["of"],
        "wanted": window["fails"],
        "unit": "days",
    }


def counted_for(rule: dict[str, Any], case: dict[str, Any]) -> dict[str, Any] | None:
    """Count the breaks that a rule with a repetition asks for, this one included.

    Parameters
    ----------
    rule : dict
        Compiled rule that this round breaks.
    case : dict
        With "at", "history" and, where the history is cut short, "window".

    Returns
    -------
    dict or None
        {"fails", "open": undecided ones, "of", "wanted", "unit": samples, days or percent}; None
        where the case has no time.
    """
    if case["at"] is None:
        return None
    window = rule.get("window")
    share = rule.get("share")
    if share is not None:
        states = states_before(rule, case, case["at"] - share["days"] * SECONDS_OF_A_DAY)
        return counted_samples(states, 0, share["above_percent"], "percent")
    if window is not None and window["unit"] == "days":
        states = states_before(rule, case, case["at"] - (window["of"] + 1) * SECONDS_OF_A_DAY)
        return counted_days(states, case, window)
    states = states_before(rule, case, 0)
    if window is not None:
        return counted_samples(states, len(states) + 1 - window["of"], window["fails"], "samples")
    wanted: int = rule["consecutive"]
    return counted_samples(states, len(states) + 1 - wanted, wanted, "samples")


def after_repetition(counted: dict[str, Any] | None, verdict: str) -> str:
    """Turn a break of a rule with a repetition into a verdict, once there were enough of them."""
    if counted is None:
        return "not-judged"
    fails: int = counted["fails"]
    most = fails + counted["open"]
    if counted["unit"] == "percent":
        least = counted["wanted"] * counted["of"]
        if fails * 100 > least:
            return verdict
        return "not-judged" if most * 100 > least else "meets"
    if fails >= counted["wanted"]:
        return verdict
    return "not-judged" if most >= counted["wanted"] else "meets"


def broken_since(rule: dict[str, Any], case: dict[str, Any]) -> int | None:
    """Give the instant from which a rule has been broken without a break, or None if untimed."""
    since = case["at"]
    if since is None:
        return None
    latest_good = -1
    broken: list[int] = []
    for earlier in rows_before(case):
        if earlier["at"] < case["at"]:
            state = broken_at(rule, round_then(rule, case, earlier, False))
            if state == "no":
                latest_good = max(latest_good, earlier["at"])
            elif state == "yes":
                broken.append(earlier["at"])
    for at in broken:
        if at > latest_good:
            since = min(since, at)
    return since


def lasted(rule: dict[str, Any], case: dict[str, Any], verdict: str) -> str:
    """Turn a break of a rule with a duration into a verdict once it has lasted long enough."""
    since = broken_since(rule, case)
    if since is None:
        return "not-judged"
    if case["at"] - since > rule["lasting_seconds"]:
        return verdict
    return "meets"
