"""Lanes: many waters step side by side in vector registers, from readings or from totals.

An answer is that of the kernel within 1e-6 in pH, 1e-4 relative in HOCl and carbon and 1e-4 in the
saturation index, where the kernel solves it; `tests/fleet/test_lanes.py` holds it to that. A water
that does not settle in its lane is solved by the kernel itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Any

from lanewater.fleet.batches import EACH_WIDTH, each_reading, each_total
from lanewater.fleet.keeping import kept_module
from lanewater.fleet.lanesource import COLDEST, LANES, TERMS, WARMEST, lane_text
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.slots import NOT_CONVERGED, R_TEMPERATURE
from lanewater.terms.errors import InputError

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Floats = npt.NDArray[np.float64]

WIDTH = 10
LUKEWARM = 25.0


@dataclass(frozen=True, slots=True)
class Lanes:
    """Lanes for one set of constants.

    Attributes
    ----------
    module : ModuleType
        The compiled blocks.
    k : tuple of float
        The flat tuple of one cyanurate set.
    table : array
        The constants as polynomials of temperature.
    threads : int
        How many cores work at once.
    """

    module: ModuleType
    k: tuple[float, ...]
    table: Floats
    threads: int

    def from_readings(self, readings: Floats) -> Floats:
        """Solve waters that were read, each from pH and alkalinity.

        Parameters
        ----------
        readings : array, 10 rows
            One column a water, rows by the R indices, in the units of `totals_of_reading`.

        Returns
        -------
        array, 5 rows
            By the EACH indices of `batches`: status, pH, carbon [mol/L], HOCl [mg/L as Cl2],
            saturation index. Of a water that is not solved only the status counts.

        Raises
        ------
        InputError
            Where the readings are not 10 rows.
        """
        given = rows_of(readings)
        temperatures = given[R_TEMPERATURE].copy()
        found = self.in_blocks("readings_in_lanes", given, temperatures)
        for place in unsettled(found, temperatures):
            row = [[0.0] * EACH_WIDTH]
            each_reading(self.k, [given[:, place].tolist()], row)
            found[:, place] = row[0]
        return found

    def from_totals(self, temperatures: Floats, totals: Floats) -> Floats:
        """Solve waters of which the conserved totals are known.

        Parameters
        ----------
        temperatures : array
            0 to 50. [deg C]
        totals : array, 10 rows
            One column a water, rows by the T indices. [mol/L]

        Returns
        -------
        array, 5 rows
            As `from_readings`; carbon is what was given.

        Raises
        ------
        InputError
            Where the totals are not 10 rows, a temperature each.
        """
        given = rows_of(totals)
        if temperatures.shape != given.shape[1:]:
            raise InputError("temperatures", "there must be one for each water")
        found = self.in_blocks("totals_in_lanes", given, temperatures)
        for place in unsettled(found, temperatures):
            row = [[0.0] * EACH_WIDTH]
            each_total(self.k, [float(temperatures[place])], [given[:, place].tolist()], row)
            found[:, place] = row[0]
        return found

    def in_blocks(self, name: str, given: Floats, temperatures: Floats) -> Floats:
        """Run whole blocks where they stand, and what is left over in a block of its own."""
        import numba  # noqa: PLC0415 - only where something is compiled
        import numpy as np  # noqa: PLC0415

        run = getattr(self.module, name)
        count = given.shape[1]
        blocks = count // LANES
        found = np.empty((EACH_WIDTH, count))
        before = numba.get_num_threads()
        numba.set_num_threads(self.threads)
        try:
            run(self.table, given, np.ascontiguousarray(temperatures), found, blocks)
            left = np.arange(blocks * LANES, count)
            if left.size:
                filled = np.resize(left, LANES)
                rest = np.empty((EACH_WIDTH, LANES))
                run(self.table, given[:, filled].copy(), temperatures[filled], rest, 1)
                found[:, left] = rest[:, : left.size]
        finally:
            numba.set_num_threads(before)
        return found


def load_lanes(k: tuple[float, ...], cache_folder: Path | None = None, threads: int = 1) -> Lanes:
    """Load lanes for one set of constants; they are compiled when first asked, and kept.

    Parameters
    ----------
    k : tuple of float
        The flat tuple of one cyanurate set.
    cache_folder : Path, optional
        Where compiled code is kept; a folder of the user's own cache where it is left out.
    threads : int, optional
        How many cores work at once.

    Raises
    ------
    MissingError
        Where Numba is not installed, or nothing can be kept.
    """
    shape = tuple(len(group) for group in water_constants(k, LUKEWARM))
    return Lanes(kept_module(lane_text(shape), cache_folder), k, fitted(k), threads)


@cache
def fitted(k: tuple[float, ...]) -> Any:
    """Fit each of the kernel's constants by a polynomial of temperature, at Chebyshev's points.

    Over 0 to 50 deg C it is within 1e-7 of the constant, relative.
    """
    import numpy as np  # noqa: PLC0415 - only where something is compiled
    from numpy.polynomial import chebyshev  # noqa: PLC0415

    points = chebyshev.chebpts1(TERMS)
    middle, half = (COLDEST + WARMEST) / 2, (WARMEST - COLDEST) / 2
    rows = [water_constants(k, middle + half * float(point)) for point in points]
    values = np.array([[number for group in row for number in group] for row in rows])
    scale = values[0]
    fit = chebyshev.chebfit(points, values / scale, TERMS - 1)
    table = [
        np.pad(power, (0, TERMS - len(power)))
        for power in (chebyshev.cheb2poly(column) for column in fit.T)
    ]
    return (np.array(table) * scale[:, None]).ravel()


def rows_of(given: Floats) -> Floats:
    """Give ten rows that lie in memory one after the other."""
    import numpy as np  # noqa: PLC0415 - only where something is compiled

    if given.ndim != 2 or given.shape[0] != WIDTH:
        raise InputError("waters", f"must be {WIDTH} rows, a column a water")
    return np.ascontiguousarray(given, dtype=np.float64)


def unsettled(found: Floats, temperatures: Floats) -> list[int]:
    """Name the waters that the kernel has to solve."""
    import numpy as np  # noqa: PLC0415 - only where something is compiled

    inside = (temperatures >= COLDEST) & (temperatures <= WARMEST)
    places: list[int] = np.flatnonzero((found[0] == NOT_CONVERGED) | ~inside).tolist()
    return places
