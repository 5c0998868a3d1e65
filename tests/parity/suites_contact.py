"""Vectors for the contact clock: readings of incidents, the odd and the impossible among them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from tests.kernel.deciding.contact_cases import asked, free_at, round_at, route
from tests.parity.drawing import drawer
from tests.parity.sides import Row, Suite

from lanewater.kernel.water.contacttimeslots import (
    CT_GIARDIA_CHLORAMINE,
    CT_GIARDIA_WARM,
    CT_STEP_TEMPERATURES,
)
from lanewater.service.constants import load_table
from lanewater.service.packs import load_pack, pack_ids

K = load_table("contact_time")
POINTS = ("", "deep", "shallow", "\u00e9tang")
TEXTS = (">5.00", "<0.10", "0", "1e3", "", "7,4")
GERMS: tuple[dict[str, Any], ...] = (
    {"germ": "giardia", "edition": "2008", "logs": 3000},
    {"germ": "giardia", "edition": "2008", "logs": 500},
    {"germ": "virus", "edition": "2008", "logs": 4000},
    {"germ": "virus", "edition": "2008", "logs": 2000},
    {"germ": "cryptosporidium", "edition": "2008", "logs": 3000},
    {"germ": "cryptosporidium", "edition": "2001", "logs": 3000},
)
SAID = (None, 0, 8000, 60_000)


def incident(place: int) -> list[dict[str, Any]]:
    """Give one incident at random: several points, falling or added to, some values left out."""
    draw = drawer(7000 + place)
    found: list[dict[str, Any]] = []
    level = draw.uniform(1, 30)
    rate = draw.choice((0, 0, 0.0005, 0.003))
    for step in range(draw.randrange(0, 8)):
        minute = step * draw.choice((5, 30, 120)) + draw.randrange(4)
        if draw.random() < 0.1:
            level *= 1.4
        for point in POINTS[: draw.randrange(1, 4)]:
            values = {
                "free_chlorine": f"{level * math.exp(-rate * minute) * draw.uniform(0.97, 1):.2f}",
                "ph": f"{draw.uniform(7.0, 7.7):.2f}",
                "temperature_c": f"{draw.uniform(22, 30):.1f}",
                "cyanuric_acid": f"{draw.choice((0, 0, 5, 14, 40))}",
            }
            if draw.random() < 0.08:
                values["free_chlorine"] = draw.choice(TEXTS)
            kept = {name: text for name, text in values.items() if draw.random() < 0.7}
            found += round_at(minute, point, **kept)
        if place % 9 == 0 and step % 3 == 1:
            found += round_at(minute, "", circulation="stopped")
    draw.shuffle(found)
    return found


def incidents() -> list[list[dict[str, Any]]]:
    """Give all of them, with a few told ones first."""
    told = [
        free_at((0, "20"), (300, "10")),
        free_at((0, "20"), (60, "19.5"), (180, "18.8")),
        [*round_at(0, free_chlorine="20", ph="7.4", temperature_c="26"), *free_at((60, "20"))],
        [],
    ]
    return told + [incident(place) for place in range(120)]


def procedures() -> list[dict[str, Any]]:
    """Give the packs' procedures, and one for each thing that a procedure can say."""
    held = [one for identity in pack_ids() for one in load_pack(identity)["procedures"]]
    odd = asked(
        ph_most=7500,
        temperature_least=25_000,
        cyanuric_most=15_000,
        unstabilised_only=True,
        broken="hold",
        routes=[route(free_least=5000, seconds=3600, ct=400_000), route(id="ct", ct=500_000)],
    )
    return [*held, odd]


def targets() -> Iterator[Row]:
    """Give every incident with a target."""
    for place, readings in enumerate(incidents()):
        yield readings, SAID[place % 4], (60_000, 2_000_000, 15_300_000)[place % 3]


def germs() -> Iterator[Row]:
    """Give every incident with a germ."""
    for place, readings in enumerate(incidents()):
        for step in range(2):
            yield K, readings, SAID[(place + step) % 4], GERMS[(place + 3 * step) % len(GERMS)]


