"""The clock of a contact time: what counted, what is left, and when it could be at the earliest.

Only the conservative sum drives it: each stretch at its lower end, at the lowest point. It starts
at a measured reading that meets every condition, never at an addition.
"""

from typing import Any

from lanewater.kernel.deciding.contactrounds import CONTACT_WINDOW
from lanewater.kernel.deciding.decimals import thousandths_of_float
from lanewater.kernel.water.contacttime import (
    ct_between,
    free_after,
    minutes_to_ct,
    share_to_come,
)


def not_counted(time: dict[str, Any], needs: dict[str, Any]) -> list[str]:
    """Say why a time does not count; nothing where it does.

    Parameters
    ----------
    time : dict
        One of those that `contact_times` gives.
    needs : dict
        {"free_least", "ph_most", "temperature_least", "cyanuric_most"}: thousandths or None.
    """
    if time.get("stopped", False) is True:
        return ["circulation-stopped"]
    why = []
    least = needs["free_least"]
    if least is not None and time["free"] < least:
        why.append("free-under")
    if needs["ph_most"] is not None:
        if time["ph"] is None or ph_is_old(time):
            why.append("ph-not-known")
        elif time["ph"]["number"] > needs["ph_most"]:
            why.append("ph-over")
    if needs["temperature_least"] is not None:
        if time["temperature_c"] is None:
            why.append("temperature-not-known")
        elif time["temperature_c"]["number"] < needs["temperature_least"]:
            why.append("temperature-under")
    if needs["cyanuric_most"] is not None:
        if time["cyanuric_acid"] is None:
            why.append("cyanuric-not-known")
        elif time["cyanuric_acid"]["number"] > needs["cyanuric_most"]:
            why.append("cyanuric-over")
    return why


def ph_is_old(time: dict[str, Any]) -> bool:
    """Tell whether a time's pH was read before chlorine was last added, not in one test with it."""
    return time["added"] is not None and time["ph"]["at"] <= time["added"] - CONTACT_WINDOW


def points_full(time: dict[str, Any], needs: dict[str, Any]) -> bool:
    """Tell whether as many points were read at a time as the procedure asks for."""
    least: int = needs.get("points_least", 1)
    points: int = time.get("points", 1)
    return points >= least


def whys_of(times: list[dict[str, Any]], needs: dict[str, Any]) -> list[list[str]]:
    """Say of each time why it does not count; see `not_counted`.

    A time runs only from one at which every point that is asked for was read.
    """
    whys = []
    begun = False
    for time in times:
        why = not_counted(time, needs)
        if len(why) > 0:
            begun = False
        elif points_full(time, needs):
            begun = True
        elif not begun:
            why.append("points-under")
        whys.append(why)
    return whys


def held_to_points(
    times: list[dict[str, Any]], whys: list[list[str]], needs: dict[str, Any]
) -> list[dict[str, Any]]:
    """Give times of which those with too few points count no higher than the one before them.

    Parameters
    ----------
    times, whys : list
        As `contact_times` and `whys_of` give them.
    needs : dict
        With "points_least".
    """
    found: list[dict[str, Any]] = []
    for place in range(len(times)):
        time = times[place]
        if place > 0 and len(whys[place]) == 0 and not points_full(time, needs):
            kept = {}
            for key, value in time.items():
                kept[key] = value
            kept["free"] = min(time["free"], found[place - 1]["free"])
            time = kept
        found.append(time)
    return found


def run_clock(
    times: list[dict[str, Any]], whys: list[list[str]], needs: dict[str, Any]
) -> dict[str, Any]:
    """Add up the contact time over the times that count.

    Parameters
    ----------
    times, whys : list
        As `contact_times` and `whys_of` give them.
    needs : dict
        {"ct": thousandths of mg min/L, "seconds": least time, "broken": "restart" or "hold"}.

    Returns
    -------
    dict
        {"total": conservative, "double": twice the trapezoid [thousandths of mg/L x s], "held",
        "started": UTC s or None, "reached": UTC s or None, "restarts": [UTC s]}.
    """
    ran: dict[str, Any] = {"total": 0, "double": 0, "held": 0, "started": None, "reached": None}
    restarts: list[int] = []
    for place in range(len(times)):
        time = times[place]
        if len(whys[place]) > 0:
            over = needs["broken"] == "restart" and ran["reached"] is None
            if over and ran["started"] is not None:
                restarts.append(time["at"])
                ran["total"] = 0
                ran["double"] = 0
                ran["held"] = 0
                ran["started"] = None
            continue
        if ran["started"] is None:
            ran["started"] = time["at"]
        elif len(whys[place - 1]) == 0:
            before = times[place - 1]
            span = time["at"] - before["at"]
            ran["total"] += ct_between(span, before["free"], time["free"])
            ran["double"] += span * (before["free"] + time["free"])
            ran["held"] += span
        enough = ran["total"] >= 60 * needs["ct"] and ran["held"] >= needs["seconds"]
        if enough and ran["reached"] is None and points_full(time, needs):
            ran["reached"] = time["at"]
    ran["restarts"] = restarts
    return ran


