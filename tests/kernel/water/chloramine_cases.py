"""Waters in which chlorine meets ammonia, drawn at random, and the published courses."""

from __future__ import annotations

import csv
import random
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from lanewater.kernel.water.chloramine import rates_at
from lanewater.kernel.water.stiffsteps import react

VECTORS = Path(__file__).parents[2] / "agreement" / "data" / "chloramine_reference_vectors.csv"
# The rounded masses that the published courses were made with; nothing else uses them.
CHLORINE_71 = 71000.0
NITROGEN_14 = 14000.0
EQUIVALENT_50 = 50000.0
NO_RING = (0.0, 0.0, 0.0, 0.0)
NAMES = ("free_mol_L", "NH2Cl_mol_L", "NHCl2_mol_L", "NCl3_mol_L", "free_NH3T_mol_L")
PLACES = (0, 2, 3, 4, 1)


@dataclass(frozen=True)
class Course:
    """One published or computed course: where it starts, when it is looked at, what is there."""

    origin: str
    temperature_c: float
    ph: float
    alkalinity: float
    start: tuple[float, ...]
    seconds: float
    there: tuple[float, ...]

    def rates(self, q: tuple[float, ...]) -> tuple[float, ...]:
        """Give its rates by our table."""
        return rates_at(q, self.temperature_c, self.ph, self.alkalinity, 0.0, NO_RING)

    def ends(self, q: tuple[float, ...], v: tuple[float, ...]) -> list[float]:
        """Follow it with the given rates; in the order of `there`. [mol/L]"""
        _status, y, _step = react(q, v, list(self.start), self.seconds, 0.0)
        return [y[place] for place in PLACES]


def published() -> list[Course]:
    """Read the seventeen courses."""
    with VECTORS.open(encoding="utf-8", newline="") as file:
        return [course_of(row) for row in csv.DictReader(file)]


def course_of(row: dict[str, str]) -> Course:
    """Read one course."""
    return Course(
        row["origin"],
        float(row["T_C"]),
        float(row["pH"]),
        float(row["alk_mgL_CaCO3"]) / EQUIVALENT_50,
        started(float(row["Cl2_dose_mgL"]), float(row["NH3N_mgL"])),
        60 * float(row["t_min"]),
        tuple(float(row[name]) for name in NAMES),
    )


def started(chlorine_mg_l: float, nitrogen_mg_l: float) -> tuple[float, ...]:
    """Give a start of free chlorine and ammonia, with the rounded masses. [mol/L]"""
    return (chlorine_mg_l / CHLORINE_71, nitrogen_mg_l / NITROGEN_14, *[0.0] * 8)


def drawn(count: int, seed: int) -> Iterator[tuple[tuple[float, ...], list[float], float]]:
    """Draw temperature, pH, alkalinity, way to the air and ring; a start; seconds."""
    draw = random.Random(seed)  # noqa: S311 (repeatable draws)
    for place in range(count):
        rings = draw.choice((0.0, draw.uniform(1e-5, 1e-3)))
        ring = (
            rings,
            10 ** draw.uniform(4, 6),
            10 ** draw.uniform(8, 11),
            10 ** draw.uniform(8, 13),
        )
        water = (draw.uniform(4, 40), draw.uniform(6.2, 9.2), 10 ** draw.uniform(-3.5, -2.3))
        to_air = draw.choice((0.0, 10 ** draw.uniform(-6, -4)))
        start = [10 ** draw.uniform(-6, -3.7) for _ in range(5)] + [0.0, 10 ** draw.uniform(-6, -4)]
        for absent in draw.sample(range(7), place % 5):
            start[absent] = 0.0
        # Together they would have reacted before a test could tell them apart: a third of each.
        start[2], start[3], start[4] = start[2] / 3, start[3] / 3, start[4] / 3
        yield (
            (*water, to_air, *(ring if rings else NO_RING)),
            [*start, 0.0, 0.0, 0.0],
            10 ** draw.uniform(0, 5),
        )
