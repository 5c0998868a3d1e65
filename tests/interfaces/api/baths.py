"""An invented site with one person a role, made once and copied for each test."""

from __future__ import annotations

import shutil
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import httpx
from fastapi import FastAPI
from tests.interfaces.api.browser import UNSAID, Browser

from lanewater.interfaces.api.app import build_api
from lanewater.interfaces.api.caller import DEVICE_COOKIE, SESSION_COOKIE
from lanewater.interfaces.api.doors import Doors
from lanewater.interfaces.api.served import Served
from lanewater.interfaces.serving import shielded
from lanewater.service import access, set_up
from lanewater.service.actor import SHELL
from lanewater.service.book import Book, open_book
from lanewater.service.clock import system_clock
from lanewater.service.config import Config

PINS = {
    "tester": "482913",
    "duty-manager": "573921",
    "plant-operator": "684032",
    "area-manager": "795148",
    "contractor": "806259",
    "competent": "917364",
}
ROLES = tuple(PINS)
ROUND = {
    "pool": "main",
    "readings": {
        "free_chlorine": "1.52",
        "total_chlorine": "1.68",
        "ph": "7.43",
        "temperature_c": "28.4",
        "turbidity_ntu": "0.2",
        "clarity": "visible",
    },
}
LOW_ROUND = {
    "pool": "main",
    "readings": ROUND["readings"] | {"free_chlorine": "0.62", "total_chlorine": "0.78"},
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
HYPOCHLORITE = {
    "product": "hypo",
    "name": "Hypochlorite 12",
    "substance": "sodium-hypochlorite",
    "method": "by-hand",
    "strength": {"value": "12.5", "unit": "percent-w-v", "on": "2026-11-20"},
    "approved": [{"pool": "main", "purpose": "raise-chlorine"}],
    "jug": "white 2 L jug",
}


@dataclass
class Baths:
    """The site as one test has it."""

    book: Book
    app: Any
    browser: Browser
    config: Config
    clock: Clock
    tokens: dict[str, dict[str, str]]

    def ask(
        self,
        method: str,
        path: str,
        body: Any = UNSAID,
        *,
        role: str = "nobody",
        **more: Any,
    ) -> httpx.Response:
        """Ask as somebody: nobody (no cookie), enrolled, owner, or a role's person."""
        return self.browser.ask(method, path, body, cookies=self.tokens.get(role), **more)

    def get(self, path: str, role: str = "enrolled", **more: Any) -> httpx.Response:
        """Read something of the API."""
        return self.ask("GET", f"/api/v1{path}", role=role, **more)

    def post(self, path: str, body: Any, role: str = "enrolled", **more: Any) -> httpx.Response:
        """Record something through the API."""
        return self.ask("POST", f"/api/v1{path}", body, role=role, **more)

    def entries(self) -> int:
        """Count what is on record."""
        return self.book.state.index + 1


@dataclass
class Clock:
    """The machine's clock, which a test may set ahead."""

    ahead_ms: int = 0

    def __call__(self) -> int:
        """Give UTC milliseconds."""
        return system_clock() + self.ahead_ms


@dataclass(frozen=True)
class Template:
    """The folder of the site as it was made, and everybody's cookies."""

    folder: Path
    api: FastAPI
    tokens: dict[str, dict[str, str]] = field(default_factory=dict)


def make_template(folder: Path) -> Template:
    """Make the site, its people and their sessions."""
    config = Config(data=folder)
    made = set_up.new_site(
        config, {"name": "Lindmere Baths", "timezone": "America/Toronto", "rules": "ca-qc"}
    )
    book = open_book(config, "server")
    try:
        add_things(book)
        owner = access.enrol(book, made["first_key"], "Office", "office")
        tokens = {"owner": cookies(owner["token"], owner["session"])}
        tokens["enrolled"] = cookies(owner["token"])
        for role in ROLES:
            session = access.sign_in(book, owner["token"], role, PINS[role])["session"]
            tokens[role] = cookies(owner["token"], session)
        tokens["first-key"] = tokens["owner"]
        tablet = access.enrol(book, access.make_first_key(book), "Tablet", "office")
        tokens["other-device"] = tokens["area-manager"] | cookies(tablet["token"])
    finally:
        book.close()
    tokens["other-site"] = elsewhere(folder.with_name("elsewhere"))
    # Put together once: it keeps nothing of a site but what it is served from.
    return Template(folder, build_api(Served(book)), tokens)


def elsewhere(folder: Path) -> dict[str, str]:
    """Make another site and give the cookies of its area manager."""
    config = Config(data=folder)
    made = set_up.new_site(config, {"name": "Elsewhere Baths", "timezone": "UTC", "rules": "none"})
    book = open_book(config, "server")
    try:
        add_person(book, "area-manager")
        device = access.enrol(book, made["first_key"], "Tablet", "office")["token"]
        session = access.sign_in(book, device, "area-manager", PINS["area-manager"])["session"]
    finally:
        book.close()
    return cookies(device, session)


def cookies(device: str, session: str = "") -> dict[str, str]:
    """Give a browser's cookies."""
    return {DEVICE_COOKIE: device} | ({SESSION_COOKIE: session} if session else {})


def add_things(book: Book) -> None:
    """Set the site up."""
    with book.writing():
        add = set_up.add
        add(
            book,
            SHELL,
            "circuit",
            {
                "circuit": "hall",
                "name": "Hall",
                "volume_m3": "400",
                "volume_known": "drawing",
                "balance_tank": "included",
                "feeder": "sodium-hypochlorite",
            },
        )
        for pool, name in (("main", "Main"), ("teaching", "Teaching")):
            item = {
                "pool": pool,
                "name": name,
                "facts": FACTS,
                "circuit": "hall",
                "volume_m3": "350" if pool == "main" else "50",
                "volume_known": "drawing",
                "targets": [
                    {"parameter": "free_chlorine", "low": "1.2", "high": "1.8"},
                    {"parameter": "ph", "low": "7.2", "high": "7.6"},
                ],
                "interval_minutes": 240,
                "points": ["shallow", "deep"],
            }
            add(book, SHELL, "pool", item)
        add(book, SHELL, "product", HYPOCHLORITE)
        add(
            book,
            SHELL,
            "contact",
            {"contact": "dm", "name": "Duty desk", "phone": "555 0100", "kind": "manager"},
        )
        for role in ROLES:
            add_person(book, role)


def add_person(book: Book, role: str) -> None:
    """Add one person who holds one role; "competent" is a plant operator trained to dose."""
    person: dict[str, Any] = {
        "person": role,
        "name": f"The {role}",
        "initials": role[:2].upper(),
        "roles": ["plant-operator" if role == "competent" else role],
        "pin": PINS[role],
    }
    if role == "competent":
        person["competences"] = [
            {"covers": "hand-dosing", "product": "sodium-hypochlorite", "from": "2026-01-01"}
        ]
    set_up.add(book, SHELL, "person", person)


def open_copy(template: Template, folder: Path, api: FastAPI | None = None) -> Baths:
    """Open a copy of the site; with an API of its own where others are open beside it."""
    shutil.copytree(template.folder, folder)
    config = Config(data=folder)
    clock = Clock()
    book = open_book(config, "server", clock=clock)
    found = api or template.api
    found.state.served = Served(book, Doors(clock))
    app = shielded(found)
    return Baths(book, app, Browser(app), config, clock, template.tokens)
