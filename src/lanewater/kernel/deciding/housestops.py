"""House stops: ours, not the law's, above every pack, role, sign-in and network state.

A hot pool's ceiling of 40 C (104 F) is that of several authorities; "reads none" is 0.05 mg/L
or less, within test error of zero (JUDG).
"""

from typing import Any

from lanewater.kernel.deciding.slips import likely_fahrenheit
from lanewater.kernel.deciding.tries import (
    at_point,
    last_in,
    number_of,
    relation_in,
    shown_text,
    word_of,
)

HOTTEST = 40000
NONE_AT_MOST = 50
LOOK_AGAIN = "Keep everyone out. House stop, not a legal verdict. "


def stop_for(identity: str, about: str, why: str, do: str) -> dict[str, Any]:
    """Write one house stop."""
    return {"id": identity, "about": about, "why": why, "do": LOOK_AGAIN + do}


def clarity_stop(value: str, spray: bool) -> list[dict[str, Any]]:
    """Give the stop that a look at the water asks for; on a spray pad it is the tank and grates."""
    if value == "not-visible":
        if spray:
            why = "The tank water is not clear, the pad not flushed, or a grate not in place."
            return [stop_for("bottom-not-seen", "clarity", why, "Stop the pad; tell the manager.")]
        why = "The bottom and the drain cover cannot be seen."
        return [stop_for("bottom-not-seen", "clarity", why, "Tell the duty manager; look for why.")]
    if value == "cannot-tell":
        if spray:
            why = "Nobody can tell whether the tank water is clear and the grates are in place."
            return [stop_for("bottom-cannot-tell", "clarity", why, "Open the tank, look again.")]
        why = "Nobody can tell whether the bottom can be seen."
        do = "Lights on, cover off, jets off, look again."
        return [stop_for("bottom-cannot-tell", "clarity", why, do)]
    return []


def look_stops(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give the stops that looking asks for: clarity and circulation."""
    found = []
    spray = case["pool"].get("kind") == "spray"
    for reading in case["readings"]:
        if reading["parameter"] == "clarity":
            for entry in clarity_stop(reading["value"], spray):
                found.append(entry)
        if reading["parameter"] == "circulation" and reading["value"] == "stopped":
            why = "Circulation has stopped."
            do = "Isolate the feeders by hand. Nobody in while it is restarted."
            found.append(stop_for("circulation-stopped", "circulation", why, do))
    return found


def heat_stops(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give the stop for water above 40 C, unless the number is most likely Fahrenheit."""
    found = []
    for reading in last_in(case, "temperature_c"):
        hot = number_of(reading) > HOTTEST or (
            relation_in(reading) == "above" and number_of(reading) == HOTTEST
        )
        if (
            hot
            and relation_in(reading) != "below"
            and not likely_fahrenheit(case, number_of(reading))
        ):
            why = "The water is " + shown_text(reading) + " C" + at_point(reading) + ", above 40."
            found.append(stop_for("hot-pool", "temperature_c", why, "Heating off, measure again."))
    return found


def disinfectant_stops(case: dict[str, Any], parameter: str) -> list[dict[str, Any]]:
    """Give the stops for a disinfectant that reads none or is over range, until it is repeated."""
    found = []
    for reading in last_in(case, parameter):
        name = word_of(parameter) + at_point(reading)
        if relation_in(reading) == "above":
            why = name + " is over range, " + shown_text(reading) + "."
            do = "Repeat it diluted: 1 part made up to 5, x5."
            found.append(stop_for("disinfectant-over-range", parameter, why, do))
        elif relation_in(reading) == "below" or number_of(reading) <= NONE_AT_MOST:
            why = name + " reads none, " + shown_text(reading) + "."
            do = "Repeat the test, diluted as well. Add nothing before that."
            found.append(stop_for("disinfectant-none", parameter, why, do))
    return found


def house_stops(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give every house stop that the readings of a case ask for.

    Parameters
    ----------
    case : dict
        As judge() takes it; neither rules nor history are needed.

    Returns
    -------
    list of dict
        {"id", "about", "why", "do"}; empty where there is none.
    """
    found = look_stops(case)
    for entry in heat_stops(case):
        found.append(entry)
    family = case["pool"].get("disinfectant")
    if family != "bromine":
        for entry in disinfectant_stops(case, "free_chlorine"):
            found.append(entry)
    if family != "chlorine":
        for entry in disinfectant_stops(case, "total_bromine"):
            found.append(entry)
    return found
