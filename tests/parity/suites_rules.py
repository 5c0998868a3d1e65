"""Vectors for what rules can say beyond a plain limit: steps, methods, repetition, classes."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import product
from random import Random
from typing import Any

from tests.kernel.deciding.deciding_cases import AT, HOUR, case, reading
from tests.parity.drawing import drawer
from tests.parity.sides import Row, Suite
from tests.parity.suites_carried import drawn_cases
from tests.rules.feature_pack import all_of_it

from lanewater.kernel.deciding.applying import with_doubt
from lanewater.kernel.deciding.lookback import lookback_of
from lanewater.rules.case import with_numbers
from lanewater.service.packs import load_pack

DAY = 24 * HOUR
# Each parameter of the pack at both sides of its limits, out of range, and as a word.
VALUES = {
    "free_chlorine": ("0.5", "3.0", "3.9", "4.0", "4.2", "6.3", "10.0", "12.0", "12.001", ">10"),
    "total_chlorine": ("3.0", "4.5", "6.0", "13"),
    "ph": ("6.9", "7.2", "7.3", "7.31", "7.6", "7.7", "7.9"),
    "orp_mv": ("690", "700", "719", "720", "721"),
    "colony_count": ("10", "100", "101", "151", "201", "<1", ">100", "250"),
    "coliforms": ("<1", "0", "1", "2"),
    "nitrate": ("20", "32.5", "32.501"),
    "turbidity_ntu": ("0.4", "0.6"),
    "clarity": ("visible", "not-visible", "cannot-tell"),
    "circulation": ("running", "stopped", "unknown"),
    "cyanuric_acid": ("0", "20", "<5"),
}
METHODS = ("", "membrane", "enzyme-substrate", "tube")


def draw_readings(draw: Random) -> list[dict[str, Any]]:
    """Readings of some of the pack's parameters, a few by a named method or at two points."""
    found = []
    for parameter, values in VALUES.items():
        for point in ("", "deep") if draw.random() < 0.1 else ("",):
            if draw.random() < 0.55:
                entry = reading(parameter, draw.choice(values), point=point)
                if draw.random() < 0.3:
                    entry["uncertainty"] = draw.choice(["0.1", "2", "30"])
                method = draw.choice(METHODS) if parameter == "coliforms" else ""
                found.append(entry | ({"method": method} if method else {}))
    return found


def draw_pool(draw: Random) -> dict[str, Any]:
    """A pool of which some is known: kind, class, surface, volume, beds, its fill water."""
    facts = {
        "kind": draw.choice(["pool", "spa", "wading", "unknown"]),
        "risk_class": draw.choice(["high", "medium", "low"]),
        "stabiliser": draw.choice(["used", "not-used"]),
        "surface_m2": draw.choice([100, 130, "129.999"]),
        "volume_m3": draw.choice([100, "100.001"]),
        "beds": draw.choice([40, 41, "many"]),
        "overshoot": draw.choice(["allowed", "not"]),
        "fill_nitrate": draw.choice(["12.5", "0"]),
    }
    return with_numbers({name: fact for name, fact in facts.items() if draw.random() < 0.5})


def draw_case(draw: Random) -> dict[str, Any]:
    """A round with a history of some weeks, out of order now and then, and its own clock."""
    history = [
        {"at": AT - draw.randint(0, 40 * DAY), "readings": draw_readings(draw)}
        for _ in range(draw.randint(0, 14))
    ]
    if draw.random() < 0.7:
        history.sort(key=lambda row: row["at"])
    found = case(
        *draw_readings(draw),
        pool=draw_pool(draw),
        history=history,
        at=draw.choice([AT, AT, AT, None]),
        purpose=draw.choice(["round", "round", "sample"]),
    )
    if draw.random() < 0.4:
        found["offset_seconds"] = draw.choice([-6 * HOUR, 2 * HOUR, 13 * HOUR])
    if draw.random() < 0.3:
        found["window"] = [*history, {"at": AT - DAY, "readings": draw_readings(draw)}]
    return found


@cache
def drawn() -> list[dict[str, Any]]:
    """Cases at random."""
    draw = drawer(71)
    return [draw_case(draw) for _ in range(1200)]


def same_day_after_day() -> Iterator[dict[str, Any]]:
    """One reading again and again, an hour less or more than a day apart."""
    low = [reading("orp_mv", "690"), reading("free_chlorine", "3.5"), reading("ph", "7.2")]
    count = [reading("colony_count", "201")]
    for readings, apart, number in product((low, count), (23, 24, 25), range(7)):
        history = [
            {"at": AT - place * apart * HOUR, "readings": readings} for place in range(1, number)
        ]
        yield case(*readings, history=history)