def left_of(ran: dict[str, Any], needs: dict[str, Any]) -> dict[str, Any]:
    """Give what is left: contact time, seconds, and both told as contact time, rounded up.

    Returns
    -------
    dict
        {"total": thousandths of mg/L x s, "seconds", "ct": thousandths of mg min/L}.
    """
    if ran["reached"] is not None:
        return {"total": 0, "seconds": 0, "ct": 0}
    total = max(60 * needs["ct"] - ran["total"], 0)
    seconds = max(needs["seconds"] - ran["held"], 0)
    least = needs["free_least"]
    told = total
    if least is not None:
        told = max(total, least * seconds)
    return {"total": total, "seconds": seconds, "ct": -(-told // 60)}


def whole_minute(at: int) -> int:
    """Give the first whole minute that is not before a moment. [UTC s]"""
    return -(-at // 60) * 60


def ahead_of(
    times: list[dict[str, Any]],
    whys: list[list[str]],
    needs: dict[str, Any],
    ran: dict[str, Any],
    decay: dict[str, Any],
) -> dict[str, Any]:
    """Tell when the contact time could be complete, if the next reading holds.

    Parameters
    ----------
    times, whys, needs, ran
        As `run_clock` takes and gives them.
    decay : dict
        As `decay_of` gives it.

    Returns
    -------
    dict
        {"not_before": whole minute, UTC s, or None, "reachable": True, False (not from here) or
        None (not known), "why": "" or a finding's id}.
    """
    if ran["reached"] is not None:
        return {"not_before": whole_minute(ran["reached"]), "reachable": True, "why": ""}
    if len(times) == 0 or len(whys[-1]) > 0:
        return {"not_before": None, "reachable": None, "why": "clock-not-running"}
    left = left_of(ran, needs)
    last = times[-1]
    falls = decay["state"] == "falling"
    never = never_from(last["free"], decay["rate"], left, needs)
    if (last["free"] == 0 and left["total"] > 0) or (falls and never):
        return {"not_before": None, "reachable": False, "why": "cannot-be-reached"}
    wait = left["seconds"]
    if left["total"] > 0 and falls:
        minutes = minutes_to_ct(1.0 * last["free"], decay["rate"], left["total"] / 60)
        wait = max(wait, -(-thousandths_of_float(60 * minutes) // 1000))
    elif left["total"] > 0:
        wait = max(wait, -(-left["total"] // last["free"]))
    reachable: bool | None = True
    why = ""
    if decay["state"] == "unknown":
        reachable = None
        why = "decay-not-known"
    elif never:
        reachable = None
        why = "decay-not-clear"
    return {"not_before": whole_minute(last["at"] + wait), "reachable": reachable, "why": why}


def never_from(free: int, rate: float, left: dict[str, Any], needs: dict[str, Any]) -> bool:
    """Tell whether a free chlorine that goes on falling never comes to what is left.

    Parameters
    ----------
    free : int
        Now, at the lowest point. [thousandths of mg/L]
    rate : float
        As fitted. [1/min]
    left, needs : dict
        As `left_of` takes and gives them.
    """
    if rate <= 0.0 or free <= 0:
        return False
    if thousandths_of_float(share_to_come(1.0 * free, rate, left["total"] / 60)) >= 1000:
        return True
    least = needs["free_least"]
    if least is None or left["seconds"] == 0:
        return False
    after = thousandths_of_float(free_after(free / 1000, rate, left["seconds"] / 60))
    return after < least
