"""What a pack asks after an incident, in sentences; routes in the rules' own order."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.rules.phrases import (
    compared_words,
    event_words,
    is_or_are,
    name_of,
    where_words,
)
from lanewater.rules.sentences import Part, sentence


def procedures(raw: Mapping[str, Any]) -> Part:
    """Say what the rules ask after an incident, every route in their own order."""
    part = Part("procedures", "After an incident", [])
    for row in raw.get("procedures", []):
        said = [f"After {event_words(row['for'])}{where_words(row)}:"]
        said += [row["words"], *procedure_limits(row)]
        said += [
            f"Step {number}: {step['words']}{gate_words(step)}."
            for number, step in enumerate(row.get("steps", []), start=1)
        ]
        said += [
            f"Route {number} of {len(row['routes'])}, in the rules' own order: {route['words']} "
            f"({route_words(route)})."
            for number, route in enumerate(row["routes"], start=1)
        ]
        said += [f"Reopening: {row['reopen']}"] if row.get("reopen") else []
        said += [f"({row['note']})"] if row.get("note") else []
        part.sentences.append(sentence(" ".join(said), row, raw))
    return part


def procedure_limits(row: Mapping[str, Any]) -> list[str]:
    """Write the limits within which the time of a procedure counts."""
    found = []
    if "ph_at_most" in row:
        found.append(f"It counts only with pH at most {row['ph_at_most']}.")
    if "temperature_c_at_least" in row:
        found.append(f"It counts only in water of {row['temperature_c_at_least']} C or more.")
    if "cyanuric_acid_at_most" in row:
        found.append(f"It counts only with stabiliser at most {row['cyanuric_acid_at_most']} mg/L.")
    if row.get("unstabilised_only"):
        found.append("Only unstabilised chlorine may be used.")
    if row.get("points_least"):
        found.append(f"It is measured at {row['points_least']} points or more; the lowest counts.")
    if row.get("scope") == "circuit":
        found.append("Every pool on the same filter closes.")
    if row.get("archived"):
        found.append("ARCHIVED: perhaps not the text in force; ask for it. No time is given by it.")
    broken = {
        "restart": "After a reading that falls short, the time begins anew.",
        "hold": "After a reading that falls short, the time stands still.",
        "": "The text does not say what a reading that falls short does; the time begins anew.",
    }
    found.append(broken[row.get("when_broken", "")])
    return found


def route_words(route: Mapping[str, Any]) -> str:
    """Write what of a route is counted, by its figures."""
    found = []
    if "free_chlorine_at_least" in route:
        found.append(f"free chlorine at least {route['free_chlorine_at_least']} mg/L")
    if "hours" in route:
        found.append(f"for {route['hours']} h")
    if "minutes" in route:
        found.append(f"for {route['minutes']} min")
    held = " ".join(found)
    added = f"{route['ct_mg_min_l']} mg min/L in all" if "ct_mg_min_l" in route else ""
    return f"counted: {' and '.join(part for part in (held, added) if part)}"


def gate_words(step: Mapping[str, Any]) -> str:
    """Write what must be measured before a step counts."""
    gate = step.get("gate")
    if not gate:
        return ""
    name = gate["parameter"]
    return f" (done only once {name_of(name)} {is_or_are(name)} {compared_words(gate, name)})"
