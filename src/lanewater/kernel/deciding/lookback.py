"""How far rules look back that one reading does not break, and the earlier rounds they then see."""

from typing import Any

from lanewater.kernel.deciding.lasting import SECONDS_OF_A_DAY, add_parameter, breaks_at_once

MS_OF_ONE_SECOND = 1000


def seconds_back(rule: dict[str, Any]) -> int:
    """Give how far back a rule looks in time, and a day more, to see where it began."""
    days = 0
    if rule.get("share") is not None:
        days = rule["share"]["days"]
    elif rule.get("window") is not None and rule["window"]["unit"] == "days":
        days = rule["window"]["of"]
    elif rule["lasting_seconds"] == 0:
        return 0
    found: int = rule["lasting_seconds"] + (days + 1) * SECONDS_OF_A_DAY
    return found


def samples_back(rule: dict[str, Any]) -> int:
    """Give how many earlier samples a rule looks at, however old."""
    if rule.get("window") is not None and rule["window"]["unit"] == "samples":
        of: int = rule["window"]["of"]
        return of - 1
    asked: int = rule.get("consecutive", 1)
    return asked - 1


def lookback_of(pack: dict[str, Any] | None) -> dict[str, Any]:
    """Give how far the rules of a pack look back.

    Parameters
    ----------
    pack : dict or None
        Compiled pack.

    Returns
    -------
    dict
        {"seconds", "samples": of each parameter, however old, "parameters": empty where no rule
        looks back}.
    """
    seconds = 0
    samples = 0
    parameters: list[str] = []
    if pack is not None:
        for rule in pack["rules"]:
            if not breaks_at_once(rule):
                seconds = max(seconds, seconds_back(rule))
                samples = max(samples, samples_back(rule))
                add_parameter(parameters, rule["parameter"])
                for condition in rule["when"]:
                    if condition["of"] == "reading":
                        add_parameter(parameters, condition["name"])
                for step in rule.get("modify", []):
                    for condition in step["when"]:
                        if condition["of"] == "reading":
                            add_parameter(parameters, condition["name"])
    return {"seconds": seconds, "samples": samples, "parameters": parameters}


def looked_back(
    rows: list[dict[str, Any]], asked: dict[str, Any], at: int, without: str
) -> list[dict[str, Any]]:
    """Choose the rounds that rules look back at.

    Parameters
    ----------
    rows : list of dict
        Rounds oldest first: {"id", "at": UTC ms, "parameters", "readings"}.
    asked : dict
        As `lookback_of`.
    at : int
        When the round is taken; later ones are left out. [UTC ms]
    without : str
        The id of the round itself.
    """
    counts: dict[str, int] = {}
    found = []
    place = len(rows) - 1
    while place >= 0:
        row = rows[place]
        if row["at"] <= at and row["id"] != without:
            wanted = False
            for name in row["parameters"]:
                if name in asked["parameters"]:
                    near = at - row["at"] <= asked["seconds"] * MS_OF_ONE_SECOND
                    if near or counts.get(name, 0) < asked["samples"]:
                        wanted = True
                    counts[name] = counts.get(name, 0) + 1
            if wanted:
                found.append(row)
        place = place - 1
    return found


def window_of_history(
    history: list[dict[str, Any]], rows: list[dict[str, Any]]
) -> list[dict[str, Any]]:
    """Give a case's history with the rounds that are looked back at and not in it.

    Parameters
    ----------
    history : list of dict
        {"at": UTC seconds, "readings"}.
    rows : list of dict
        As `looked_back` chooses them, "at" in UTC milliseconds.
    """
    found = []
    for row in history:
        found.append(row)
    for row in rows:
        at = row["at"] // MS_OF_ONE_SECOND
        known = False
        for other in history:
            if other["at"] == at:
                known = True
        if not known:
            found.append({"at": at, "readings": row["readings"]})
    return found
