"""What must be met before an incident can be ended, and what stands against each of it.

Nothing here ends one: a person who may does, and only where nothing stands against any of these.
"""

from typing import Any

from lanewater.kernel.deciding.heldverdict import PASSED_OVERALL
from lanewater.kernel.deciding.incidentclock import last_seen
from lanewater.kernel.deciding.incidentkinds import (
    ENDING_WORDS,
    INCIDENTS,
    QUIET_MINUTES,
    WITH_CRITERIA,
    WITHOUT_CRITERIA,
)
from lanewater.kernel.deciding.incidentreadings import left_unjudged, rounds_at
from lanewater.kernel.deciding.incidentsteps import answer_to, tested_since, usable_of
from lanewater.kernel.deciding.retesting import MINUTE_IN_MS, READ_AT_POINTS, tested_until


def round_meets(incident: dict[str, Any], row: dict[str, Any]) -> bool:
    """Tell whether a round meets the rules; what they do not judge, by a named person's words."""
    if row["overall"] in PASSED_OVERALL:
        return True
    return left_unjudged(row) and answer_to(incident, "water-word", row["at"]) is not None


def two_point_meets(incident: dict[str, Any], pool: str, since: int) -> bool:
    """Tell whether a pool was tested at two points since an instant and has met since then.

    Parameters
    ----------
    incident : dict
        As a pool's facts hold it.
    pool : str
        One of its pools.
    since : int
        UTC ms.
    """
    for row in rounds_at(incident, pool):
        if not round_meets(incident, row):
            return False
        if tested_until(row["at"], row["readings"]) >= since:
            return True
    return False


def disinfectant_read_since(row: dict[str, Any], since: int) -> bool:
    """Tell whether a round read the disinfectant at or after an instant. [UTC ms]"""
    for reading in row["readings"]:
        if reading["parameter"] in READ_AT_POINTS and reading["at"] * 1000 >= since:
            return True
    return False


def pools_not_back(incident: dict[str, Any], clock: dict[str, Any] | None) -> list[str]:
    """Give the pools whose last round does not meet the rules once what was asked is done.

    That is after the contact time, or after somebody was asked where the rules hold no procedure.
    """
    asked = answer_to(incident, "ask-authority", last_seen(incident))
    found = []
    for place in range(len(incident["pools"])):
        pool = incident["pools"][place]
        since: int | None = None
        if clock is not None:
            since = clock["pools"][place]["reached_ms"]
        elif asked is not None:
            since = asked["at"]
        rows = rounds_at(incident, pool)
        back = since is not None and len(rows) > 0 and round_meets(incident, rows[0])
        if since is None or not back or not disinfectant_read_since(rows[0], since):
            found.append(pool)
    return found


def pools_not_tested(incident: dict[str, Any]) -> list[str]:
    """Give the pools without a two-point round that meets, since what was last done to them."""
    since = tested_since(incident)
    found = []
    for pool in incident["pools"]:
        if not two_point_meets(incident, pool, since):
            found.append(pool)
    return found


def quiet_minutes_of(incident: dict[str, Any]) -> int:
    """Give the minutes to wait after thunder: the site's, else what is widely used."""
    minutes: int = incident["quiet_minutes"]
    if minutes > 0:
        return minutes
    return QUIET_MINUTES


def quiet_until(incident: dict[str, Any]) -> int:
    """Give until when to wait after lightning was last seen or thunder heard. [UTC ms]"""
    return last_seen(incident) + quiet_minutes_of(incident) * MINUTE_IN_MS


def pools_not_reached(incident: dict[str, Any], clock: dict[str, Any] | None) -> list[str]:
    """Give the pools whose contact time is not complete by the chosen route."""
    found = []
    for place in range(len(incident["pools"])):
        if clock is None or clock["pools"][place]["reached_ms"] is None:
            found.append(incident["pools"][place])
    return found


def step_criterion(identity: str, steps: list[dict[str, Any]]) -> list[str]:
    """Give the steps that keep a criterion from being met: all, or those that are a named word."""
    found = []
    for row in steps:
        done = row["state"] == "done" or row["state"] == "not-needed"
        wanted = identity == "steps-done" or row["id"] in ENDING_WORDS
        if wanted and not done:
            found.append(row["id"])
    return found


def criterion(identity: str, against: list[str], clause: str, known: bool) -> dict[str, Any]:
    """Write one criterion: met where nothing stands against it."""
    met = "yes"
    if len(against) > 0:
        met = "no" if known else "not-known"
    return {"id": identity, "met": met, "clause": clause, "why": against}


def criterion_asked(identity: str, usable: bool) -> bool:
    """Tell whether a criterion is asked for, as the rules hold a procedure or not."""
    if identity in WITH_CRITERIA:
        return usable
    if identity in WITHOUT_CRITERIA:
        return not usable
    return True


def measured_criteria(
    incident: dict[str, Any], clock: dict[str, Any] | None, now: int
) -> dict[str, Any]:
    """Give what stands against the criteria that are read from the record, by id."""
    found: dict[str, Any] = {
        "water-meets": pools_not_back(incident, clock),
        "two-point-round": pools_not_tested(incident),
        "contact-time": pools_not_reached(incident, clock),
        "quiet": [],
    }
    if now < quiet_until(incident):
        found["quiet"] = ["quiet"]
    return found


def criteria_now(
    incident: dict[str, Any],
    procedures: list[dict[str, Any]],
    clock: dict[str, Any] | None,
    steps: list[dict[str, Any]],
    measured: dict[str, Any],
) -> list[dict[str, Any]]:
    """Give what must be met before an incident can be ended, and what stands against each.

    Parameters
    ----------
    incident : dict
        As a pool's facts hold it.
    procedures, clock, steps
        As `procedures_now`, `chosen_clock` and `steps_now` give them.
    measured : dict
        As `measured_criteria` gives it.

    Returns
    -------
    list of dict
        {"id", "met": yes, no or not-known, "clause", "why": ids of steps or pools}.
    """
    usable = usable_of(procedures)
    clause: str = "" if clock is None else clock["clause"]
    found = []
    for identity in INCIDENTS[incident["kind"]]["criteria"]:
        if not criterion_asked(identity, usable):
            continue
        against: list[str] = []
        known = True
        if identity in measured:
            against = measured[identity]
            known = identity == "quiet" or len(incident["rounds"]) > 0
        elif identity == "route-chosen" and clock is None:
            against = ["route"]
        elif identity == "rules-hold-no-procedure":
            if answer_to(incident, "ask-authority", last_seen(incident)) is None:
                against = ["ask-authority"]
        elif identity == "steps-done" or identity == "named-word":
            against = step_criterion(identity, steps)
        told = clause if identity == "contact-time" or identity == "water-meets" else ""
        found.append(criterion(identity, against, told, known))
    return found
