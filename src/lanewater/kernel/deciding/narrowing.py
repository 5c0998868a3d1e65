"""A pack for one pool: what its facts decide is decided once, for many rounds of it."""

from typing import Any

from lanewater.kernel.deciding.classes import pool_in_classes
from lanewater.kernel.deciding.conditions import fact_condition_holds, number_condition_holds

# Whether stabiliser is used is also told by what was read.
TOLD_BY_READINGS = "stabiliser"


def decided_by_pool(condition: dict[str, Any], case: dict[str, Any]) -> str:
    """Tell what a pool's facts alone say of a condition: yes, no, or unknown."""
    if condition["of"] == "number":
        return number_condition_holds(case, condition)
    if condition["of"] != "fact" or condition["name"] == TOLD_BY_READINGS:
        return "unknown"
    if case["pool"].get(condition["name"]) is None:
        return "unknown"
    return fact_condition_holds(case, condition, 0)


def for_pool(rows: list[dict[str, Any]], case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give the rules or intervals that may apply to a pool, less the conditions that are met."""
    found = []
    for row in rows:
        left = []
        out = False
        for condition in row["when"]:
            answer = decided_by_pool(condition, case)
            if answer == "no":
                out = True
            elif answer == "unknown":
                left.append(condition)
        if not out:
            copied = {}
            for key, value in row.items():
                copied[key] = value
            copied["when"] = left
            bare = len(row.get("methods", [])) == 0 and len(row.get("modify", [])) == 0
            copied["plain"] = bare and len(left) == 0
            found.append(copied)
    return found


def pack_for_pool(pack: dict[str, Any], pool: dict[str, Any]) -> dict[str, Any]:
    """Give a pack that answers for one pool as the whole does, with less to look at.

    Parameters
    ----------
    pack : dict
        Compiled pack.
    pool : dict
        The pool's facts; every case judged by the result must have these.

    Returns
    -------
    dict
        The pack with the rules and intervals that may apply.
    """
    case: dict[str, Any] = {
        "pool": pool,
        "readings": [],
        "history": [],
        "doubted": [],
        "disbelieved": [],
    }
    # A class that hangs on stabiliser may change with what is read: then nothing is decided by it.
    steady = True
    for row in pack["classes"]:
        for condition in row["when"]:
            if condition["of"] != "number" and condition["name"] == TOLD_BY_READINGS:
                steady = False
    if steady:
        case["pool"] = pool_in_classes(pack, case)
    found = {}
    for key, value in pack.items():
        found[key] = value
    found["rules"] = for_pool(pack["rules"], case)
    found["intervals"] = for_pool(pack["intervals"], case)
    return found
