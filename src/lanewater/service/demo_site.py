"""The demo's set-up: an invented town's baths, with invented people and numbers.

The rules were chosen because they are complete: of the packs held, they cover disinfectant, pH and
clarity and know stabiliser outdoors. Telephone numbers are of the block kept for fiction.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

SITE = {
    "name": "Vellmoor Town Baths",
    "timezone": "America/Indiana/Indianapolis",
    "rules": "us-in-fishers",
    "demo": True,
}

PEOPLE: tuple[dict[str, Any], ...] = (
    {"person": "p-ansa", "name": "Ansa Veldt", "initials": "AV", "roles": ["tester"]},
    {"person": "p-tobi", "name": "Tobi Marrow", "initials": "TM", "roles": ["tester"]},
    {"person": "p-leni", "name": "Leni Okarra", "initials": "LO", "roles": ["tester"]},
    {
        "person": "p-rufo",
        "name": "Rufo Danesh",
        "initials": "RD",
        "phone": "555-0132",
        "roles": ["duty-manager", "tester"],
    },
    {
        "person": "p-imke",
        "name": "Imke Sallow",
        "initials": "IS",
        "phone": "555-0133",
        "roles": ["duty-manager", "tester"],
    },
    {
        "person": "p-joon",
        "name": "Joon Abernal",
        "initials": "JA",
        "phone": "555-0134",
        "roles": ["plant-operator", "tester"],
    },
    {
        "person": "p-mara",
        "name": "Mara Quillon",
        "initials": "MQ",
        "phone": "555-0135",
        "roles": ["area-manager"],
    },
)
TESTERS = ("p-ansa", "p-tobi", "p-leni")
MANAGERS = ("p-rufo", "p-imke")
OPERATOR = "p-joon"

CONTACTS: tuple[dict[str, str], ...] = (
    {"name": "Emergency services", "phone": "the local emergency number", "kind": "emergency"},
    {"name": "Rufo Danesh, duty manager", "phone": "555-0132", "kind": "manager"},
    {"name": "Imke Sallow, duty manager", "phone": "555-0133", "kind": "manager"},
    {"name": "Mara Quillon, area manager", "phone": "555-0135", "kind": "manager"},
    {"name": "Joon Abernal, plant operator", "phone": "555-0134", "kind": "manager"},
    {"name": "Health department (demo)", "phone": "555-0140", "kind": "authority"},
    {"name": "Plant contractor (demo)", "phone": "555-0141", "kind": "contractor"},
)


def every_day(opens: str, closes: str) -> list[dict[str, Any]]:
    """Give the same hours for all seven days."""
    return [{"day": day, "opens": opens, "closes": closes} for day in range(7)]


def facts(kind: str, location: str, stabiliser: str, secondary: str) -> dict[str, str]:
    """Give the facts of a pool of the demo."""
    return {
        "kind": kind,
        "location": location,
        "disinfectant": "chlorine",
        "stabiliser": stabiliser,
        "water": "fresh",
        "supply": "recirculated",
        "control": "amperometric",
        "secondary": secondary,
        "coagulant": "none",
    }


def targets(low: str, high: str) -> list[dict[str, str]]:
    """Give the site's own targets of a pool of the demo."""
    return [
        {"parameter": "free_chlorine", "low": low, "high": high},
        {"parameter": "ph", "low": "7.3", "high": "7.6"},
        {"parameter": "total_alkalinity", "low": "85", "high": "110"},
    ]


CIRCUITS: tuple[dict[str, Any], ...] = (
    {
        "circuit": "indoor",
        "name": "Indoor filters",
        "volume_m3": "518",
        "volume_known": "meter",
        "balance_tank": "included",
        "mixing_minutes": 45,
        "feeder": "sodium-hypochlorite",
    },
    {
        "circuit": "garden",
        "name": "Garden filters",
        "volume_m3": "334",
        "volume_known": "drawing",
        "balance_tank": "included",
        "mixing_minutes": 60,
        "feeder": "sodium-hypochlorite",
    },
)
POOLS: tuple[dict[str, Any], ...] = (
    {
        "pool": "main",
        "name": "Main",
        "facts": facts("pool", "indoor", "not-used", "uv"),
        "circuit": "indoor",
        "volume_m3": "425",
        "volume_known": "meter",
        "surface_m2": "312.5",
        "targets": targets("1.6", "2.6"),
        "hours": every_day("06:30", "21:30"),
        "interval_minutes": 240,
        "before_opening_minutes": 60,
        "points": ["shallow", "deep"],
    },
    {
        "pool": "teaching",
        "name": "Teaching",
        "facts": facts("teaching", "indoor", "not-used", "uv"),
        "circuit": "indoor",
        "volume_m3": "63",
        "volume_known": "drawing",
        "surface_m2": "75",
        "targets": targets("1.6", "2.6"),
        "hours": every_day("06:30", "21:30"),
        "interval_minutes": 240,
        "before_opening_minutes": 60,
        "points": ["shallow", "deep"],
    },
    {
        "pool": "garden",
        "name": "Garden",
        "facts": facts("pool", "outdoor", "used", "none"),
        "circuit": "garden",
        "volume_m3": "310",
        "volume_known": "drawing",
        "surface_m2": "230",
        "targets": targets("2.4", "4.0"),
        "hours": every_day("10:00", "19:00"),
        "interval_minutes": 240,
        "before_opening_minutes": 60,
        "points": ["shallow", "deep"],
    },
)


