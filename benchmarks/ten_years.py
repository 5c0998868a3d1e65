"""Make the record of ten years: five pools, eight rounds a day each, through the real commands.

Run with: .venv/bin/python benchmarks/ten_years.py FOLDER [--years 10] [--rounds-a-day 8]

Readings are drawn, not worked out; everything else is as at a pool: rounds are judged, some fail
and are told of, corrections and late rounds from paper come in, chemicals are added by hand and
tested after, everyone is sent out a few times a year, pools open and shut each day, and three
devices sign. The same seed and end give the same readings.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from pathlib import Path
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

from lanewater.records.signing import DeviceKey
from lanewater.service.access import make_first_key
from lanewater.service.actor import SHELL, Actor
from lanewater.service.additions import answer_addition, blocks, start_addition
from lanewater.service.book import Book, open_book
from lanewater.service.clock import instant_ms, instant_text, system_clock
from lanewater.service.config import Config
from lanewater.service.demo_site import (
    CIRCUITS,
    CONTACTS,
    KITS,
    MANAGERS,
    OPERATOR,
    POOLS,
    SITE,
    TESTERS,
    people,
    products,
    reagents,
)
from lanewater.service.keys import device_key
from lanewater.service.opening import close_pool, end_house_stop, everyone_out, open_pool, told
from lanewater.service.rounds import correct_reading, record_round
from lanewater.service.set_up import add, new_site
from lanewater.terms.errors import InputError, RefusedError

MINUTE_MS = 60_000
DAY_MS = 24 * 60 * MINUTE_MS
DAYS_A_YEAR = 365
DAYS_A_TRANSACTION = 5
FIRST_MINUTE, LAST_MINUTE = 340, 1270
PASSES = ("meets", "meets-borderline")
DEVICES = ("server", "shell", "office")
STRENGTH_EVERY_DAYS = 28
A_WEEK = 0.02


@dataclass(slots=True)
class Making:
    """The record in the making."""

    book: Book
    clock: list[int]
    rng: Random
    zone: ZoneInfo
    keys: Sequence[tuple[str, DeviceKey]]
    rounds: int = 0
    open: set[str] = field(default_factory=set)
    out: dict[str, int] = field(default_factory=dict)

    def local(self) -> datetime:
        """Give the local time."""
        return datetime.fromtimestamp(self.clock[0] / 1000, self.zone)

    def later(self, minutes: int) -> None:
        """Let minutes pass."""
        self.clock[0] += minutes * MINUTE_MS

    def one_of(self, listed: Sequence[str]) -> Actor:
        """Give who of some people is on duty today."""
        return Actor(listed[self.local().toordinal() % len(listed)], "pin", verified=True)


def pools() -> list[dict[str, Any]]:
    """Give five pools: three of the demo's and two like them."""
    main, teaching, garden = POOLS
    spare = {key: value for key, value in teaching.items() if key != "circuit"}
    plunge = spare | {"pool": "plunge", "name": "Plunge"}
    lido = {key: value for key, value in garden.items() if key != "circuit"}
    return [main, teaching, garden, plunge, lido | {"pool": "lido", "name": "Lido"}]


def drawn(making: Making, pool: str, point: str) -> list[dict[str, Any]]:
    """Draw the readings of one sample point."""
    rng = making.rng
    free = rng.gauss(2.0 if "garden" not in pool else 2.8, 0.25)
    fate = rng.random()
    if fate < 0.012:
        free = rng.uniform(0.2, 0.9)
    combined = abs(rng.gauss(0.16, 0.05)) + (0.5 if 0.012 <= fate < 0.018 else 0.0)
    ph = rng.gauss(7.42, 0.06) + (0.45 if 0.018 <= fate < 0.022 else 0.0)
    rows = (
        ("free_chlorine", f"{free:.2f}"),
        ("total_chlorine", f"{free + combined:.2f}"),
        ("ph", f"{ph:.2f}"),
    )
    lot = f"F-{1000 + making.local().toordinal() // 60}"
    found: list[dict[str, Any]] = [
        {"parameter": name, "value": value, "point": point, "kit": "photometer-1"}
        for name, value in rows
    ]
    found[0]["lot"] = lot
    return [*found, {"parameter": "temperature_c", "value": f"{rng.gauss(28.2, 0.3):.1f}"}]


def weekly(making: Making) -> list[dict[str, Any]]:
    """Draw what is read once a week."""
    rows = (("total_alkalinity", 96, 5), ("calcium_hardness", 232, 6))
    return [
        {"parameter": name, "value": f"{making.rng.gauss(mean, width):.0f}", "kit": "photometer-1"}
        for name, mean, width in rows
    ]


