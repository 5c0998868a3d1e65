"""Planning problems that have an answer: an end inside the bands, with a plan taken out of it."""

from __future__ import annotations

import random
from dataclasses import dataclass

from lanewater.kernel.water.additions import (
    P_CALCIUM_CHLORIDE,
    P_CALCIUM_HYPOCHLORITE,
    P_HYDROCHLORIC_ACID,
    P_SODIUM_BICARBONATE,
    P_SODIUM_BISULFATE,
    P_SODIUM_CARBONATE,
    P_SODIUM_HYPOCHLORITE,
    add_product,
)
from lanewater.kernel.water.equilibrium import ph_of_totals, totals_of_reading
from lanewater.kernel.water.planningslots import P_FRESH_WATER, Q_SATURATION
from lanewater.kernel.water.search import (
    Q_ALKALINITY,
    Q_CALCIUM,
    Q_CYANURIC_ACID,
    Q_FREE_CHLORINE,
    Q_PH,
)
from lanewater.kernel.water.slots import SOLVED
from lanewater.service.constants import load_constants

HUGE = 1e9
Totals = tuple[float, ...]

# Product, mol/L of a middling unit (about 0.3 mg/L of chlorine, 1 to 4 of
# alkalinity or 8 of calcium hardness), cost of a mol in a cubic metre, group.
PRODUCTS = (
    (P_SODIUM_HYPOCHLORITE, 4e-6, 120.0, 1.0),
    (P_CALCIUM_HYPOCHLORITE, 2e-6, 500.0, 1.0),
    (P_HYDROCHLORIC_ACID, 1.5e-5, 60.0, 2.0),
    (P_SODIUM_BISULFATE, 1.5e-5, 150.0, 2.0),
    (P_SODIUM_BICARBONATE, 8e-5, 80.0, 3.0),
    (P_SODIUM_CARBONATE, 1e-5, 90.0, 4.0),
    (P_CALCIUM_CHLORIDE, 8e-5, 70.0, 5.0),
)
EFFORT = 0.003


@dataclass(frozen=True)
class PlanCase:
    """A problem, and units that solve it.

    Parameters
    ----------
    temperature_c : float
        [deg C]
    totals, fill : tuple of float
        The pool, the fill water. [mol/L]
    rows, bands : list of float
        As `plan_search` takes them.
    known : tuple of float
        Units of each row that end in every band.
    """

    temperature_c: float
    totals: Totals
    fill: Totals
    rows: list[float]
    bands: list[float]
    known: tuple[float, ...]


def flat(rows: list[tuple[float, ...]] | tuple[tuple[float, ...], ...]) -> list[float]:
    """Put rows of numbers end to end."""
    return [float(number) for row in rows for number in row]


def drawn_rows(draw: random.Random, most: float) -> list[tuple[float, ...]]:
    """Draw five to seven products, their units and prices, and sometimes fresh water."""
    rows = []
    for product, unit, price, group in sorted(
        draw.sample(PRODUCTS, draw.randint(5, len(PRODUCTS)))
    ):
        size = unit * draw.uniform(0.5, 2.0)
        cost = size * price * draw.uniform(0.6, 1.6)
        rows.append((product, size, 0.05, most, cost, EFFORT, group, HUGE))
    if draw.random() < 0.5:
        share = draw.uniform(0.02, 0.04)
        rows.append((P_FRESH_WATER, share, 0.0, min(most, 8.0), share * 0.2, EFFORT, 0.0, 5.0))
    return rows


def drawn_bands(draw: random.Random) -> tuple[tuple[float, ...], ...]:
    """Draw what a pool may aim at, the limits beside it and the caps of a step."""
    ph, free = draw.choice(((7.2, 7.6), (7.0, 7.4))), draw.choice(((2.0, 4.0), (1.0, 2.0)))
    index = draw.choice((0.3, 0.5, HUGE))
    return (
        (Q_PH, *ph, *draw.choice(((6.6, 8.6), (7.0, 7.8))), draw.choice((0.1, 0.2))),
        (Q_FREE_CHLORINE, *free, 0.0, draw.choice((5.0, 9.0)), draw.choice((1.0, 3.0))),
        (Q_ALKALINITY, 80.0, draw.choice((120.0, 140.0)), 20.0, 300.0, draw.choice((8.0, 15.0))),
        (Q_CALCIUM, draw.choice((80.0, 150.0)), 450.0, -HUGE, HUGE, 30.0),
        (Q_CYANURIC_ACID, -HUGE, 60.0, -HUGE, 100.0, HUGE),
        (Q_SATURATION, -index, index, -HUGE, HUGE, HUGE),
    )


def drawn_case(draw: random.Random, most: float = 24.0, used: int = 3) -> PlanCase | None:
    """Draw a problem with at most some products in its known plan; None where no such pool is."""
    k = load_constants()
    rows = drawn_rows(draw, most)
    warm = draw.uniform(18, 36)
    bands = drawn_bands(draw)
    ph, free, alkalinity, calcium = (draw.uniform(*band[1:3]) for band in bands[:4])
    end_reading = (
        ph, warm, alkalinity, calcium, draw.choice((0.0, draw.uniform(0, 55))), 0.0,
        draw.uniform(200, 3000), draw.uniform(0, 100), free, 5.0,
    )  # fmt: skip
    status, end = totals_of_reading(k, end_reading)
    if status != SOLVED:
        return None
    fill_reading = (
        draw.uniform(7.2, 8.2), warm, draw.uniform(30, 200), draw.uniform(30, 250),
        0.0, 0.0, draw.uniform(20, 150), draw.uniform(0, 50), 0.0, 3.0,
    )  # fmt: skip
    status, fill = totals_of_reading(k, fill_reading)
    if status != SOLVED:
        return None
    known = [0.0] * len(rows)
    start = end
    for row in draw.sample(range(len(rows)), draw.randint(1, used)):
        product, unit, caustic, row_most = rows[row][:4]
        if product != P_FRESH_WATER:
            known[row] = float(draw.randint(1, int(min(row_most, most * 0.75))))
            start = add_product(start, int(product), -unit * known[row], caustic)
    if not plausible(k, warm, start):
        return None
    return PlanCase(warm, start, fill, flat(rows), flat(bands), tuple(known))


def plausible(k: tuple[float, ...], warm: float, totals: Totals) -> bool:
    """Tell whether totals are those of a pool that one might meet."""
    if min(totals) < 0.0:
        return False
    status, ph = ph_of_totals(k, warm, totals)
    return status == SOLVED and 6.7 <= ph <= 8.5
