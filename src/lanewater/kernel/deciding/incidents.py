"""An incident as it stands now: its steps, the rules' own clocks, and what is met of its end.

It says what is met and what is not. That an incident is over is said by a person who may, and a
pool is opened after it by a person who may; a time is "not before", if the next reading holds.
"""

from typing import Any

from lanewater.kernel.deciding.heldverdict import PASSED_OVERALL
from lanewater.kernel.deciding.incidentclock import (
    chosen_clock,
    doubtful_times,
    procedures_now,
)
from lanewater.kernel.deciding.incidentcriteria import (
    criteria_now,
    measured_criteria,
    quiet_minutes_of,
    quiet_until,
)
from lanewater.kernel.deciding.incidentkinds import STANDS_STILL
from lanewater.kernel.deciding.incidentlines import against_end, done_anew
from lanewater.kernel.deciding.incidentreadings import unjudged_now
from lanewater.kernel.deciding.incidentreport import incident_report
from lanewater.kernel.deciding.incidentsteps import steps_asked, steps_now
from lanewater.kernel.deciding.retesting import MINUTE_IN_MS
from lanewater.kernel.deciding.standstills import pump_on_at, still_by

# How far two clocks of one site may lie apart: what is said to be later than this was not yet.
EARLY_AT_MOST = 300000


def stood_still_until(steps: list[dict[str, Any]], now: int) -> int:
    """Give until when circulation stood still: until the pump was set going, or now. [UTC ms]"""
    until = pump_on_at(steps)
    return now if until is None else until


def lines_known(incident: dict[str, Any], now: int) -> dict[str, Any]:
    """Give an incident without steps and notes that are said to lie ahead; see `known_by`."""
    found = {}
    for key, value in incident.items():
        found[key] = value
    for part in ("steps", "notes"):
        rows = []
        known = []
        for row in incident[part]:
            if row["at"] <= now + EARLY_AT_MOST:
                known.append(row)
        for row in incident[part]:
            early = row["at"] <= now + EARLY_AT_MOST
            if early or against_end(row) or done_anew(known, row):
                rows.append(row)
        found[part] = rows
    return found


def known_by(incident: dict[str, Any], now: int) -> dict[str, Any]:
    """Give an incident without what is said to lie ahead: a clock that was set on shortens nothing.

    Nor does one that runs slow: what speaks against an end stays, however far ahead. The server
    lets no line count later than it came, so that this ends once the slow clock has come so far.

    Parameters
    ----------
    incident : dict
        As a pool's facts hold it.
    now : int
        UTC ms.
    """
    found = lines_known(incident, now)
    standstills = []
    for row in incident.get("standstills", []):
        standstills.append(lines_known(row, now))
    found["standstills"] = standstills
    rounds = []
    for row in incident["rounds"]:
        if row["at"] > now + EARLY_AT_MOST and row["overall"] in PASSED_OVERALL:
            continue
        kept = {}
        for key, value in row.items():
            kept[key] = value
        readings = []
        for reading in row["readings"]:
            if reading["at"] * 1000 <= now + EARLY_AT_MOST:
                readings.append(reading)
        kept["readings"] = readings
        rounds.append(kept)
    found["rounds"] = rounds
    return found


def first_to_do(steps: list[dict[str, Any]]) -> str:
    """Give the first step that can be done now, "" where none is left."""
    for row in steps:
        if row["state"] == "to-do":
            found: str = row["id"]
            return found
    return ""


def incident_now(given: dict[str, Any], pack: dict[str, Any] | None, now_ms: int) -> dict[str, Any]:
    """Tell how an incident stands.

    Parameters
    ----------
    given : dict
        As a pool's facts hold it: see `service.incident_facts`. What is said to be later than now
        by more than clocks differ is left out.
    pack : dict or None
        The compiled rules of the incident's pool.
    now_ms : int
        UTC ms.

    Returns
    -------
    dict
        {"incident", "kind", "pool", "pools", "since", "by", "stop", "steps", "procedures", "clock":
        the route that a person chose or None, "doubtful", "quiet_until_ms", "quiet_minutes",
        "quiet_assumed", "still_minutes": how long circulation stood still or None, "criteria",
        "may_end": whether a person who may could end it now, "why_not": criteria that are not met,
        "next": the first step to do, "report": what the entry that ends it holds}.
    """
    incident = known_by(given, now_ms)
    incident["still"] = still_by(incident["standstills"])
    procedures = procedures_now(incident, pack)
    clock = chosen_clock(procedures)
    measured = measured_criteria(incident, clock, now_ms)
    met: dict[str, str] = {}
    for identity, against in measured.items():
        met[identity] = "yes" if len(against) == 0 else "no"
    asked = steps_asked(incident, procedures, clock, unjudged_now(incident))
    steps = steps_now(incident, asked, clock, met)
    criteria = criteria_now(incident, procedures, clock, steps, measured)
    why_not = []
    for row in criteria:
        if row["met"] != "yes":
            why_not.append(row["id"])
    thunder = incident["kind"] == "thunder"
    still: int | None = None
    if incident["kind"] in STANDS_STILL:
        still = max(0, stood_still_until(steps, now_ms) - incident["at"]) // MINUTE_IN_MS
    return {
        "incident": incident["incident"],
        "kind": incident["kind"],
        "pool": incident["pool"],
        "pools": incident["pools"],
        "since": incident["at"],
        "by": incident["by"],
        "stop": incident["stop"],
        "steps": steps,
        "procedures": procedures,
        "clock": clock,
        "doubtful": doubtful_times(incident),
        "quiet_until_ms": quiet_until(incident) if thunder else None,
        "quiet_minutes": quiet_minutes_of(incident),
        "quiet_assumed": incident["quiet_minutes"] <= 0,
        "still_minutes": still,
        "criteria": criteria,
        "may_end": len(why_not) == 0,
        "why_not": why_not,
        "next": first_to_do(steps),
        "report": incident_report(incident, clock, still),
    }