def test_pool(making: Making, pool: str, *, first: bool) -> None:
    """Record one round, and do what its answer asks for."""
    rng, book = making.rng, making.book
    waiting = bool(blocks(book.state, pool, making.clock[0]))
    readings: list[dict[str, Any]] = [
        {"parameter": "clarity", "value": "visible"},
        {"parameter": "circulation", "value": "running"},
    ]
    for point in ("shallow", "deep") if waiting else ("shallow",):
        readings += drawn(making, pool, point)
    if first and making.local().weekday() == 0:
        readings += weekly(making)
    given: dict[str, Any] = {"pool": pool, "readings": readings, "bathers": rng.randrange(0, 90)}
    if rng.random() < 0.01:
        at = instant_text(making.clock[0] - rng.randrange(30, 600) * MINUTE_MS)
        given |= {"at": at, "source": "paper", "reason": "Tablet was flat; from the paper slip"}
    answer = record_round(book, making.one_of(TESTERS), given)
    making.rounds += 1
    making.later(1)
    after_round(making, pool, answer)
    if rng.random() < 0.007:
        correct(making, answer["round"])
    if rng.random() < 0.03:
        add_by_hand(making, pool)


def after_round(making: Making, pool: str, answer: dict[str, Any]) -> None:
    """Tell, close, or open, as the answer is."""
    verdict = answer["verdict"]["overall"]
    manager = making.one_of(MANAGERS)
    if verdict in ("close", "evacuate") and pool in making.open:
        reason = "Rules say close"
        close_pool(making.book, manager, {"pool": pool, "kind": "closed", "reason": reason})
        making.open.discard(pool)
    if verdict not in PASSES:
        word = {"pool": pool, "about": answer["round"], "whom": manager.person, "how": "by radio"}
        told(making.book, making.one_of(TESTERS), word)
    elif pool not in making.open:
        try_to_open(making, pool)


def try_to_open(making: Making, pool: str) -> None:
    """Open a pool where nothing stands in the way."""
    try:
        open_pool(making.book, making.one_of(MANAGERS), {"pool": pool})
    except (InputError, RefusedError):
        return
    making.open.add(pool)


def correct(making: Making, identity: str) -> None:
    """Correct a reading: its digits were exchanged."""
    making.later(2)
    value = f"{making.rng.gauss(7.42, 0.05):.2f}"
    reason = "Digits exchanged; the slip says otherwise"
    given = {"round": identity, "parameter": "ph", "point": "shallow", "value": value}
    try:
        correct_reading(making.book, making.one_of(MANAGERS), given | {"reason": reason})
    except RefusedError:
        return


def add_by_hand(making: Making, pool: str) -> None:
    """Add something by hand, where nothing else is open on the filter."""
    operator = Actor(OPERATOR, "pin", verified=True)
    amount = str(making.rng.randrange(2, 12) * 100)
    given = {"pool": pool, "product": "hypo-by-hand", "amount": amount, "unit": "mL"}
    try:
        started = start_addition(making.book, operator, given | {"wait_minutes": 30})
    except RefusedError:
        return
    making.later(3)
    answer_addition(making.book, operator, {"addition": started["addition"], "answer": "added"})


def all_out(making: Making, pool: str, day: int) -> None:
    """Call everyone out; the stop is ended next day."""
    stop = making.rng.choice(("stool", "circulation-stopped", "bottom-not-seen"))
    everyone_out(making.book, making.one_of(TESTERS), {"pool": pool, "stop": stop})
    making.open.discard(pool)
    making.out[pool] = day + 1


def end_stops(making: Making, day: int) -> None:
    """End the stops that were called yesterday."""
    for pool, until in list(making.out.items()):
        if until <= day and making.book.state.stops.get(pool):
            reason = "Looked, treated and tested"
            end_house_stop(making.book, making.one_of(MANAGERS), {"pool": pool, "reason": reason})
            del making.out[pool]


def live_day(making: Making, day: date, number: int, rounds_a_day: int) -> None:
    """Live one day: all rounds in order of time, and the doors at its ends."""
    midnight = round(datetime(day.year, day.month, day.day, tzinfo=making.zone).timestamp()) * 1000
    names = list(making.book.state.pools)
    step = (LAST_MINUTE - FIRST_MINUTE) // rounds_a_day
    out_at = {pool: making.rng.randrange(rounds_a_day * 120) for pool in names}
    for turn in range(rounds_a_day):
        for place, pool in enumerate(names):
            minute = FIRST_MINUTE + turn * step + place * 7
            making.clock[0] = max(making.clock[0] + 1000, midnight + minute * MINUTE_MS)
            if turn == 0 and place == 0:
                end_stops(making, number)
            test_pool(making, pool, first=turn == 0)
            if out_at[pool] == turn and pool not in making.out:
                all_out(making, pool, number)
    for pool in names:
        making.later(1)
        kind = {"pool": pool, "kind": "shut"}
        if pool in making.open:
            close_pool(making.book, making.one_of(MANAGERS), kind)
        making.open.discard(pool)


