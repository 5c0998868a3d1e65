"""Our solver beside PHREEQC's on the same waters: the largest difference of each figure."""

from __future__ import annotations

from collections.abc import Sequence

from tests.agreement.phreeqc import Phreeqc, water_text
from tests.agreement.waters import drawn_waters

from lanewater.kernel.water.equilibrium import ph_of_totals
from lanewater.kernel.water.saturation import (
    F_HOCL,
    F_IONIC_STRENGTH,
    F_SATURATION_INDEX,
    figures_of_totals,
)
from lanewater.kernel.water.slots import SOLVED, T_ALKALINITY, T_CARBON
from lanewater.kernel.water.units import CHLORINE, MILLI

# Where carbon is a remainder below a hundredth of the alkalinity, an error of PHREEQC's own
# tolerance in the alkalinity is a hundred times larger in the carbon, and so in the index.
LEAST_CARBON = 0.01


def largest_differences(k: Sequence[float], count: int, seed: int, batch: int) -> dict[str, float]:
    """Solve many waters both ways; give the largest difference of each figure.

    Parameters
    ----------
    k : tuple of float
        One cyanurate set; PHREEQC gets the same.
    count, seed, batch : int
        How many waters, which, and how many PHREEQC takes at a time.
    """
    flat = tuple(k)
    engine = Phreeqc(flat)
    worst = dict.fromkeys(("ph", "index", "index_from_ph", "hocl_relative", "ionic_relative"), 0.0)
    waters = drawn_waters(flat, count, seed)
    for start in range(0, count, batch):
        part = waters[start : start + batch]
        from_ph = engine.solve(
            water_text(number, reading[1], totals, reading[0])
            for number, (reading, totals) in enumerate(part, start=1)
        )
        from_carbon = engine.solve(
            water_text(number, reading[1], totals, None)
            for number, (reading, totals) in enumerate(part, start=1)
        )
        for (reading, totals), given_ph, given_carbon in zip(
            part, from_ph, from_carbon, strict=True
        ):
            status, figures = figures_of_totals(flat, reading[1], totals)
            _status, ph = ph_of_totals(flat, reading[1], totals)
            assert status == SOLVED
            index = figures[F_SATURATION_INDEX]
            found = {
                "ph": ph - given_carbon[0],
                "index": index - given_carbon[2],
                "ionic_relative": figures[F_IONIC_STRENGTH] / given_carbon[1] - 1,
            }
            if totals[T_CARBON] > LEAST_CARBON * totals[T_ALKALINITY]:
                found["index_from_ph"] = index - given_ph[2]
            if figures[F_HOCL] > 0:
                theirs = given_carbon[3] * CHLORINE * MILLI
                found["hocl_relative"] = figures[F_HOCL] / theirs - 1
            worst |= {name: max(worst[name], abs(value)) for name, value in found.items()}
    return worst
