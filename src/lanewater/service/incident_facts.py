"""What a pool's facts say of its open incidents: what was done, chosen, noted and read since."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.kernel.deciding.incidentkinds import STANDS_STILL
from lanewater.kernel.deciding.incidentrows import (
    INCIDENT_ROUNDS,
    incident_round,
    overall_of_water,
    round_counts_for,
)
from lanewater.kernel.deciding.incidentsafter import incident_for_pool
from lanewater.kernel.deciding.standstills import holds_clock_of
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
        `incidentrows` keeps it with "facts", "quiet_minutes", "rounds" and "standstills": see the
        kernel's; "quiet_minutes": the site's, 0 where it set none, "standstills": the site's open
        incidents by which circulation stands still}.
    """
    return {
        "incidents": [
            told_at(state, row, pool)
            for row in state.incidents.values()
            if pool in row["pools"] and "ended" not in row
        ],
        "quiet_minutes": state.site.quiet_minutes,
        "standstills": [
            dict(row)
            for row in state.incidents.values()
            if row["kind"] in STANDS_STILL and "ended" not in row
        ],
    }


def told_at(state: SiteState, row: Mapping[str, Any], pool: str) -> dict[str, Any]:
    """Give an incident as a pool's facts hold it."""
    return incident_for_pool(
        dict(row),
        {
            "facts": dict(pool_facts(state, pool)),
            "quiet_minutes": state.site.quiet_minutes,
            "rounds": rounds_since(state, row),
            "standstills": standstills_of(state, row),
        },
    )


def standstills_of(state: SiteState, row: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Give the incidents by which circulation stood still while another was open."""
    held = [dict(one) for one in state.incidents.values() if holds_clock_of(dict(one), dict(row))]
    return [one | {"ended": {"at": one["ended"]["at"]}} if "ended" in one else one for one in held]


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
