"""The demo site: made once, marked as a demo, never a live site's beginning."""

from __future__ import annotations

import fcntl
import json
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from random import Random
from zoneinfo import ZoneInfo

from lanewater.service.access import make_first_key
from lanewater.service.actor import SHELL
from lanewater.service.book import Book, open_book
from lanewater.service.clock import Clock
from lanewater.service.config import Config
from lanewater.service.constants import load_constants
from lanewater.service.demo_site import (
    CIRCUITS,
    CONTACTS,
    KITS,
    POOLS,
    SITE,
    people,
    products,
    reagents,
)
from lanewater.service.demo_stage import MINUTE_MS, Stage
from lanewater.service.demo_story import acts_of_day
from lanewater.service.demo_water import STEP_HOURS, start_waters, step
from lanewater.service.set_up import add, new_site
from lanewater.terms.errors import RefusedError

DAYS = 90
SEED = 20260401
DAY_MS = 24 * 60 * MINUTE_MS
STEP_MS = round(STEP_HOURS * 60) * MINUTE_MS
STRENGTH_EVERY_DAYS = 14
SIGN_IN_FILE = "pins.json"


@dataclass(frozen=True, slots=True)
class Demo:
    """A demo that stands.

    Attributes
    ----------
    config : Config
        Its own folder.
    first_key : str
        Enrols one browser, made anew at every start.
    people : tuple of dict
        {"initials", "name", "roles", "pin"}.
    made : bool
        Whether it was made by this call.
    """

    config: Config
    first_key: str
    people: tuple[dict[str, str], ...]
    made: bool


def demo_config(config: Config) -> Config:
    """Give the demo's own folder inside a data folder; its record is always a file there."""
    return replace(config, data=config.data / "demo", server="")


def make_demo(config: Config, clock: Clock, *, days: int = DAYS, seed: int = SEED) -> Demo:
    """Make the demo, unless it stands already.

    Parameters
    ----------
    config : Config
        Of the data folder; the demo lives in a folder of its own inside it.
    clock : Clock
        The present; the history ends there.
    days : int
        How many days of history. [1 to 90]
    seed : int
        The same seed and present give the same readings.

    Returns
    -------
    Demo
        Where it is and how to sign in.

    Raises
    ------
    RefusedError
        Where a site that is no demo stands in the demo's place.
    """
    home = demo_config(config)
    notes = home.data / SIGN_IN_FILE
    with making_alone(config.data):
        made = not (home.store.is_file() and notes.is_file())
        if made:
            make_history(home, clock(), days, seed)
    book = open_book(home, clock=clock)
    try:
        key = make_first_key(book)
    finally:
        book.close()
    listed = json.loads(notes.read_text(encoding="utf-8"))
    return Demo(home, key, tuple(listed), made=made)


@contextmanager
def making_alone(folder: Path) -> Iterator[None]:
    """Let one process at a time make a demo in a folder."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    held = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(held, fcntl.LOCK_EX)
        yield
    finally:
        os.close(held)


def make_history(home: Config, now_ms: int, days: int, seed: int) -> None:
    """Set the site up as of some days ago and live the days since.

    It is made aside and takes its place when it is whole: what a broken-off start left is thrown
    away, and nothing else is.
    """
    if home.store.exists():
        raise RefusedError(f"{home.data} holds a site that is no demo; name another with --data")
    aside = replace(home, data=home.data.with_name("demo-unfinished"))
    shutil.rmtree(aside.data, ignore_errors=True)
    time = [now_ms - days * DAY_MS]
    new_site(aside, SITE, clock=lambda: time[0])
    book = open_book(aside, clock=lambda: time[0])
    try:
        with book.writing():
            listed = set_up(book, time[0], now_ms)
        play(book, time, now_ms, days, Random(seed))  # noqa: S311  # a demo's noise, no secret
    finally:
        book.close()
    keep_private(aside.data / SIGN_IN_FILE, listed)
    aside.data.rename(home.data)


def set_up(book: Book, start_ms: int, now_ms: int) -> list[dict[str, str]]:
    """Set the demo's site up; give its people with their PINs."""
    zone = ZoneInfo(str(SITE["timezone"]))
    start = datetime.fromtimestamp(start_ms / 1000, zone).date()
    today = datetime.fromtimestamp(now_ms / 1000, zone).date()
    for what, items in (
        ("circuit", CIRCUITS),
        ("pool", POOLS),
        ("kit", KITS),
        ("reagent", reagents(today)),
        ("product", products(start)),
        ("contact", CONTACTS),
    ):
        for item in items:
            add(book, SHELL, what, item)
    return [
        {
            "initials": person["initials"],
            "name": person["name"],
            "roles": ", ".join(person["roles"]),
            "pin": add(book, SHELL, "person", person)["pin"],
        }
        for person in people(start)
    ]


def play(book: Book, time: list[int], now_ms: int, days: int, rng: Random) -> None:
    """Live the days up to the present."""
    zone = ZoneInfo(str(SITE["timezone"]))
    k = load_constants()
    stage = Stage(book, k, rng, zone, start_waters(k), time)
    today = datetime.fromtimestamp(now_ms / 1000, zone).date()
    for days_left in range(days - 1, -1, -1):
        date = today - timedelta(days=days_left)
        midnight = datetime(date.year, date.month, date.day, tzinfo=zone)
        with book.writing():
            if days_left % STRENGTH_EVERY_DAYS == 0:
                for product in products(date):
                    add(book, SHELL, "product", product)
            play_day(stage, round(midnight.timestamp() * 1000), days_left, now_ms)


def play_day(stage: Stage, midnight_ms: int, days_left: int, now_ms: int) -> None:
    """Live one day: the water moves in half hours, people act between."""
    weekday = datetime.fromtimestamp(midnight_ms / 1000, stage.zone).weekday()
    rng = stage.rng
    day = {
        "crowd": (1.35 if weekday >= 5 else 1.0) * rng.uniform(0.75, 1.2),
        "cloud": rng.uniform(0.35, 1.0),
        "fresh": 0.032,
    }
    acts = acts_of_day(days_left, weekday)
    for index in range(round(24 / STEP_HOURS)):
        start = midnight_ms + index * STEP_MS
        if start > now_ms:
            return
        stage.waters = step(stage.k, stage.waters, day, index * STEP_HOURS, frozenset(), rng)
        while acts and midnight_ms + acts[0][0] * MINUTE_MS < start + STEP_MS:
            minute, act = acts.pop(0)
            moment = midnight_ms + minute * MINUTE_MS + rng.randrange(0, 4 * MINUTE_MS)
            if moment > now_ms:
                return
            stage.clock[0] = max(stage.clock[0], moment)
            act(stage)


def keep_private(path: Path, content: object) -> None:
    """Write a file that only its owner reads; its presence says that the demo is whole."""
    fresh = path.with_suffix(".new")
    fresh.touch(mode=0o600)
    fresh.write_text(json.dumps(content, indent=2), encoding="utf-8")
    fresh.replace(path)
