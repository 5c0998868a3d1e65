"""What the readings of an incident show by themselves: steps nobody ticks, and measured gates."""

from typing import Any

from lanewater.kernel.deciding.comparing import decided
from lanewater.kernel.deciding.contactrounds import CONTACT_WINDOW
from lanewater.kernel.deciding.decimals import reading_thousandths, relation_of
from lanewater.kernel.deciding.incidentclock import clock_readings


def read_at_all_pools(incident: dict[str, Any], parameters: tuple[str, ...]) -> bool:
    """Tell whether one of some parameters was read since the incident began, at every pool."""
    for pool in incident["pools"]:
        known = False
        for reading in clock_readings(incident, pool):
            if reading["parameter"] in parameters:
                known = True
        if not known:
            return False
    return True


def diluted_at_all_pools(incident: dict[str, Any]) -> bool:
    """Tell whether the disinfectant was read within the test's range since it began, everywhere."""
    for pool in incident["pools"]:
        known = False
        for reading in clock_readings(incident, pool):
            disinfectant = reading["parameter"] in ("free_chlorine", "total_bromine")
            if disinfectant and relation_of(reading["value"]) == "exact":
                known = True
        if not known:
            return False
    return True


def test_within(
    readings: list[dict[str, Any]], at: int, parameter: str, comparison: str, limit: int
) -> bool:
    """Tell whether a parameter was within a limit at every point of the test of one moment.

    Parameters
    ----------
    readings : list of dict
        Normal form, each with its time.
    at : int
        When the last point of the test was read. [UTC s]
    parameter, comparison : str
        What, and how a rule compares it.
    limit : int
        Thousandths.
    """
    known = False
    for reading in readings:
        near = at - CONTACT_WINDOW < reading["at"] and reading["at"] <= at
        if reading["parameter"] == parameter and near:
            known = True
            number = reading_thousandths(reading)
            if decided(number, relation_of(reading["value"]), comparison, limit) != "yes":
                return False
    return known


def incident_times(readings: list[dict[str, Any]], parameter: str) -> list[int]:
    """Give when a parameter was read, in order. [UTC s]"""
    found = []
    for reading in readings:
        if reading["parameter"] == parameter:
            found.append(reading["at"])
    return sorted(found)


def gate_holds(incident: dict[str, Any], gate: dict[str, Any]) -> bool:
    """Tell whether the last test of a parameter at every pool is within a limit.

    Parameters
    ----------
    incident : dict
        As a pool's facts hold it.
    gate : dict
        {"parameter", "comparison", "limit_thousandths"}.
    """
    for pool in incident["pools"]:
        readings = clock_readings(incident, pool)
        times = incident_times(readings, gate["parameter"])
        if len(times) == 0:
            return False
        last = times[len(times) - 1]
        limit: int = gate["limit_thousandths"]
        if not test_within(readings, last, gate["parameter"], gate["comparison"], limit):
            return False
    return True


def within_once(incident: dict[str, Any], parameter: str, most: int | None) -> bool:
    """Tell whether a parameter was once read at or under a limit at every pool; None: read at all.

    A pH counts although much chlorine spoils the dye afterwards.
    """
    if most is None:
        return read_at_all_pools(incident, (parameter,))
    for pool in incident["pools"]:
        readings = clock_readings(incident, pool)
        known = False
        for at in incident_times(readings, parameter):
            if test_within(readings, at, parameter, "at-most", most):
                known = True
        if not known:
            return False
    return True


def measured_done(
    incident: dict[str, Any], identity: str, clock: dict[str, Any] | None, criteria: dict[str, str]
) -> bool:
    """Tell whether a step that nobody ticks is done.

    Parameters
    ----------
    incident : dict
        As a pool's facts hold it.
    identity : str
        One of MEASURED.
    clock : dict or None
        As `chosen_clock` gives it.
    criteria : dict
        Of "water-meets", "two-point-round" and "quiet", whether it is met.
    """
    if identity == "water-read":
        disinfectant = read_at_all_pools(incident, ("free_chlorine", "total_bromine"))
        return disinfectant and read_at_all_pools(incident, ("ph",))
    if identity == "read-diluted":
        return diluted_at_all_pools(incident)
    if identity == "route":
        return clock is not None
    if identity == "ph-first":
        return within_once(incident, "ph", None if clock is None else clock["ph_most"])
    if identity == "stabiliser-first":
        most: int | None = None if clock is None else clock["cyanuric_most"]
        return within_once(incident, "cyanuric_acid", most)
    if identity == "contact-time":
        return clock is not None and clock["reached_ms"] is not None
    told = {"water-back": "water-meets", "two-point-test": "two-point-round", "quiet": "quiet"}
    return criteria.get(told[identity], "no") == "yes"


def rounds_at(incident: dict[str, Any], pool: str) -> list[dict[str, Any]]:
    """Give a pool's rounds since an incident began, the latest first."""
    found = []
    place = len(incident["rounds"]) - 1
    while place >= 0:
        if incident["rounds"][place]["pool"] == pool:
            found.append(incident["rounds"][place])
        place = place - 1
    return found


def left_unjudged(row: dict[str, Any]) -> bool:
    """Tell whether the rules say nothing of a round, and not because a number is in doubt."""
    return row["overall"] == "not-judged" and len(row["doubtful"]) == 0


def unjudged_now(incident: dict[str, Any]) -> bool:
    """Tell whether the rules do not judge the last round of one of an incident's pools."""
    for pool in incident["pools"]:
        rows = rounds_at(incident, pool)
        if len(rows) > 0 and left_unjudged(rows[0]):
            return True
    return False


def unjudged_since(incident: dict[str, Any]) -> int:
    """Give when the latest round was taken that the rules do not judge; words on it come after.

    Parameters
    ----------
    incident : dict
        As a pool's facts hold it.

    Returns
    -------
    int
        UTC ms; when the incident began where there is no such round.
    """
    since: int = incident["at"]
    for pool in incident["pools"]:
        rows = rounds_at(incident, pool)
        if len(rows) > 0 and left_unjudged(rows[0]):
            since = max(since, rows[0]["at"])
    return since
