"""PHREEQC with its own phreeqc.dat: another model of the same water, chlorine added as ours.

Its ion sizes, ion pairs and constants are its own; only hypochlorite and the cyanurates, which it
does not know, are written from our constants. What is left is the difference between models.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import phreeqpython
from tests.agreement.comparing import after_dose, short_figures
from tests.agreement.doses import Dose, dosed_texts, drawn_doses
from tests.agreement.phreeqc import PUNCH, reactions, water_text
from tests.agreement.waters import Drawn

from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import solve_totals, totals_of_reading
from lanewater.kernel.water.saturation import carbonate_alkalinity
from lanewater.kernel.water.slots import SOLVED, T_ALKALINITY, T_HYPOCHLORITE

DATABASE = Path(phreeqpython.__file__).parent / "database" / "phreeqc.dat"
WITHIN = {"ph": 0.01, "index": 0.03, "hocl": 0.02}
MOST_SALT_MG_L = 6000
# The pH that a pool, its fill water and a coarse mistake have, before and after.
POOL_PH = (6.5, 8.5)


def added_block(k: Sequence[float]) -> str:
    """Write hypochlorite and the cyanurates for a database that lacks them."""
    lines = [
        "SOLUTION_MASTER_SPECIES",
        "  Chl ChlO- 1 Chl 35.453",
        "  Cya Cya-3 3 Cya 126.05",
        "SOLUTION_SPECIES",
        "ChlO- = ChlO-",
        "Cya-3 = Cya-3",
    ]
    for reaction, terms in reactions(k):
        if "Chl" in reaction or "Cya" in reaction:
            lines.append(f"{reaction}\n  -analytic {' '.join(map(repr, terms))}")
    return "\n".join(lines) + "\n"


class Stock:
    """PHREEQC holding phreeqc.dat and the block."""

    def __init__(self, k: Sequence[float]) -> None:
        self.engine = phreeqpython.PhreeqPython().ip
        self.engine.load_database(DATABASE)
        self.engine.run_string(added_block(k))
        self.engine.run_string(PUNCH)

    def solve(self, texts: list[str], rows: int) -> list[tuple[float, ...]]:
        """Solve waters; as `Phreeqc.solve`."""
        self.engine.run_string("".join(texts) + "END\n")
        count = rows * len(texts)
        return [tuple(row) for row in self.engine.get_selected_output_array()[-count:]]


def drawn_pools(k: tuple[float, ...], count: int, seed: int) -> list[Drawn]:
    """Draw waters as pools hold them, below 6 g/L of salt, that have a solution."""
    draw = random.Random(seed)  # noqa: S311 - waters, not secrets
    found: list[Drawn] = []
    while len(found) < count:
        reading = (
            draw.uniform(*POOL_PH),
            draw.uniform(5, 40),
            draw.uniform(20, 300),
            draw.uniform(20, 1000),
            draw.choice((0.0, draw.uniform(1, 150))),
            draw.choice((0.0, draw.uniform(1, 60))),
            draw.uniform(50, MOST_SALT_MG_L),
            draw.choice((0.0, draw.uniform(1, 1000))),
            draw.choice((0.0, draw.uniform(0.1, 10))),
            draw.choice((0.0, draw.uniform(1, 80))),
        )
        status, totals = totals_of_reading(k, reading)
        if status == SOLVED:
            found.append((reading, totals))
    return found


@dataclass(frozen=True, slots=True)
class Seen:
    """One water solved by both models, each from the readings by its own.

    Attributes
    ----------
    reading, dose, stage : tuple of float, Dose, int
        The water; 0 as it was read, 1 after the dose, 2 after the use of chlorine.
    differences : dict
        Ours less theirs: pH, saturation index, and HOCl relative where there is chlorine.
    ph, ionic : float
        By phreeqc.dat.
    carbonate : float
        Share of the alkalinity that is carbonate.
    """

    reading: tuple[float, ...]
    dose: Dose
    stage: int
    differences: dict[str, float]
    ph: float
    ionic: float
    carbonate: float

    def outside(self, figure: str) -> bool:
        """Tell whether a figure is further from phreeqc.dat's than it is held to."""
        return abs(self.differences.get(figure, 0.0)) > WITHIN[figure]


ORDINARY = "none of these"
# What marks the waters in which the models part, the strongest first; a water counts once.
MARKS: tuple[tuple[str, Callable[[Seen], bool]], ...] = (
    ("dosed out of pH 6.5 to 8.5", lambda seen: not POOL_PH[0] <= seen.ph <= POOL_PH[1]),
    ("carbonate less than 40 % of the alkalinity", lambda seen: seen.carbonate < 0.4),
    ("dosed by more than 0.5 in pH", lambda seen: abs(seen.ph - seen.reading[0]) > 0.5),
    ("ionic strength above 0.1", lambda seen: seen.ionic > 0.1),
    (ORDINARY, lambda _seen: True),
)


def marked(seen: Seen) -> str:
    """Name the first mark of a water."""
    return next(name for name, there in MARKS if there(seen))


def compare_with_stock(k: tuple[float, ...], count: int, seed: int, batch: int) -> list[Seen]:
    """Solve pools and their doses both ways, each model from the readings by its own."""
    engine = Stock(k)
    waters = drawn_pools(k, count, seed)
    doses = drawn_doses((totals for _reading, totals in waters), seed)
    found: list[Seen] = []
    for start in range(0, count, batch):
        part = list(zip(waters, doses, strict=True))[start : start + batch]
        texts = [
            dosed_texts(number, water_text(number, reading[1], totals, reading[0]), dose)
            for number, ((reading, totals), dose) in enumerate(part, start=1)
        ]
        rows = iter(engine.solve(texts, 3))
        for (reading, totals), dose in part:
            for stage, after in enumerate(after_dose(totals, dose)):
                found.append(seen_water(k, reading, dose, stage, after, next(rows)))
    return found


def seen_water(
    k: tuple[float, ...],
    reading: tuple[float, ...],
    dose: Dose,
    stage: int,
    totals: tuple[float, ...],
    theirs: tuple[float, ...],
) -> Seen:
    """Compare one water with phreeqc.dat's."""
    ph, index, hocl = short_figures(k, reading[1], totals)
    differences = {"ph": ph - theirs[0], "index": index - theirs[2]}
    if totals[T_HYPOCHLORITE] > 0:
        differences["hocl"] = hocl / theirs[3] - 1
    c = water_constants(k, reading[1])
    _status, state = solve_totals(c, totals)
    carbonate = carbonate_alkalinity(c, state)[0] / totals[T_ALKALINITY]
    return Seen(reading, dose, stage, differences, theirs[0], theirs[1], carbonate)


def summary(waters: list[Seen], figure: str) -> str:
    """Tell how far one figure is from phreeqc.dat's: median, 99 %, largest, how many outside."""
    sizes = sorted(abs(seen.differences[figure]) for seen in waters if figure in seen.differences)
    outside = [seen for seen in waters if seen.outside(figure)]
    where = Counter(marked(seen) for seen in outside)
    text = (
        f"{figure:<6} {len(sizes)} waters, median {sizes[len(sizes) // 2]:.4f}, "
        f"99 % {sizes[int(0.99 * len(sizes))]:.4f}, largest {sizes[-1]:.4f}; "
        f"outside {WITHIN[figure]}: {len(outside)} ({100 * len(outside) / len(sizes):.2f} %)"
    )
    return "\n".join([text, *(f"       {count:5} {name}" for name, count in where.most_common())])
