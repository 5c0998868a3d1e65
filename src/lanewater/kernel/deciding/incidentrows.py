"""An incident as it is kept, on the server and on a device: begun, added to, and its rounds.

A row is {"incident", "kind", "pool", "pools", "at", "recorded", "by", "entry", "nobody_in",
"words", "stop", "steps", "routes", "route", "notes"}; instants are UTC ms. "at" is when it is said
to have happened, "recorded" when somebody said so. Nothing that is handed in is changed.
"""

from typing import Any

from lanewater.kernel.deciding.incidentkinds import INCIDENTS
from lanewater.kernel.deciding.incidentlines import lines_with
from lanewater.kernel.deciding.pumpstopped import pump_stood, says_stopped
from lanewater.kernel.deciding.readingerror import pair_error
from lanewater.kernel.deciding.tries import last_tries, number_of, relation_in

# What a contact clock or a two-point test looks at; no other reading is carried with an incident.
INCIDENT_READINGS = ("free_chlorine", "total_bromine", "ph", "temperature_c", "cyanuric_acid")
# The oldest are let go of: a clock that sees less begins later, never sooner.
INCIDENT_ROUNDS = 120
# From so much on free chlorine may be high on purpose; two points are alike within a quarter. JUDG
HIGH_ON_PURPOSE = 1000
ALIKE_PARTS = 4


def incident_begun(entry: dict[str, Any]) -> dict[str, Any]:
    """Give the row of an incident from the entry that began it.

    Parameters
    ----------
    entry : dict
        {"id", "at" and "rec" UTC ms, "user", "body"} of an incident-started entry.
    """
    body = entry["body"]
    kind: str = body["kind"]
    pools = []
    for pool in body["pools"]:
        pools.append(pool)
    return {
        "incident": body["incident"],
        "kind": kind,
        "pool": body["pool"],
        "pools": pools,
        "at": entry["at"],
        "recorded": entry["rec"],
        "by": entry["user"],
        "entry": entry["id"],
        "nobody_in": body.get("nobody_in", False),
        "words": body.get("words", ""),
        "stop": INCIDENTS[kind]["stop"],
        "steps": [],
        "routes": [],
        "route": None,
        "notes": [],
    }


def chosen_of(routes: list[dict[str, Any]]) -> dict[str, Any] | None:
    """Give the route that was chosen last, by its time and then by its entry."""
    found: dict[str, Any] | None = None
    for row in routes:
        if found is None or row["at"] > found["at"]:
            found = row
        elif row["at"] == found["at"] and row["entry"] > found["entry"]:
            found = row
    return found


def incident_with(row: dict[str, Any], entry: dict[str, Any], named: bool) -> dict[str, Any]:
    """Give an incident's row with what one more entry says of it.

    Parameters
    ----------
    row : dict
        As `incident_begun` or this function gives it.
    entry : dict
        {"kind", "id", "at" UTC ms, "user", "body"}; incident-step-done, incident-route-chosen or
        incident-noted. Any other changes nothing.
    named : bool
        Whether it is by somebody on the list who was proved to act.
    """
    found = {}
    for key, value in row.items():
        found[key] = value
    body = entry["body"]
    said = {"at": entry["at"], "by": entry["user"], "entry": entry["id"]}
    if entry["kind"] == "incident-step-done":
        said["step"] = body["step"]
        said["answer"] = body["answer"]
        said["words"] = body.get("words", "")
        said["named"] = named
        found["steps"] = lines_with(row["steps"], said)
    if entry["kind"] == "incident-route-chosen":
        said["procedure"] = body["procedure"]
        said["route"] = body["route"]
        found["routes"] = lines_with(row["routes"], said)
        found["route"] = chosen_of(found["routes"])
    if entry["kind"] == "incident-noted":
        said["what"] = body["what"]
        said["count"] = body.get("count")
        said["words"] = body.get("words", "")
        found["notes"] = lines_with(row["notes"], said)
    return found


def total_bears_out(readings: list[dict[str, Any]]) -> bool:
    """Tell whether total was read where free was and is never less of it than test error allows.

    Parameters
    ----------
    readings : list of dict
        Of the round, normal form.
    """
    known = False
    for total in last_tries(readings, "total_chlorine"):
        if relation_in(total) != "exact":
            return False
        for free in last_tries(readings, "free_chlorine"):
            if free["point"] == total["point"]:
                known = True
                if number_of(free) - number_of(total) > pair_error(free, total):
                    return False
    return known


