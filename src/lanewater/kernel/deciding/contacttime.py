"""Contact time from real readings: by a target, by a germ's table, or by the rules' own routes.

Routes stand in the rules' order; nothing here ranks them by time, and nothing shortens them.
"""

from typing import Any

from lanewater.kernel.deciding.contactclock import (
    ahead_of,
    held_to_points,
    left_of,
    run_clock,
    whys_of,
)
from lanewater.kernel.deciding.contactdecay import decay_of
from lanewater.kernel.deciding.contactfindings import (
    carried_findings,
    contact_finding,
    ph_findings,
    reading_findings,
    uncounted_findings,
)
from lanewater.kernel.deciding.contactneeds import (
    germ_needs,
    known_stabiliser,
    needs_of_route,
    plain_needs,
)
from lanewater.kernel.deciding.contactrounds import BEYOND, contact_rows, contact_times
from lanewater.kernel.deciding.decimals import thousandths_of_float
from lanewater.kernel.water.contacttime import most_ct


def contact_seen(readings: list[dict[str, Any]], stabiliser: int | None) -> dict[str, Any]:
    """Give what the readings themselves tell, whatever is asked of them.

    Parameters
    ----------
    readings : list of dict
        Normal form, in any order; those without a time are passed over.
    stabiliser : int or None
        Cyanuric acid that was said of the water as a whole; a reading of it stands before it.
        [thousandths of mg/L]

    Returns
    -------
    dict
        {"rows", "times", "decay"}: see `contact_rows`, `contact_times`, `decay_of`.
    """
    rows = contact_rows(readings)
    times = contact_times(rows)
    for time in times:
        if time["cyanuric_acid"] is None and stabiliser is not None:
            time["cyanuric_acid"] = {"number": stabiliser, "at": time["at"]}
    return {"rows": rows, "times": times, "decay": decay_of(rows)}


