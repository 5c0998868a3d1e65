"""Many waters in one call, one after the other: loops over the kernel, compiled along with it.

They run in CPython as they stand, and many times faster out of `fleet.engine`.
"""

from typing import Any

from lanewater.kernel.water.calcite import saturation_of_state
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import (
    carbon_of_state,
    first_state,
    given_totals,
    solve_totals,
    solve_water,
)
from lanewater.kernel.water.saturation import free_forms
from lanewater.kernel.water.slots import FROM_PH, R_PH, R_TEMPERATURE, S_LN_PROTON
from lanewater.kernel.water.units import CHLORINE, LN_10, MILLI

# What `found` holds a water: how the solve ended, pH, carbon [mol/L], HOCl [mg/L as Cl2], and the
# saturation index.
EACH_STATUS = 0
EACH_PH = 1
EACH_CARBON = 2
EACH_HOCL = 3
EACH_SATURATION = 4
EACH_WIDTH = 5


def each_reading(k: Any, readings: Any, found: Any) -> None:
    """Solve waters that were read, each from pH and alkalinity.

    Parameters
    ----------
    k : sequence of float
        One cyanurate set.
    readings : rows of 10 floats
        As `totals_of_reading` takes one.
    found : rows of 5 floats
        Filled, by the EACH indices. Of a water that is not solved only the status counts.
    """
    for place in range(len(readings)):
        r = readings[place]
        reading = (r[0], r[1], r[2], r[3], r[4], r[5], r[6], r[7], r[8], r[9])
        c = water_constants(k, reading[R_TEMPERATURE])
        totals = given_totals(reading)
        status, state = solve_water(c, totals, FROM_PH, 0.0, first_state(c, totals, reading[R_PH]))
        row = found[place]
        row[EACH_STATUS] = status
        row[EACH_PH] = reading[R_PH]
        row[EACH_CARBON] = carbon_of_state(c, state)
        row[EACH_HOCL] = free_forms(c, totals, state)[0] * CHLORINE * MILLI
        row[EACH_SATURATION] = saturation_of_state(c, state) / LN_10


def each_total(k: Any, temperatures: Any, totals: Any, found: Any) -> None:
    """Solve waters of which the conserved totals are known.

    Parameters
    ----------
    k : sequence of float
        One cyanurate set.
    temperatures : sequence of float
        0 to 50. [deg C]
    totals : rows of 10 floats
        By the T indices. [mol/L]
    found : rows of 5 floats
        Filled, by the EACH indices. Of a water that is not solved only the status counts.
    """
    for place in range(len(totals)):
        t = totals[place]
        water = (t[0], t[1], t[2], t[3], t[4], t[5], t[6], t[7], t[8], t[9])
        c = water_constants(k, temperatures[place])
        status, state = solve_totals(c, water)
        row = found[place]
        row[EACH_STATUS] = status
        row[EACH_PH] = -state[S_LN_PROTON] / LN_10
        row[EACH_CARBON] = t[1]
        row[EACH_HOCL] = free_forms(c, water, state)[0] * CHLORINE * MILLI
        row[EACH_SATURATION] = saturation_of_state(c, state) / LN_10
