"""An invented site for the journeys: two pools on one filter, one outdoors, four people, a kit."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from lanewater.service.actor import SHELL, Actor
from lanewater.service.book import Book, open_book
from lanewater.service.clock import instant_text
from lanewater.service.config import Config
from lanewater.service.rounds import record_round
from lanewater.service.set_up import add, new_site

MINUTE_MS = 60_000
PINS = {"TT": "918273", "DD": "283746", "OP": "564738", "AA": "746352"}
TESTER = Actor("p-tester", "pin", verified=True)
GOOD = {
    "free_chlorine": "1.52",
    "total_chlorine": "1.68",
    "ph": "7.43",
    "temperature_c": "28.4",
    "clarity": "visible",
}
LOW = {
    "free_chlorine": "0.66",
    "total_chlorine": "0.80",
    "ph": "7.42",
    "temperature_c": "28.4",
    "clarity": "visible",
    "total_alkalinity": "95",
}
FACTS = {
    "kind": "pool",
    "location": "indoor",
    "disinfectant": "chlorine",
    "stabiliser": "not-used",
    "water": "fresh",
    "supply": "recirculated",
    "control": "manual",
    "secondary": "none",
    "coagulant": "none",
}
EVERY_HOUR = [{"day": day, "opens": "00:00", "closes": "24:00"} for day in range(7)]
TARGETS = [
    {"parameter": "free_chlorine", "low": "1.2", "high": "1.8"},
    {"parameter": "ph", "low": "7.2", "high": "7.6"},
]
PEOPLE = (
    ("p-tester", "Tove Testerlund", "TT", ["tester"], []),
    ("p-manager", "Dagny Dutyvik", "DD", ["duty-manager", "tester"], []),
    ("p-operator", "Olaf Plantmo", "OP", ["plant-operator", "tester"], ["sodium-hypochlorite"]),
    ("p-area", "Arne Areaberg", "AA", ["area-manager"], []),
)
KIT = {
    "kit": "photo-1",
    "name": "Photometer 1",
    "kind": "photometer",
    "total_stand_s": 120,
    "ph_free_chlorine_limit": "6.00",
    "ranges": [
        {"parameter": "free_chlorine", "low": "0.02", "high": "6.00", "step": "0.01"},
        {"parameter": "total_chlorine", "low": "0.02", "high": "6.00", "step": "0.01"},
        {"parameter": "ph", "low": "6.50", "high": "8.40", "step": "0.01"},
    ],
}


US_UNITS = {"volume": "us-gal", "temperature": "F", "dose": "us"}


def today(days: int = 0) -> str:
    """Give a date so many days from now."""
    return (datetime.now(UTC) + timedelta(days=days)).date().isoformat()


def things() -> list[tuple[str, dict[str, Any]]]:
    """Give everything that is set up, in order."""
    hall = {
        "circuit": "hall",
        "name": "Hall filter",
        "volume_m3": "450",
        "volume_known": "drawing",
        "balance_tank": "included",
        "feeder": "sodium-hypochlorite",
        "mixing_minutes": 45,
    }
    main = {
        "pool": "main",
        "name": "Main",
        "facts": FACTS,
        "circuit": "hall",
        "volume_m3": "400",
        "volume_known": "drawing",
        "targets": TARGETS,
        "hours": EVERY_HOUR,
        "interval_minutes": 240,
    }
    teaching = main | {"pool": "teaching", "name": "Teaching", "volume_m3": "50"}
    teaching["facts"] = FACTS | {"kind": "teaching"}
    terrace = {
        "pool": "terrace",
        "name": "Terrace",
        "facts": FACTS | {"location": "outdoor", "stabiliser": "used"},
        "interval_minutes": 120,
    }
    hypo = {
        "product": "hypo",
        "name": "Hypo 12 %",
        "substance": "sodium-hypochlorite",
        "method": "by-hand",
        "strength": {"value": "120", "unit": "g-l", "on": today(-3)},
        "jug": "the blue jug",
        "approved": [{"pool": pool, "purpose": "raise-chlorine"} for pool in ("main", "teaching")],
    }
    people = [
        {
            "person": identity,
            "name": name,
            "initials": initials,
            "roles": roles,
            "pin": PINS[initials],
            "competences": [
                {"covers": "hand-dosing", "product": product, "from": today(-200)}
                for product in products
            ],
        }
        for identity, name, initials, roles, products in PEOPLE
    ]
    contacts = [
        {"name": "Ambulance, fire", "phone": "112", "kind": "emergency"},
        {"name": "Dagny Dutyvik, duty manager", "phone": "555-0101", "kind": "manager"},
        {"name": "Olaf Plantmo, plant", "phone": "555-0102", "kind": "contractor"},
    ]
    return [
        ("circuit", hall),
        ("pool", main),
        ("pool", teaching),
        ("pool", terrace),
        ("kit", KIT),
        ("product", hypo),
        *[("person", person) for person in people],
        *[("contact", contact) for contact in contacts],
    ]


def harbour(folder: Path, **more: Any) -> str:
    """Make the site in a folder and give its first key; more goes into the site itself."""
    config = Config(folder)
    site = {"name": "Harbour Baths", "timezone": "America/Toronto", "rules": "ca-qc"}
    made = new_site(config, site | more)
    book = open_book(config)
    with book.writing():
        for what, item in things():
            add(book, SHELL, what, item)
    earlier(book)
    book.close()
    return made["first_key"]


def earlier(book: Book) -> None:
    """Record yesterday's alkalinity and a good round of five hours ago."""
    readings = {
        "free_chlorine": "1.45",
        "total_chlorine": "1.60",
        "ph": "7.42",
        "temperature_c": "28.3",
        "clarity": "visible",
        "turbidity_ntu": "0.3",
        "total_alkalinity": "95",
        "calcium_hardness": "180",
    }
    at = instant_text(book.clock() - 300 * MINUTE_MS)
    record_round(book, TESTER, {"pool": "main", "readings": readings, "at": at})


def empty(folder: Path) -> str:
    """Make a site that holds nothing yet and give its first key."""
    command = {"name": "Kvern Baths", "timezone": "Europe/Oslo", "rules": "none"}
    return new_site(Config(folder), command)["first_key"]
