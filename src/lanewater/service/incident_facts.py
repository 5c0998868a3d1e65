"""What a pool's facts say of its open incidents: what was done, chosen, noted and read since."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.kernel.deciding.incidentrows import (
    INCIDENT_ROUNDS,
    incident_round,
    overall_of_water,
    round_counts_for,
)
from lanewater.kernel.deciding.incidentsafter import incident_for_pool
from lanewater.measurement.kits import Kit
from lanewater.service.clock import DAY_MS
from lanewater.service.judging import doubted, kernel_readings, kits_of, pool_facts
from lanewater.service.state import Round, SiteState

# JUDG: what began, or was ended, longer ago is looked at by people, not by the program.
LONGEST_INCIDENT_MS = 31 * DAY_MS


def incident_facts(state: SiteState, pool: str) -> dict[str, Any]:
    """Give the part of a pool's facts that its incidents are told by.

    Parameters
    ----------
    state : SiteState
        What the record says.
    pool : str
        The pool's id.

    Returns
    -------
    dict
        {"incidents": those that are open and stop this pool, the oldest first, each as
        `incidentrows` keeps it with "facts", "quiet_minutes" and "rounds", "quiet_minutes": the
        site's, 0 where it set none}.
    """
    return {
        "incidents": [
            told_at(state, row, pool)
            for row in state.incidents.values()
            if pool in row["pools"] and "ended" not in row
        ],
        "quiet_minutes": state.site.quiet_minutes,
    }


def told_at(state: SiteState, row: Mapping[str, Any], pool: str) -> dict[str, Any]:
    """Give an incident as a pool's facts hold it."""
    return incident_for_pool(
        dict(row),
        {
            "facts": dict(pool_facts(state, pool)),
            "quiet_minutes": state.site.quiet_minutes,
            "rounds": rounds_since(state, row),
        },
    )


def rounds_since(state: SiteState, row: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Give the rounds of an incident's pools since it began, the oldest first.

    None taken after it was ended is of it, as the round that an opening rests on: many of them
    would push out those that it was ended on.
    """
    kits = kits_of(state)
    until_ms = row["ended"]["at"] if "ended" in row else None
    found = [
        (given.at_ms, given.id, pool, given)
        for pool in row["pools"]
        for given in state.rounds.get(pool, ())
        if (until_ms is None or given.at_ms <= until_ms)
        and round_counts_for(dict(row), pool, given.at_ms, given.recorded_ms, given.purpose)
    ]
    found.sort(key=lambda one: one[:2])
    return [round_told(state, given, kits) for *_, given in found[-INCIDENT_ROUNDS:]]


def round_told(state: SiteState, given: Round, kits: Mapping[str, Kit]) -> dict[str, Any]:
    """Give a round as an incident keeps it."""
    verdict = state.verdicts.get(given.id)
    overall = (
        "" if verdict is None else overall_of_water({**verdict.body, "overall": verdict.overall})
    )
    told = {
        "id": given.id,
        "at": given.at_ms,
        "readings": kernel_readings(given, kits),
        "doubtful": doubted(state, given),
    }
    return incident_round(told, given.pool, overall)