def span(
    parameter: str, low: str, high: str, step: str, error: str, percent: str
) -> dict[str, str]:
    """Give one measuring range of a kit with its declared error."""
    return {
        "parameter": parameter,
        "low": low,
        "high": high,
        "step": step,
        "error_absolute": error,
        "error_percent": percent,
    }


KITS: tuple[dict[str, Any], ...] = (
    {
        "kit": "photometer-1",
        "name": "Bench photometer",
        "kind": "photometer",
        "ranges": [
            span("free_chlorine", "0", "5.00", "0.01", "0.02", "2"),
            span("total_chlorine", "0", "5.00", "0.01", "0.02", "2"),
            span("ph", "6.80", "8.40", "0.01", "0.03", "0"),
            span("total_alkalinity", "10", "300", "1", "4", "2"),
            span("calcium_hardness", "20", "500", "1", "8", "3"),
            span("cyanuric_acid", "5", "150", "1", "4", "4"),
        ],
        "total_stand_s": 120,
        "ph_free_chlorine_limit": "8",
    },
    {
        "kit": "comparator-1",
        "name": "Spare comparator",
        "kind": "comparator",
        "ranges": [
            span("free_chlorine", "0.5", "6.0", "0.5", "0.25", "0"),
            span("ph", "6.8", "8.4", "0.2", "0.1", "0"),
        ],
    },
)
PRODUCTS: tuple[dict[str, Any], ...] = (
    {
        "product": "hypo-by-hand",
        "substance": "sodium-hypochlorite",
        "name": "Hypochlorite solution, drum",
        "method": "by-hand",
        "density_kg_l": "1.16",
        "approved": [
            {"pool": pool, "purpose": "raise-chlorine"} for pool in ("main", "teaching", "garden")
        ],
        "jug": "white 2 L jug",
    },
    {
        "product": "acid-by-hand",
        "substance": "hydrochloric-acid",
        "name": "Hydrochloric acid, 5 L",
        "method": "by-hand",
        "density_kg_l": "1.16",
        "approved": [{"pool": pool, "purpose": "lower-ph"} for pool in ("main", "garden")],
        "jug": "red 1 L jug",
    },
    {
        "product": "bicarbonate",
        "substance": "sodium-bicarbonate",
        "name": "Sodium bicarbonate, 25 kg",
        "method": "by-hand",
        "approved": [{"pool": pool, "purpose": "raise-alkalinity"} for pool in ("main", "garden")],
        "jug": "blue scoop",
    },
)
STRENGTHS = {
    "hypo-by-hand": ("120", "g-l"),
    "acid-by-hand": ("32", "percent-w-w"),
    "bicarbonate": ("99", "percent-w-w"),
}


def products(today: date) -> list[dict[str, Any]]:
    """Give the products with a strength measured that day."""
    return [
        {
            **product,
            "strength": {
                "value": STRENGTHS[product["product"]][0],
                "unit": STRENGTHS[product["product"]][1],
                "on": today.isoformat(),
            },
        }
        for product in PRODUCTS
    ]


def reagents(today: date) -> list[dict[str, Any]]:
    """Give the reagents in use: one lot runs out during the history, another one soon."""
    rows = (
        ("free_chlorine", "F-2207", today - timedelta(days=19)),
        ("free_chlorine", "F-2311", today + timedelta(days=400)),
        ("total_chlorine", "T-0914", today + timedelta(days=12)),
        ("ph", "P-5518", today + timedelta(days=300)),
    )
    return [
        {
            "reagent": f"{parameter}-{lot}".lower().replace("_", "-"),
            "kit": "photometer-1",
            "parameter": parameter,
            "lot": lot,
            "expires_on": until.isoformat(),
        }
        for parameter, lot, until in rows
    ]


def people(start: date) -> list[dict[str, Any]]:
    """Give the people, the plant operator with a competence on record."""
    listed = []
    for person in PEOPLE:
        entry: dict[str, Any] = {**person, "new_pin": True}
        if person["person"] == OPERATOR:
            entry["competences"] = [
                {
                    "covers": "hand-dosing",
                    "product": "*",
                    "from": (start - timedelta(days=200)).isoformat(),
                    "until": (start + timedelta(days=900)).isoformat(),
                    "evidence": "Demo certificate, not a real one",
                }
            ]
        listed.append(entry)
    return listed
