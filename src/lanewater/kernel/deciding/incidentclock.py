"""The rules' own procedures for an incident, each route with its clock over every pool it stops.

Routes stand in the rules' order: nothing here sorts them by time or calls one better. A clock runs
on readings only, each pool's by itself, and a route is reached where it is at every pool.
"""

from typing import Any

from lanewater.kernel.deciding.conditions import applies
from lanewater.kernel.deciding.contacttime import contact_for_procedure
from lanewater.kernel.deciding.incidentkinds import INCIDENTS
from lanewater.kernel.deciding.pumpstopped import pump_stood, stood_still_at, stopped_reading

COUNTS_AS_NONE = "<0.01"
# The most of these over the pools is told, for the others the least.
MOST_OF_POOLS = ("remaining", "target_ct", "least_seconds")
LEAST_OF_POOLS = ("ct_conservative", "held_seconds")
# All pools must have them; the latest counts.
LATEST_OF_POOLS = ("started", "reached", "not_before")


def as_none(reading: dict[str, Any]) -> dict[str, Any]:
    """Give a reading of free chlorine that is in doubt as it counts: as none, until repeated."""
    found = {}
    for key, value in reading.items():
        found[key] = value
    found["value"] = COUNTS_AS_NONE
    found["dilution"] = 1
    return found


def last_seen(incident: dict[str, Any]) -> int:
    """Give when it last happened: when it began, or was noted to have happened again. [UTC ms]

    What was read or done before that shows nothing of what is in the water since.
    """
    last: int = incident["at"]
    for row in incident["notes"]:
        if row["what"] == "again":
            last = max(last, row["at"])
    return last


def clock_readings(incident: dict[str, Any], pool: str) -> list[dict[str, Any]]:
    """Give what a pool's clock counts: what was read since it last happened, and can be believed.

    Free chlorine in doubt counts as none; what else is in doubt counts as not read.

    Parameters
    ----------
    incident : dict
        As a pool's facts hold it.
    pool : str
        One of its pools.
    """
    found = []
    since = last_seen(incident)
    for row in incident["rounds"]:
        if row["pool"] == pool:
            for reading in row["readings"]:
                doubtful = reading["parameter"] in row["doubtful"]
                still = stood_still_at(incident, pool, reading["at"] * 1000)
                if reading["at"] * 1000 >= since:
                    if reading["parameter"] == "free_chlorine" and (doubtful or still):
                        found.append(as_none(reading))
                    elif not doubtful:
                        found.append(reading)
    return found