def joined_findings(one: list[dict[str, Any]], other: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give two lists of findings as one."""
    findings = []
    for finding in one:
        findings.append(finding)
    for finding in other:
        findings.append(finding)
    return findings


def contact_state(
    seen: dict[str, Any], needs: dict[str, Any], held_back: bool, explicit: bool
) -> dict[str, Any]:
    """Hold what was seen against one set of needs.

    Parameters
    ----------
    seen : dict
        As `contact_seen` gives it.
    needs : dict
        As `plain_needs` or `needs_of_route` gives them.
    held_back : bool
        No time is given: the need is not one to wait by.
    explicit : bool
        The rules say themselves what a reading that falls short does.

    Returns
    -------
    dict
        {"target_ct", "ct_conservative", "ct_trapezoid", "remaining": thousandths of mg min/L,
        "least_seconds", "held_seconds", "started", "reached", "not_before": UTC s or None,
        "reachable": True, False or None, "most_ct": all that can still come where it is falling,
        or None, "findings"}.
    """
    whys = whys_of(seen["times"], needs)
    times = held_to_points(seen["times"], whys, needs)
    ran = run_clock(times, whys, needs)
    ahead = ahead_of(times, whys, needs, ran, seen["decay"])
    findings = joined_findings(
        uncounted_findings(times, whys), carried_findings(times, whys, needs)
    )
    for finding in ph_findings(times, needs):
        findings.append(finding)
    if len(ran["restarts"]) > 0:
        findings.append(contact_finding("restarted", ran["restarts"]))
        if not explicit:
            findings.append(contact_finding("restart-assumed", None))
    elif needs["broken"] == "hold" and len(uncounted_findings(times, whys)) > 0:
        findings.append(contact_finding("held", None))
    if ahead["why"] != "" and len(times) > 0:
        findings.append(contact_finding(ahead["why"], None))
    most: int | None = None
    if seen["decay"]["state"] == "falling":
        most = thousandths_of_float(most_ct(times[-1]["free"] / 1000, seen["decay"]["rate"]))
    return {
        "target_ct": needs["ct"],
        "ct_conservative": ran["total"] // 60,
        "ct_trapezoid": ran["double"] // 120,
        "remaining": left_of(ran, needs)["ct"],
        "least_seconds": needs["seconds"],
        "held_seconds": ran["held"],
        "started": ran["started"],
        "reached": None if held_back else ran["reached"],
        "not_before": None if held_back else ahead["not_before"],
        "reachable": None if held_back and ahead["reachable"] is True else ahead["reachable"],
        "most_ct": most,
        "findings": findings,
    }


def stabiliser_findings(
    seen: dict[str, Any], stabiliser: int | None, limit: int | None
) -> list[dict[str, Any]]:
    """Warn of stabiliser where what is asked names no limit of it. [thousandths of mg/L]"""
    known = known_stabiliser(seen["times"], stabiliser)
    if limit is None and known is not None and known > 0:
        return [contact_finding("stabiliser-present", None)]
    return []


def contact_for_target(
    readings: list[dict[str, Any]], stabiliser: int | None, target_ct: int
) -> dict[str, Any]:
    """Answer for a contact time that was named.

    Parameters
    ----------
    readings : list of dict
        Normal form.
    stabiliser : int or None
        Cyanuric acid of the water as a whole. [thousandths of mg/L]
    target_ct : int
        Above zero. [thousandths of mg min/L]

    Returns
    -------
    dict
        As `contact_state` gives it.
    """
    seen = contact_seen(readings, stabiliser)
    state = contact_state(seen, plain_needs(target_ct), False, False)
    findings = joined_findings(
        reading_findings(seen["rows"], seen["times"]), stabiliser_findings(seen, stabiliser, None)
    )
    state["findings"] = joined_findings(findings, state["findings"])
    return state


def contact_for_germ(
    k: tuple[float, ...],
    readings: list[dict[str, Any]],
    stabiliser: int | None,
    asked: dict[str, Any],
) -> dict[str, Any]:
    """Answer for a germ by the published tables.

    Parameters
    ----------
    k : tuple of float
        Contact times.
    readings : list of dict
        Normal form.
    stabiliser : int or None
        Cyanuric acid of the water as a whole. [thousandths of mg/L]
    asked : dict
        As `germ_needs` takes it.

    Returns
    -------
    dict
        As `contact_state` gives it; "target_ct" and "remaining" are None where there is no figure.
    """
    seen = contact_seen(readings, stabiliser)
    found = germ_needs(k, seen["times"], stabiliser, asked)
    findings = joined_findings(reading_findings(seen["rows"], seen["times"]), found["findings"])
    if found["needs"] is not None:
        state = contact_state(seen, found["needs"], found["held_back"], False)
        state["findings"] = joined_findings(findings, state["findings"])
        return state
    state = contact_state(seen, plain_needs(BEYOND), True, False)
    state["target_ct"] = None
    state["remaining"] = None
    state["reachable"] = False if found["never"] else None
    state["findings"] = findings
    return state


def contact_for_procedure(
    readings: list[dict[str, Any]], stabiliser: int | None, procedure: dict[str, Any]
) -> list[dict[str, Any]]:
    """Answer for each route of the rules' procedure, in the rules' order.

    Parameters
    ----------
    readings : list of dict
        Normal form.
    stabiliser : int or None
        Cyanuric acid of the water as a whole. [thousandths of mg/L]
    procedure : dict
        As `rules.procedures` compiles it.

    Returns
    -------
    list of dict
        As `contact_state` gives it, with "route", the id.
    """
    seen = contact_seen(readings, stabiliser)
    common = reading_findings(seen["rows"], seen["times"])
    limit = procedure["cyanuric_most"]
    common = joined_findings(common, stabiliser_findings(seen, stabiliser, limit))
    archived = procedure["archived"] is True
    if archived:
        common.append(contact_finding("archived", None))
    if procedure["unstabilised_only"] is True:
        common.append(contact_finding("unstabilised-only", None))
    answers = []
    for route in procedure["routes"]:
        needs = needs_of_route(procedure, route)
        state = contact_state(seen, needs, archived, procedure["broken"] != "")
        state["route"] = route["id"]
        state["findings"] = joined_findings(common, state["findings"])
        answers.append(state)
    return answers
