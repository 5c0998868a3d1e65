"""A pack's incident procedures: the rules' own routes to a contact time, in their own order.

The format is described in docs/reference/rules-format.md. A route is never ranked, never shortened.
"""

from __future__ import annotations

from typing import Any

from lanewater.rules.packconditions import CONDITIONS, conditions_of, gate_of
from lanewater.rules.packkeys import (
    above_zero,
    compiled_list,
    expect_keys,
    expect_origin,
    expect_word,
    flag,
    hours,
    limit_number,
    named,
    refuse_twice,
    tables_of,
    text_of,
    whole,
    words_of,
)
from lanewater.terms.errors import InputError
from lanewater.terms.words import CONTAMINATIONS

PROCEDURE = {"id", "for", "clause", "source", "evidence", "words", "routes", "golden"}
LIMITS = {
    "ph_at_most": "ph_most",
    "temperature_c_at_least": "temperature_least",
    "cyanuric_acid_at_most": "cyanuric_most",
}
OPTIONAL = {
    *LIMITS,
    *CONDITIONS,
    "unstabilised_only",
    "when_broken",
    "archived",
    "scope",
    "reopen",
    "steps",
    "points_least",
    "note",
}
ROUTE_LENGTH = {"hours", "minutes"}
OPTIONAL_ROUTE = {*ROUTE_LENGTH, "free_chlorine_at_least", "ct_mg_min_l"}
BROKEN = ("restart", "hold")
SCOPES = ("pool", "circuit")
READ = {"minute", "free_chlorine"}
OPTIONAL_READ = {"ph", "temperature_c", "cyanuric_acid", "point"}


def compile_procedures(raw: dict[str, Any]) -> list[dict[str, Any]]:
    """Turn a pack's procedures into their compiled form.

    Parameters
    ----------
    raw : dict
        The parsed text of the pack.

    Returns
    -------
    list of dict
        In the text's order: numbers in thousandths, times in seconds, None where nothing is said;
        "broken" is "" where the text does not say what a reading that falls short does.

    Raises
    ------
    InputError
        Naming the procedure and the key that is wrong.
    """
    return compiled_list(raw, "procedures", compile_procedure)


def compile_procedure(entry: dict[str, Any], where: str, raw: dict[str, Any]) -> dict[str, Any]:
    """Turn one procedure into its compiled form."""
    expect_keys(entry, PROCEDURE, OPTIONAL, where)
    where = named(entry, "procedure", where)
    words_of(entry, "for", CONTAMINATIONS, where)
    expect_origin(entry, raw, where)
    if entry["evidence"] == "memory":
        raise InputError(f"{where}.evidence", "a procedure from memory stands in no pack")
    if "when_broken" in entry:
        expect_word(entry["when_broken"], BROKEN, f"{where}.when_broken")
    expect_word(entry.get("scope", "pool"), SCOPES, f"{where}.scope")
    routes = [
        compile_route(route, f"{where}.routes[{index}]")
        for index, route in enumerate(tables_of(entry, "routes", where))
    ]
    identities = [route["id"] for route in routes]
    refuse_twice(identities, f"{where}.routes")
    if not routes:
        raise InputError(f"{where}.routes", "at least one is wanted")
    points = entry.get("points_least", 1)
    return {
        **{key: entry[key] for key in ("id", "for", "clause", "source", "evidence")},
        "words": text_of(entry, "words", where),
        **{
            name: limit_number(entry[key], f"{where}.{key}") if key in entry else None
            for key, name in LIMITS.items()
        },
        "unstabilised_only": flag(entry, "unstabilised_only", where),
        "archived": flag(entry, "archived", where),
        "broken": entry.get("when_broken", ""),
        "scope": entry.get("scope", "pool"),
        "reopen": text_of(entry, "reopen", where),
        "note": text_of(entry, "note", where),
        "when": conditions_of(entry, where, raw),
        "steps": compile_steps(entry, where),
        "points_least": whole(points, f"{where}.points_least", 1, 20),
        "routes": routes,
        "golden": [
            golden_times(golden, f"{where}.golden[{index}]", identities)
            for index, golden in enumerate(tables_of(entry, "golden", where))
        ],
    }


def compile_steps(entry: dict[str, Any], where: str) -> list[dict[str, Any]]:
    """Turn the text's own steps, in order, into {"id", "words", "gate": a measured one or None}."""
    found: list[dict[str, Any]] = []
    for index, step in enumerate(tables_of(entry, "steps", where)):
        place = f"{where}.steps[{index}]"
        expect_keys(step, {"id", "words"}, {"gate"}, place)
        found.append(
            {
                "id": text_of(step, "id", place),
                "words": text_of(step, "words", place),
                "gate": gate_of(step["gate"], f"{place}.gate") if "gate" in step else None,
            }
        )
    refuse_twice([str(step["id"]) for step in found], f"{where}.steps")
    return found


def compile_route(route: dict[str, Any], where: str) -> dict[str, Any]:
    """Turn one route into its compiled form: a contact time, a level held for a time, or both."""
    expect_keys(route, {"id", "words"}, OPTIONAL_ROUTE, where)
    lengths = [key for key in sorted(ROUTE_LENGTH) if key in route]
    if len(lengths) > 1:
        raise InputError(where, "give hours or minutes, not both")
    seconds = 0
    if lengths:
        seconds = hours(route[lengths[0]], f"{where}.{lengths[0]}")
        seconds = seconds // 60 if lengths[0] == "minutes" else seconds
    free = ct = None
    if "free_chlorine_at_least" in route:
        free = above_zero(route["free_chlorine_at_least"], f"{where}.free_chlorine_at_least")
    if "ct_mg_min_l" in route:
        ct = above_zero(route["ct_mg_min_l"], f"{where}.ct_mg_min_l")
    if ct is None and (free is None or not seconds):
        raise InputError(
            where, "ct_mg_min_l is wanted, or free_chlorine_at_least with hours or minutes"
        )
    return {
        "id": text_of(route, "id", where),
        "words": text_of(route, "words", where),
        "free_least": free,
        "seconds": seconds,
        "ct": ct or 0,
    }


def golden_times(entry: dict[str, Any], where: str, identities: list[str]) -> dict[str, Any]:
    """Check the shape of a golden case; it is run by `rules check`."""
    expect_keys(entry, {"note", "readings", "complete"}, set(), where)
    for name in entry["complete"]:
        expect_word(name, tuple(identities), f"{where}.complete")
    for index, reading in enumerate(entry["readings"]):
        expect_keys(reading, READ, OPTIONAL_READ, f"{where}.readings[{index}]")
    return entry
