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
from tests.kernel.deciding.deciding_cases import AT, HOUR
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


SUITES = (Suite("causes_of", cases, changed=few_cases, every=3),)
