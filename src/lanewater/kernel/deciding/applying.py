"""Which rules of a pack speak of a case, with the limits that hold now, and when it is in force."""

from typing import Any

from lanewater.kernel.deciding.classes import case_in_classes
from lanewater.kernel.deciding.conditions import NEVER, applies, oldest_borrowed
from lanewater.kernel.deciding.coverage import was_read
from lanewater.kernel.deciding.lasting import held_readings, was_held
from lanewater.kernel.deciding.limits import modified, values_by_parameter, with_limit
from lanewater.kernel.deciding.standing import standing_readings


def add_names(names: list[str], more: list[str]) -> None:
    """Add names that are not there yet."""
    for name in more:
        if name not in names:
            names.append(name)


def method_unknown(rule: dict[str, Any], case: dict[str, Any]) -> bool:
    """Tell whether a reading that a rule for some methods holds does not name its own."""
    if len(rule.get("methods", [])) == 0:
        return False
    for reading in held_readings(rule, case["readings"]):
        if reading["parameter"] == rule["parameter"] and reading.get("method", "") == "":
            return True
    return False


def rules_that_apply(pack: dict[str, Any], given: dict[str, Any]) -> dict[str, Any]:
    """Choose the rules of a pack that apply, and name what had to be assumed.

    Parameters
    ----------
    pack : dict
        Compiled pack.
    given : dict
        The case as it is judged.

    Returns
    -------
    dict
        {"rules": list of rules, each with the limit that holds now, "assumed": names of unknown
        facts and readings}. A fact counts as assumed only where a reading meets a rule that hangs
        on it.
    """
    case = case_in_classes(pack, given)
    oldest = oldest_borrowed(case["at"], pack["borrow_seconds"])
    chosen = []
    assumed: list[str] = []
    for rule in pack["rules"]:
        # What `pack_for_pool` worked out once: it applies as it stands, nothing is assumed.
        if rule.get("plain", False) is True:
            chosen.append(rule)
            continue
        unknown: list[str] = []
        holds = True
        if len(rule["when"]) > 0:
            answer = applies(case, rule["when"], oldest)
            holds = answer["holds"]
            unknown = answer["assumed"]
        if holds and len(rule.get("methods", [])) > 0 and was_read(case, rule["parameter"]):
            # A rule for other methods than the one that was used says nothing of this reading.
            holds = was_held(rule, case)
            if method_unknown(rule, case):
                unknown.append("method")
        if holds:
            held = rule
            if len(rule.get("modify", [])) > 0:
                found = modified(rule, case, oldest)
                if found["worked"] != "":
                    held = with_limit(rule, found)
                add_names(unknown, found["assumed"])
            chosen.append(held)
            if len(unknown) > 0 and was_read(case, rule["parameter"]):
                add_names(assumed, unknown)
    return {"rules": chosen, "assumed": assumed}


def with_doubt(case: dict[str, Any], findings: list[dict[str, Any]]) -> dict[str, Any]:
    """Give the case with the readings that stand and the parameters that findings put in doubt.

    Parameters
    ----------
    case : dict
        As it is judged.
    findings : list of dict
        Each with "effect" and the "parameters" that it reaches.
    """
    doubted: list[str] = []
    disbelieved: list[str] = []
    for finding in findings:
        for parameter in finding["parameters"]:
            if finding["effect"] == "not-judged":
                doubted.append(parameter)
            elif finding["effect"] == "not-believable":
                disbelieved.append(parameter)
    standing = standing_readings(case["readings"])
    return {
        "purpose": case["purpose"],
        "pool": case["pool"],
        "readings": standing,
        "values": values_by_parameter(standing),
        "history": case["history"],
        "window": case.get("window", case["history"]),
        "offset_seconds": case.get("offset_seconds", 0),
        "at": case["at"],
        "doubted": doubted,
        "disbelieved": disbelieved,
    }


def next_due_by_pack(pack: dict[str, Any], case: dict[str, Any]) -> dict[str, Any]:
    """Give when the pack wants the next test: the shortest interval that applies to this pool.

    Parameters
    ----------
    pack : dict
        Compiled pack.
    case : dict
        As it is judged.

    Returns
    -------
    dict
        {"at": UTC seconds or None, "why": text, "every_seconds": int, 0 where there is none}.
    """
    shortest = 0
    clause = ""
    asked = case_in_classes(pack, case)
    for interval in pack["intervals"]:
        if applies(asked, interval["when"], NEVER)["holds"]:
            if shortest == 0 or interval["every_seconds"] < shortest:
                shortest = interval["every_seconds"]
                clause = interval["clause"] + ": " + interval["words"]
    if shortest == 0:
        return {"at": None, "why": "this rules pack holds no test interval", "every_seconds": 0}
    at = None
    if case["at"] is not None:
        at = case["at"] + shortest
    return {"at": at, "why": clause, "every_seconds": shortest}


def in_force(pack: dict[str, Any], case: dict[str, Any]) -> bool:
    """Tell whether a pack was in force when the case was read; without a time it is taken to be.

    Its days are those of the place, as the case's own offset tells them.

    Parameters
    ----------
    pack : dict
        Compiled pack.
    case : dict
        "at" [UTC s] or None, "offset_seconds"?.
    """
    if case["at"] is None:
        return True
    at = case["at"] + case.get("offset_seconds", 0)
    after_start = pack["effective_from"] is None or at >= pack["effective_from"]
    before_end = pack["effective_to"] is None or at < pack["effective_to"]
    return after_start and before_end