def take_device(making: Making, number: int) -> None:
    """Let the next device sign."""
    kind, key = making.keys[number % len(making.keys)]
    making.book.device_kind = kind
    making.book.own = replace(making.book.own, device=key)
    making.book.device = key.device


def restock(making: Making, today: date, number: int) -> None:
    """Register what is new: a strength each month, reagent lots and competences each year."""
    if number % STRENGTH_EVERY_DAYS == 0:
        for product in products(today):
            add(making.book, SHELL, "product", product)
    if number % DAYS_A_YEAR == 0:
        until = (today + timedelta(days=400)).isoformat()
        for reagent in reagents(today):
            add(making.book, SHELL, "reagent", reagent | {"expires_on": until})
        for person in people(today):
            known = {key: value for key, value in person.items() if key != "new_pin"}
            add(making.book, SHELL, "person", known)


def make_record(
    config: Config, *, years: float, rounds_a_day: int, until_ms: int, seed: int = 20261125
) -> dict[str, Any]:
    """Make the record in a folder that holds none.

    Parameters
    ----------
    config : Config
        The folder.
    years : float
        How long. [365 days each]
    rounds_a_day : int
        Of each of five pools.
    until_ms : int
        When it ends. [UTC ms]
    seed : int
        Of what is drawn.

    Returns
    -------
    dict
        {"rounds", "entries", "first_key", "pins"}.
    """
    days = round(years * DAYS_A_YEAR)
    clock = [until_ms - days * DAY_MS]
    zone = ZoneInfo(str(SITE["timezone"]))
    start = datetime.fromtimestamp(clock[0] / 1000, zone).date()
    new_site(config, {**SITE, "name": "Ten Years Baths"}, clock=lambda: clock[0])
    book = open_book(config, "server", clock=lambda: clock[0])
    kinds = {"server": "server", "shell": "shell", "office": "shell"}
    keys = [(kinds[name], device_key(config, name)) for name in DEVICES]
    making = Making(book, clock, Random(seed), zone, keys)  # noqa: S311 - drawn readings
    with book.writing():
        pins = set_up(book, start)
    for first in range(0, days, DAYS_A_TRANSACTION):
        take_device(making, first // DAYS_A_TRANSACTION)
        with book.writing():
            for number in range(first, min(first + DAYS_A_TRANSACTION, days)):
                today = start + timedelta(days=number)
                restock(making, today, number)
                live_day(making, today, number, rounds_a_day)
        said(f"day {min(first + DAYS_A_TRANSACTION, days)} of {days}, {making.rounds} rounds")
    take_device(making, 0)
    key = make_first_key(book)
    entries = book.state.index + 1
    book.close()
    return {"rounds": making.rounds, "entries": entries, "first_key": key, "pins": pins}


def set_up(book: Book, start: date) -> dict[str, str]:
    """Set the site up; give the PINs of its people."""
    for what, items in (
        ("circuit", CIRCUITS),
        ("pool", pools()),
        ("kit", KITS),
        ("product", products(start)),
        ("contact", CONTACTS),
    ):
        for item in items:
            add(book, SHELL, what, item)
    return {
        str(person["person"]): add(book, SHELL, "person", person)["pin"] for person in people(start)
    }


def said(text: str) -> None:
    """Say how far it is."""
    if sys.stderr.isatty():
        sys.stderr.write(f"\r{text}   ")


def main() -> None:
    """Make it and print what was made, as one line of JSON."""
    parser = argparse.ArgumentParser(description="Make the record of ten years.")
    parser.add_argument("folder", type=Path, nargs="?", help="a week aside where left out")
    parser.add_argument("--years", type=float, default=10)
    parser.add_argument("--rounds-a-day", type=int, default=8)
    parser.add_argument("--until", help="when it ends, such as 2026-11-25T06:00:00Z")
    given = parser.parse_args()
    until = system_clock() if given.until is None else instant_ms(given.until, "--until")
    start = time.process_time()
    aside = tempfile.TemporaryDirectory()
    made = make_record(
        Config(given.folder or Path(aside.name) / "site"),
        years=given.years if given.folder else A_WEEK,
        rounds_a_day=given.rounds_a_day,
        until_ms=until,
    )
    cpu_s = round(time.process_time() - start, 1)
    aside.cleanup()
    sys.stdout.write(json.dumps(made | {"cpu_s": cpu_s}) + "\n")


if __name__ == "__main__":
    main()
