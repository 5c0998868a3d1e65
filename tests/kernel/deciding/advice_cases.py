"""A complete request for advice, from which tests take one thing away at a time."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

from tests.kernel.deciding.deciding_cases import AT, HOUR, reading

DAY = 24 * HOUR

HYPOCHLORITE = {
    "product": "hypo-1",
    "substance": "sodium-hypochlorite",
    "name": "Hypo",
    "method": "by-hand",
    "approved": ["raise-chlorine"],
    "strength": {"value": "120", "unit": "g-l", "at": AT - 2 * DAY},
    "jug": "red jug",
}
ACID = {
    "product": "acid-1",
    "substance": "hydrochloric-acid",
    "name": "Pool acid",
    "method": "by-hand",
    "approved": ["lower-ph"],
    "strength": {"value": "31.45", "unit": "percent-w-w", "at": AT - 40 * DAY},
    "density_kg_l": "1.157",
    "jug": "blue jug",
}
BICARBONATE = {
    "product": "bicarb-1",
    "substance": "sodium-bicarbonate",
    "name": "Bicarb",
    "method": "by-hand",
    "approved": ["raise-alkalinity"],
    "strength": {"value": "100", "unit": "percent-w-w", "at": AT - 40 * DAY},
    "jug": "",
}
SODA = {
    "product": "soda-1",
    "substance": "sodium-carbonate",
    "name": "Soda ash",
    "method": "by-hand",
    "approved": ["raise-ph"],
    "strength": {"value": "99", "unit": "percent-w-w", "at": AT - 40 * DAY},
    "jug": "",
}
CALCIUM = {
    "product": "calcium-1",
    "substance": "calcium-chloride",
    "name": "Calcium",
    "method": "by-hand",
    "approved": ["raise-calcium"],
    "strength": {"value": "100", "unit": "percent-w-w", "at": AT - 40 * DAY},
    "jug": "",
}


def full(**values: str) -> dict[str, Any]:
    """Give a complete request for 400 m3; free is 0.6 and everything else in band.

    Parameters
    ----------
    values : str
        Other readings of the round by parameter; "" leaves one out.
    """
    stated = {
        "free_chlorine": "0.60",
        "total_chlorine": "0.80",
        "ph": "7.40",
        "temperature_c": "28.0",
        "total_alkalinity": "100",
        "clarity": "visible",
        "circulation": "running",
        **values,
    }
    return {
        "at": AT,
        "case": {
            "purpose": "round",
            "pool": {
                "kind": "pool",
                "location": "indoor",
                "disinfectant": "chlorine",
                "stabiliser": "not-used",
                "water": "fresh",
                "coagulant": "none",
            },
            "readings": [reading(name, value) for name, value in stated.items() if value],
            "history": [],
            "at": AT - 600,
        },
        "taken_at": AT - 600,
        "late": False,
        "questions": {
            "everybody_out": "yes",
            "pump_running": "yes",
            "anything_added": "no",
            "looked": "yes",
        },
        "targets": {
            "free_chlorine": {"low": "1.0", "high": "2.0"},
            "ph": {"low": "7.2", "high": "7.6"},
            "total_alkalinity": {"low": "80", "high": "120"},
            "calcium_hardness": {"low": "100", "high": "300"},
        },
        "limits": {
            "free_chlorine": {"low": "0.8", "high": "3.0"},
            "ph": {"low": "7.2", "high": "7.8"},
        },
        "volume": {"of": "pool", "m3": "400", "known": "drawing", "shared": []},
        "others": [],
        "feeder": "sodium-hypochlorite",
        "products": deepcopy([HYPOCHLORITE, ACID, BICARBONATE, SODA, CALCIUM]),
        "choice": "",
        "blocks": [],
        "ages": {
            "reading_s": HOUR,
            "alkalinity_s": 7 * DAY,
            "stabiliser_s": 30 * DAY,
            "strength_s": 30 * DAY,
            "stable_strength_s": 365 * DAY,
        },
        "configured": False,
        "mixing_s": 2400,
        "dye_test": True,
    }


def change(request: dict[str, Any], path: str, value: Any) -> dict[str, Any]:
    """Give a request with one thing, named as "products.0.method", set to a value."""
    changed = deepcopy(request)
    place, last = place_in(changed, path)
    place[last] = value
    return changed


def without(request: dict[str, Any], path: str) -> dict[str, Any]:
    """Give a request with one thing taken away."""
    changed = deepcopy(request)
    place, last = place_in(changed, path)
    del place[last]
    return changed


def place_in(request: dict[str, Any], path: str) -> tuple[Any, Any]:
    """Find what holds a named thing, and its key there."""
    place: Any = request
    names: list[Any] = [int(name) if name.isdigit() else name for name in path.split(".")]
    for name in names[:-1]:
        place = place[name]
    return place, names[-1]