def routes() -> Iterator[Row]:
    """Give every incident with two procedures."""
    held = procedures()
    for place, readings in enumerate(incidents()):
        for step in range(2):
            yield readings, SAID[place % 4], held[(place + step) % len(held)]


def few_targets() -> Iterator[Row]:
    """Give those of which also every key is left out."""
    yield incident(3), None, 2_000_000


def few_routes() -> Iterator[Row]:
    """Give those of which also every key is left out."""
    yield incident(5), 8000, procedures()[-1]


def cells() -> Iterator[Row]:
    """Give waters in and around the Giardia table."""
    for temperature_c in (-1.0, 0.5, 7.2, 15.0, 24.9, 31.0):
        for ph in (5.5, 6.0, 7.3, 7.5, 9.0, 9.1):
            for free in (0.0, 0.4, 0.95, 2.2, 3.0, 20.0):
                yield K, temperature_c, ph, free


def regressed() -> Iterator[Row]:
    """Give the same waters with a log inactivation and the disputed number."""
    for k, temperature_c, ph, free in cells():
        yield k, temperature_c, ph, free, 1.5, k[CT_GIARDIA_WARM + 1]


def by_virus() -> Iterator[Row]:
    """Give waters in and around the virus table."""
    for temperature_c in (0.0, 12.0, 25.0):
        for ph in (5.9, 6.0, 9.0, 9.5, 10.1):
            yield from ((K, temperature_c, ph, logs) for logs in (1, 2, 3, 4, 5))


def by_temperature() -> Iterator[Row]:
    """Give temperatures of the chloramine table."""
    for temperature_c in (0.0, 1.0, 9.9, 25.0, 30.0):
        yield K, CT_STEP_TEMPERATURES, CT_GIARDIA_CHLORAMINE, temperature_c


def series() -> Iterator[Row]:
    """Give times with a free chlorine each."""
    draw = drawer(62)
    for count in range(8):
        times = sorted(draw.uniform(0, 900) for _ in range(count))
        yield times, [draw.uniform(0, 30) for _ in times]


def falling() -> Iterator[Row]:
    """Give runs of a falling chlorine."""
    draw = drawer(63)
    for count in range(1, 5):
        runs = [run for run in range(count) for _ in range(3)]
        minutes = [draw.uniform(0, 900) for _ in runs]
        yield minutes, [20 * math.exp(-0.001 * at) for at in minutes], runs, count


def ahead() -> Iterator[Row]:
    """Give a free chlorine, a rate and a contact time."""
    for free in (0.0, 1.5, 20.0):
        for rate in (-0.001, 0.0, 0.0001, 0.01):
            yield from ((free, rate, ct) for ct in (0.0, 60.0, 15_300.0))


def shares() -> Iterator[Row]:
    """Give those of them with a chlorine and a rate."""
    yield from (row for row in ahead() if row[0] > 0 and row[1] > 0)


def levels() -> Iterator[Row]:
    """Give a chlorine and a rate."""
    yield from ((row[0], row[1]) for row in shares())


def stretches() -> Iterator[Row]:
    """Give a span and its two ends."""
    yield from ((60, one, other) for one in (0, 1500, 20_000) for other in (0, 19_500))


SUITES = (
    Suite("contact_for_target", targets, changed=few_targets),
    Suite("contact_for_germ", germs),
    Suite("contact_for_procedure", routes, changed=few_routes),
    Suite("giardia_ct", cells, within=1e-12),
    Suite("giardia_ct_regressed", regressed, within=1e-12),
    Suite("virus_ct", by_virus, within=1e-12),
    Suite("ct_at_temperature", by_temperature, within=1e-12),
    Suite("conservative_ct", series, within=1e-12),
    Suite("trapezoid_ct", series, within=1e-12),
    Suite("decay_fitted", falling, within=1e-9),
    Suite("minutes_to_ct", ahead, within=1e-12),
    Suite("most_ct", levels, within=1e-12),
    Suite("share_to_come", shares, within=1e-12),
    Suite("free_after", shares, within=1e-12),
    Suite("ct_between", stretches, within=1e-12),
)
