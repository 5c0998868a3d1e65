"""Vectors for the cause finder."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tests.kernel.deciding.cause_cases import (
    DAY,
    beside_a_probe,
    creeping,
    days_and_nights,
    history,
    rising_ph,
    round_of,
)
from tests.kernel.deciding.deciding_cases import AT, HOUR, reading
from tests.parity.drawing import drawer
from tests.parity.sides import Row, Suite

FEEDERS = ("sodium-hypochlorite", "chlorine", "none", "")
PRODUCTS = ("sodium-carbonate", "sodium-hypochlorite", "other:potassium-monopersulfate")


def drawn() -> Iterator[dict[str, Any]]:
    """Give histories at random: every reading that the finder looks at, some left out."""
    draw = drawer(61)
    for place in range(150):
        rounds = []
        level = draw.uniform(0.5, 3)
        for step in range(draw.randrange(0, 14)):
            values = {
                "ph": f"{7.2 + 0.05 * step * draw.random():.2f}",
                "free_chlorine": f"{max(level - 0.1 * step * draw.random(), 0):.2f}",
                "total_chlorine": f"{level + 0.1 * step * draw.random():.2f}",
                "controller_free": f"{level + 0.05 * step:.2f}",
                "controller_ph": f"{7.3 + 0.02 * draw.random():.2f}",
                "total_alkalinity": f"{draw.randrange(60, 200)}",
                "cyanuric_acid": f"{draw.randrange(0, 60)}",
            }
            kept = {name: value for name, value in values.items() if draw.random() < 0.8}
            bathers = draw.choice((None, 5, 60, 200))
            at = AT - (14 - step) * 7 * HOUR
            rounds.append(round_of(at, shut=draw.random() < 0.4, bathers=bathers, **kept))
        events = [
            {"kind": "addition", "product": draw.choice(PRODUCTS), "at": AT - draw.randrange(DAY)}
            for _ in range(draw.randrange(3))
        ]
        yield history(
            rounds,
            events=events,
            feeder=FEEDERS[place % 4],
            ceiling=draw.choice((None, 7300, 8400)),
            verified=draw.choice(({}, {"bench": AT - DAY}, {"bench": AT - 90 * DAY})),
            strength_at=draw.choice((None, AT - DAY, AT - 90 * DAY)),
            limit_combined=draw.choice((None, 500)),
            pool=draw.choice(({}, {"location": "outdoor"}, {"kind": "spa", "secondary": "uv"})),
        )


def told() -> list[dict[str, Any]]:
    """Give one history for each question."""
    nights = [("1.90", "0.40"), ("1.80", "0.35"), ("1.95", "0.50")]
    pairs = [("1.5", "1.4"), ("1.5", "1.1"), ("1.5", "0.9"), ("1.5", "0.8")]
    return [
        history(rising_ph(["7.2", "7.3", "7.4", "7.5", "7.6"])),
        history(days_and_nights(nights)),
        history(creeping([(one, "2.9") for one, _ in pairs])),
        history(beside_a_probe(pairs)),
    ]


def cases() -> Iterator[Row]:
    """Give all of them."""
    yield from ((case,) for case in (*told(), *drawn()))


def few_cases() -> Iterator[Row]:
    """Give those of which also every key is left out."""
    yield from ((case,) for case in told())


def series() -> Iterator[Row]:
    """Give each history with each number that is looked at."""
    for (case,) in cases():
        yield from ((case["rounds"], name) for name in ("ph", "free_chlorine", "controller_ph"))


def rows_of_rounds() -> Iterator[Row]:
    """Give each round's readings with a parameter of it."""
    for (case,) in cases():
        yield from ((one["readings"], "free_chlorine") for one in case["rounds"][:2])


def points() -> Iterator[Row]:
    """Give two points of a round that agree or do not."""
    for one, other in (("1.50", "1.55"), ("1.50", "1.90"), ("7.40", "7.40"), ("0.02", ">6.00")):
        yield ([reading("free_chlorine", one), reading("free_chlorine", other, point="deep")],)


def single() -> Iterator[Row]:
    """Give readings one by one."""
    for (rows,) in points():
        yield from ((row,) for row in rows)


def openings() -> Iterator[Row]:
    """Give stretches of time against two sets of hours."""
    offsets = [{"from": 0, "minutes": -240}]
    for days in ((0, 1, 2, 3, 4), (5,)):
        hours = [{"day": day, "opens": 390, "closes": 1320} for day in days]
        for step in range(12):
            start = AT + step * 5 * HOUR
            yield {"hours": hours, "offsets": offsets}, start, start + 7 * HOUR


SUITES = (
    Suite("causes_of", cases, changed=few_cases, every=3),
    Suite("series_of", series),
    Suite("exact_tries", rows_of_rounds),
    Suite("points_agree", points),
    Suite("reading_error", single),
    Suite("openings_between", openings),
)