def with_standstills(incident: dict[str, Any], pool: str) -> list[dict[str, Any]]:
    """Give what a pool's clock counts, with when circulation stood still by another incident.

    It is put as somebody who saw it would have read it: when it began to stand still, and at every
    test of the chlorine until it ran again.

    Parameters
    ----------
    incident : dict
        As a pool's facts hold it, with "still": see `standstills`.
    pool : str
        One of its pools.
    """
    found = clock_readings(incident, pool)
    since = last_seen(incident)
    for row in incident["rounds"]:
        seen = pump_stood(row["readings"])
        for reading in row["readings"]:
            still = seen or stood_still_at(incident, pool, reading["at"] * 1000)
            tested = row["pool"] == pool and reading["parameter"] == "free_chlorine"
            if tested and still and reading["at"] * 1000 >= since:
                found.append(stopped_reading(reading["at"]))
    for row in incident.get("still", []):
        over = row["until"] is not None and row["until"] < since
        if pool in row["pools"] and not over:
            found.append(stopped_reading(-(-max(row["from"], since) // 1000)))
    return found


def doubtful_times(incident: dict[str, Any]) -> list[int]:
    """Give when free chlorine was read that counts as none because it is in doubt. [UTC ms]"""
    found = []
    for row in incident["rounds"]:
        if "free_chlorine" in row["doubtful"]:
            found.append(row["at"])
    return sorted(found)


def procedures_for(incident: dict[str, Any], pack: dict[str, Any] | None) -> list[dict[str, Any]]:
    """Give the rules' procedures for what happened, in their order, each with what was assumed.

    Parameters
    ----------
    incident : dict
        As a pool's facts hold it.
    pack : dict or None
        The compiled rules of the incident's pool.

    Returns
    -------
    list of dict
        {"procedure": as compiled, "assumed": facts and readings that are not known}.
    """
    found: list[dict[str, Any]] = []
    if pack is None:
        return found
    kind: str = incident["kind"]
    readings = clock_readings(incident, incident["pool"])
    case = {"pool": incident["facts"], "readings": readings, "history": []}
    case["doubted"] = []
    case["disbelieved"] = []
    for procedure in pack["procedures"]:
        wanted = kind in procedure["for"] or INCIDENTS[kind]["contamination"] in procedure["for"]
        held = applies(case, procedure.get("when", []), 0)
        if wanted and held["holds"]:
            found.append({"procedure": procedure, "assumed": held["assumed"]})
    return found


def may_be_used(procedure: dict[str, Any]) -> bool:
    """Tell whether a procedure gives a time at all: an archived text gives none."""
    return procedure["archived"] is not True


def over_pools(states: list[dict[str, Any]]) -> dict[str, Any]:
    """Give one route's figures over all pools: the worst of them; nothing where one has none."""
    found: dict[str, Any] = {"reachable": True, "findings": []}
    for key in MOST_OF_POOLS:
        found[key] = states[0][key]
    for key in LEAST_OF_POOLS:
        found[key] = states[0][key]
    for key in LATEST_OF_POOLS:
        found[key] = states[0][key]
    for state in states:
        for key in MOST_OF_POOLS:
            found[key] = max(found[key], state[key])
        for key in LEAST_OF_POOLS:
            found[key] = min(found[key], state[key])
        for key in LATEST_OF_POOLS:
            if state[key] is None or found[key] is None:
                found[key] = None
            else:
                found[key] = max(found[key], state[key])
        if state["reachable"] is False or found["reachable"] is False:
            found["reachable"] = False
        elif state["reachable"] is None:
            found["reachable"] = None
        found["findings"] = findings_once(found["findings"], state["findings"])
    return found


def findings_once(one: list[dict[str, Any]], other: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give the findings of two lists, each id once."""
    found = []
    known: list[str] = []
    for finding in one:
        found.append(finding)
        known.append(finding["id"])
    for finding in other:
        if finding["id"] not in known:
            found.append(finding)
            known.append(finding["id"])
    return found


def in_ms(seconds: int | None) -> int | None:
    """Give UTC seconds as UTC milliseconds."""
    if seconds is None:
        return None
    return seconds * 1000


def clock_told(state: dict[str, Any]) -> dict[str, Any]:
    """Give a route's figures as they are told, its instants in UTC ms."""
    return {
        "started_ms": in_ms(state["started"]),
        "reached_ms": in_ms(state["reached"]),
        "not_before_ms": in_ms(state["not_before"]),
        "reachable": state["reachable"],
        "target_ct": state["target_ct"],
        "remaining": state["remaining"],
        "ct_conservative": state["ct_conservative"],
        "least_seconds": state["least_seconds"],
        "held_seconds": state["held_seconds"],
        "findings": state["findings"],
    }


def is_chosen(incident: dict[str, Any], procedure: str, route: str) -> bool:
    """Tell whether a person chose a route."""
    chosen = incident["route"]
    return chosen is not None and chosen["procedure"] == procedure and chosen["route"] == route


def routes_now(incident: dict[str, Any], procedure: dict[str, Any]) -> list[dict[str, Any]]:
    """Give a procedure's routes in the rules' order, each with its clock over all pools."""
    by_pool = []
    for pool in incident["pools"]:
        by_pool.append(contact_for_procedure(with_standstills(incident, pool), None, procedure))
    found = []
    for place in range(len(procedure["routes"])):
        route = procedure["routes"][place]
        states = []
        pools = []
        for index in range(len(by_pool)):
            state = by_pool[index][place]
            states.append(state)
            told = clock_told(state)
            told["pool"] = incident["pools"][index]
            pools.append(told)
        row = clock_told(over_pools(states))
        row["id"] = route["id"]
        row["words"] = route["words"]
        row["free_least"] = route["free_least"]
        row["seconds"] = route["seconds"]
        row["ct"] = route["ct"]
        row["may_choose"] = may_be_used(procedure)
        row["chosen"] = is_chosen(incident, procedure["id"], route["id"])
        row["pools"] = pools
        found.append(row)
    return found


def procedures_now(incident: dict[str, Any], pack: dict[str, Any] | None) -> list[dict[str, Any]]:
    """Give the rules' procedures for an incident with their routes, in the rules' own order.

    Parameters
    ----------
    incident : dict
        As a pool's facts hold it.
    pack : dict or None
        The compiled rules of the incident's pool.
    """
    found = []
    for held in procedures_for(incident, pack):
        procedure = held["procedure"]
        found.append(
            {
                "id": procedure["id"],
                "clause": procedure["clause"],
                "words": procedure["words"],
                "reopen": procedure["reopen"],
                "archived": procedure["archived"],
                "unstabilised_only": procedure["unstabilised_only"],
                "ph_most": procedure["ph_most"],
                "cyanuric_most": procedure["cyanuric_most"],
                "steps": procedure.get("steps", []),
                "assumed": held["assumed"],
                "routes": routes_now(incident, procedure),
            }
        )
    return found


def chosen_clock(procedures: list[dict[str, Any]]) -> dict[str, Any] | None:
    """Give the route that a person chose, where the rules hold it and it may be used."""
    for procedure in procedures:
        for route in procedure["routes"]:
            if route["chosen"] and route["may_choose"]:
                found = {}
                for key, value in route.items():
                    found[key] = value
                found["procedure"] = procedure["id"]
                found["clause"] = procedure["clause"]
                found["reopen"] = procedure["reopen"]
                found["ph_most"] = procedure["ph_most"]
                found["cyanuric_most"] = procedure["cyanuric_most"]
                return found
    return None
