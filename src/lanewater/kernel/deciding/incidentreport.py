"""What the record of an incident is to hold at its end: the water as found and as left, the clock.

Kind, times and who stand in the entries themselves (asked for by Maine, the US ships' programme and
Wichita). Only what is known is said; numbers are texts as read.
"""

from typing import Any

from lanewater.kernel.deciding.decimals import decimal_text
from lanewater.kernel.deciding.tries import last_tries, number_of, shown_text


def lowest_read(row: dict[str, Any], parameter: str) -> str:
    """Give the lowest reading of a parameter in a round as read, "" where there is none."""
    lowest: dict[str, Any] | None = None
    for reading in last_tries(row["readings"], parameter):
        if lowest is None or number_of(reading) < number_of(lowest):
            lowest = reading
    if lowest is None:
        return ""
    return shown_text(lowest)


def water_of(incident: dict[str, Any], pool: str) -> dict[str, str]:
    """Give free chlorine and pH of a pool as they were found and as they were left."""
    found: dict[str, str] = {"pool": pool}
    for row in incident["rounds"]:
        if row["pool"] == pool:
            for name, parameter in [("free", "free_chlorine"), ("ph", "ph")]:
                said = lowest_read(row, parameter)
                if said != "":
                    if "found_" + name not in found:
                        found["found_" + name] = said
                    found["left_" + name] = said
    return found


def incident_report(
    incident: dict[str, Any], clock: dict[str, Any] | None, still: int | None
) -> dict[str, Any]:
    """Give what goes into the entry that ends an incident, beside its outcome.

    Parameters
    ----------
    incident : dict
        As a pool's facts hold it.
    clock : dict or None
        As `chosen_clock` gives it.
    still : int or None
        How long circulation stood still, where that is told. [min]

    Returns
    -------
    dict
        {"pools", "water": [{"pool", "found_free"?, "found_ph"?, "left_free"?, "left_ph"?}],
        "procedure"?, "route"?, "ct"? (mg min/L), "held_minutes"?, "still_minutes"?}.
    """
    water = []
    for pool in incident["pools"]:
        water.append(water_of(incident, pool))
    found: dict[str, Any] = {"pools": incident["pools"], "water": water}
    if clock is not None:
        found["procedure"] = clock["procedure"]
        found["route"] = clock["id"]
        found["ct"] = decimal_text(clock["ct_conservative"])
        found["held_minutes"] = clock["held_seconds"] // 60
    if still is not None:
        found["still_minutes"] = still
    return found