def judged() -> Iterator[Row]:
    """The pack that says everything, with cases at random and days in a row."""
    yield from ((all_of_it(), found) for found in drawn())
    yield from ((all_of_it(), found) for found in same_day_after_day())


def with_own() -> Iterator[Row]:
    """The pack with every other rule, or every one, a site's own upon the law."""
    pack = all_of_it()
    for apart in (1, 2):
        rules = [
            {**rule, "layer": "" if place % apart else "site"}
            for place, rule in enumerate(pack["rules"])
        ]
        yield from (({**pack, "rules": rules}, found) for found in drawn()[:150])


def few_judged() -> list[Row]:
    """Some of them, to be taken apart."""
    return [(all_of_it(), found) for found in drawn()[:14]]


def applied() -> Iterator[Row]:
    """The pack with cases without doubts."""
    yield from ((all_of_it(), with_doubt(found, [])) for found in drawn()[:300])


def on_conditions() -> Iterator[Row]:
    """Cases with the conditions of each rule of the pack."""
    for pack, found in list(applied())[:120]:
        yield from ((found, rule["when"], AT - DAY) for rule in pack["rules"] if rule["when"])


def narrowed() -> Iterator[Row]:
    """The pack with pools at random."""
    yield from ((all_of_it(), found["pool"]) for found in drawn()[:300])


def looking_back() -> Iterator[dict[str, Any]]:
    """Rows of earlier rounds, oldest first, some read at one instant."""
    draw = drawer(72)
    for _ in range(120):
        times = sorted(AT * 1000 - draw.randint(0, 40 * DAY) * 1000 for _ in range(9))
        rows = []
        for place, at in enumerate([*times, times[-1]]):
            held = draw_readings(draw)
            known = sorted({row["parameter"] for row in held})
            rows.append({"id": f"r{place}", "at": at, "parameters": known, "readings": held})
        yield {"rows": rows}


def packs_that_look_back() -> list[dict[str, Any] | None]:
    """The pack of the tests, some shipped ones, and none."""
    return [all_of_it(), None, *(load_pack(name) for name in ("us-ia", "ca-qc", "us-wa", "au-vic"))]


def chosen_rounds() -> Iterator[Row]:
    """Rows with what packs ask for, at instants among them, without one of them."""
    asked = [lookback_of(pack) for pack in packs_that_look_back()]
    for place, found in enumerate(looking_back()):
        at = found["rows"][place % 10]["at"] + (place % 3) * DAY
        yield found["rows"], asked[place % len(asked)], at, f"r{place % 12}"


def joined_windows() -> Iterator[Row]:
    """A history with rounds to look back at, some of them in it."""
    for place, found in enumerate(looking_back()):
        history = [{"at": row["at"] // 1000, "readings": []} for row in found["rows"][place % 9 :]]
        yield history, found["rows"]


def drawn_with_lookback() -> Iterator[Row]:
    """Cases drawn where rounds were carried to look back at."""
    asked = [lookback_of(pack) for pack in packs_that_look_back()]
    rows = list(looking_back())
    for place, (base, facts, at, without) in enumerate(drawn_cases()):
        held = asked[place % len(asked)] | {"rows": rows[place % len(rows)]["rows"]}
        yield base | {"lookback": held}, facts, at, without


def dated() -> list[Row]:
    """Packs that begin, end, both or neither, with cases on both sides of midnight there."""
    ends = (None, AT - DAY, AT, AT + DAY)
    times = (None, AT - DAY - 1, AT - DAY, AT - 1, AT, AT + 1, AT + DAY)
    offsets = ({}, {"offset_seconds": 3600}, {"offset_seconds": -3600})
    return [
        ({"effective_from": begun, "effective_to": ended}, {"at": at} | offset)
        for begun in ends
        for ended in ends
        for at in times
        for offset in offsets
    ]


SUITES = (
    Suite("judge", judged, changed=few_judged, place=1),
    Suite("judge", few_judged, changed=lambda: few_judged()[:2], place=0, every=3),
    Suite("judge", with_own),
    Suite("applies", on_conditions),
    Suite("rules_that_apply", applied),
    Suite("in_force", dated, changed=lambda: dated()[-40:]),
    Suite("pool_in_classes", judged, changed=lambda: few_judged()[:4], every=5),
    Suite("next_due_by_pack", judged),
    Suite("lookback_of", lambda: ((pack,) for pack in packs_that_look_back())),
    Suite("looked_back", chosen_rounds, changed=lambda: list(chosen_rounds())[:2], every=5),
    Suite("window_of_history", joined_windows),
    Suite("case_drawn", drawn_with_lookback),
    Suite("pack_for_pool", narrowed, changed=lambda: list(narrowed())[:2], every=40),
)
