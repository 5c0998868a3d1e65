"""Our solver beside PHREEQC's on the same waters: the largest difference of each figure."""

from __future__ import annotations

import math
from collections.abc import Sequence

from tests.agreement.doses import Dose, dosed_texts, drawn_doses
from tests.agreement.phreeqc import Phreeqc, water_text
from tests.agreement.waters import drawn_waters

from lanewater.kernel.water.additions import add_product, use_up_chlorine
from lanewater.kernel.water.calcite import saturation_of_state
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import ph_of_totals, solve_totals
from lanewater.kernel.water.saturation import (
    F_HOCL,
    F_IONIC_STRENGTH,
    F_SATURATION_INDEX,
    figures_of_totals,
    free_forms,
)
from lanewater.kernel.water.slots import (
    S_LN_PROTON,
    SOLVED,
    T_ALKALINITY,
    T_CARBON,
    T_HYPOCHLORITE,
)
from lanewater.kernel.water.units import CHLORINE, LN_10, MILLI

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


def short_figures(
    k: tuple[float, ...], temperature_c: float, totals: tuple[float, ...]
) -> tuple[float, float, float]:
    """Give pH, saturation index and HOCl [mol/L] of totals."""
    c = water_constants(k, temperature_c)
    status, state = solve_totals(c, totals)
    assert status == SOLVED
    hocl = free_forms(c, totals, state)[0]
    return (-state[S_LN_PROTON] / LN_10, saturation_of_state(c, state) / LN_10, hocl)


def after_dose(totals: tuple[float, ...], dose: Dose) -> tuple[tuple[float, ...], ...]:
    """Give totals as they are, after the dose, and after the use of chlorine."""
    added = add_product(totals, dose.product, dose.mol_l, dose.caustic)
    return (totals, added, use_up_chlorine(added, dose.used_mol_l))


def largest_dose_differences(
    k: Sequence[float], count: int, seed: int, batch: int
) -> dict[str, float]:
    """Dose many waters both ways, every product in turn; give the largest differences.

    PHREEQC's water grows and shrinks with what reactions make and take of it; ours stays one
    kilogram a litre. Our totals are therefore told per kilogram of PHREEQC's water, so that the
    solvers and the products are compared; `*_one_kg` is the difference where they are not.

    Parameters
    ----------
    k : tuple of float
        One cyanurate set; PHREEQC gets the same.
    count, seed, batch : int
        How many waters, which, and how many PHREEQC takes at a time.
    """
    flat = tuple(k)
    engine = Phreeqc(flat)
    figures = ("ph", "index", "ph_used", "index_used", "hocl_relative", "ph_one_kg", "index_one_kg")
    worst = dict.fromkeys(figures, 0.0)
    waters = drawn_waters(flat, count, seed)
    doses = drawn_doses((totals for _reading, totals in waters), seed)
    for start in range(0, count, batch):
        part = list(zip(waters, doses, strict=True))[start : start + batch]
        rows = engine.solve(
            (
                dosed_texts(number, water_text(number, reading[1], totals, None), dose)
                for number, ((reading, totals), dose) in enumerate(part, start=1)
            ),
            rows=3,
        )
        for place, ((reading, totals), dose) in enumerate(part):
            theirs = rows[3 * place + 1 : 3 * place + 3]
            ours = after_dose(totals, dose)[1:]
            for suffix, row, mol in zip(("", "_used"), theirs, ours, strict=True):
                found = dose_differences(flat, reading[1], mol, row, suffix)
                worst |= {name: max(worst[name], value) for name, value in found.items()}
    return worst


def dose_differences(
    k: tuple[float, ...],
    temperature_c: float,
    totals: tuple[float, ...],
    theirs: tuple[float, ...],
    suffix: str,
) -> dict[str, float]:
    """Give how far one dosed water is from PHREEQC's."""
    per_kg = tuple(mol / theirs[5] for mol in totals)
    ph, index, hocl = short_figures(k, temperature_c, per_kg)
    plain_ph, plain_index, _hocl = short_figures(k, temperature_c, totals)
    found = {
        f"ph{suffix}": abs(ph - theirs[0]),
        f"index{suffix}": abs(index - theirs[2]),
        "ph_one_kg": abs(plain_ph - theirs[0]),
        "index_one_kg": abs(plain_index - theirs[2]),
    }
    if totals[T_HYPOCHLORITE] > 0:
        found["hocl_relative"] = abs(hocl / theirs[3] - 1)
    assert all(map(math.isfinite, found.values()))
    return found
