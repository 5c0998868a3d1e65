"""The classes that rules work out of a pool's facts: its risk class, and others they name."""

from typing import Any

from lanewater.kernel.deciding.conditions import NEVER, applies, fact_of


def class_of(classes: list[dict[str, Any]], fact: str, case: dict[str, Any]) -> str | None:
    """Give the first class of a kind whose conditions hold, None where that is not known.

    Parameters
    ----------
    classes : list of dict
        Of a compiled pack, in its order.
    fact : str
        The kind: "risk_class", or another fact that the rules name.
    case : dict
        With "pool", "readings" and "history".
    """
    for row in classes:
        if row["fact"] == fact:
            answer = applies(case, row["when"], NEVER)
            if answer["holds"] and len(answer["assumed"]) == 0:
                found: str = row["id"]
                return found
            if answer["holds"]:
                return None
    return None


def pool_in_classes(pack: dict[str, Any], case: dict[str, Any]) -> dict[str, Any]:
    """Give a pool's facts with the classes of the rules; what the site set by hand stands.

    Parameters
    ----------
    pack : dict
        Compiled pack.
    case : dict
        With "pool", "readings" and "history".

    Returns
    -------
    dict
        The facts; unchanged where no class is known.
    """
    classes = pack.get("classes", [])
    facts: dict[str, Any] = case["pool"]
    for row in classes:
        held = {
            "pool": facts,
            "readings": case["readings"],
            "history": case["history"],
            "doubted": [],
            "disbelieved": [],
        }
        if fact_of(held, row["fact"], 0) is None:
            found = class_of(classes, row["fact"], held)
            if found is not None:
                copied = {}
                for key, value in facts.items():
                    copied[key] = value
                copied[row["fact"]] = found
                facts = copied
    return facts


def case_in_classes(pack: dict[str, Any], case: dict[str, Any]) -> dict[str, Any]:
    """Give a case whose pool has the classes of the rules; the case itself where they have none."""
    if len(pack.get("classes", [])) == 0:
        return case
    copied = {}
    for key, value in case.items():
        copied[key] = value
    copied["pool"] = pool_in_classes(pack, case)
    return copied