def confirmed_high(readings: list[dict[str, Any]], doubtful: list[str]) -> bool:
    """Tell whether free chlorine in doubt is high on purpose: diluted, or alike at two points.

    A level that a procedure asks for is ten times the usual and looks like a slip of the point. A
    sample that was diluted, or a second point that says the same, is no slip. Where any of it is
    near none or over range, or total is less than it, the doubt stands.

    Parameters
    ----------
    readings : list of dict
        Of the round, normal form.
    doubtful : list of str
        Parameters in doubt.
    """
    tries = last_tries(readings, "free_chlorine")
    if len(tries) == 0:
        return False
    if "total_chlorine" in doubtful and not total_bears_out(readings):
        return False
    numbers: list[int] = []
    diluted = True
    for reading in tries:
        if relation_in(reading) != "exact" or number_of(reading) < HIGH_ON_PURPOSE:
            return False
        numbers.append(number_of(reading))
        diluted = diluted and reading["dilution"] > 1
    alike = len(numbers) > 1 and max(numbers) * ALIKE_PARTS <= min(numbers) * (ALIKE_PARTS + 1)
    return diluted or alike


def incident_round(row: dict[str, Any], pool: str, overall: str) -> dict[str, Any]:
    """Give a round as an incident keeps it: the last try at each point, each with its time.

    Free chlorine of a round with circulation stopped is in doubt: it is not what is everywhere. The
    word on circulation is kept too: the clock asks for it even where nothing else was read.

    Parameters
    ----------
    row : dict
        {"id", "at" UTC ms, "readings": normal form, "doubtful": parameters in doubt}.
    pool : str
        Whose round it is.
    overall : str
        What the rules say of it, "" where it is not judged.
    """
    wanted = []
    for parameter in INCIDENT_READINGS:
        for reading in last_tries(row["readings"], parameter):
            wanted.append(reading)
    for reading in row["readings"]:
        if says_stopped(reading):
            wanted.append(reading)
    readings = []
    for reading in wanted:
        kept = {}
        for key, value in reading.items():
            kept[key] = value
        if kept["at"] is None:
            kept["at"] = row["at"] // 1000
        readings.append(kept)
    doubtful = []
    high = confirmed_high(row["readings"], row["doubtful"])
    for parameter in row["doubtful"]:
        meant = parameter == "free_chlorine" and high
        if parameter in INCIDENT_READINGS and not meant:
            doubtful.append(parameter)
    if pump_stood(row["readings"]) and "free_chlorine" not in doubtful:
        doubtful.append("free_chlorine")
    return {
        "id": row["id"],
        "pool": pool,
        "at": row["at"],
        "overall": overall,
        "doubtful": doubtful,
        "readings": readings,
    }


def overall_of_water(body: dict[str, Any]) -> str:
    """Tell what the rules say of a round's water: a house stop that stands is no matter of it.

    A round that meets is "not-judged" while a house stop stands, and says so; an incident always
    has one. Whatever else is not judged stays so.

    Parameters
    ----------
    body : dict
        What the rules said: "overall" and "not_judged".
    """
    overall: str = body["overall"]
    if overall == "not-judged":
        for row in body.get("not_judged", []):
            if row["parameter"] == "house-stop":
                return "meets"
    return overall


def later_round(one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Tell whether a round was taken after another, by its id where at the same instant."""
    if one["at"] == other["at"]:
        return one["id"] > other["id"]
    return one["at"] > other["at"]


def rounds_with(rounds: list[dict[str, Any]], row: dict[str, Any]) -> list[dict[str, Any]]:
    """Give an incident's rounds, oldest first, with one more or in place of itself."""
    placed = []
    done = False
    for other in rounds:
        if other["id"] != row["id"]:
            if not done and later_round(other, row):
                placed.append(row)
                done = True
            placed.append(other)
    if not done:
        placed.append(row)
    found = []
    for place in range(max(0, len(placed) - INCIDENT_ROUNDS), len(placed)):
        found.append(placed[place])
    return found


def round_counts_for(
    incident: dict[str, Any], pool: str, at: int, recorded: int, purpose: str
) -> bool:
    """Tell whether a round belongs to an incident: of one of its pools, since it began.

    What was on record before anybody spoke of an incident is a round of every day: it shows nothing
    of what was done about it, however early the incident is said to have begun.

    Parameters
    ----------
    incident : dict
        As this module keeps it.
    pool : str
        Whose round it is.
    at, recorded : int
        When it was taken, and when it was written down. [UTC ms]
    purpose : str
        "round" or "sample"; a sample for a laboratory runs no clock.
    """
    of_it = purpose == "round" and pool in incident["pools"]
    # A row of facts that were carried before it was kept says only when it happened.
    since: int = incident.get("recorded", incident["at"])
    return of_it and at >= incident["at"] and recorded >= since
