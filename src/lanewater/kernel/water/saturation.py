"""The figures of a water: all that `calc water` tells, saturation first, as a row of numbers."""

import math

from lanewater.kernel.water.activity import molality_per_activity
from lanewater.kernel.water.calcite import (
    ceiling_ph,
    leverage_of_state,
    precipitation,
    saturation_of_state,
)
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import (
    carbon_of_state,
    first_state,
    given_totals,
    solve_totals,
    solve_water,
    with_carbon,
)
from lanewater.kernel.water.families import carbonate_weights, cyanurate_means
from lanewater.kernel.water.slots import (
    C_ACIDS,
    C_CARBONATE,
    C_SOLID,
    FROM_PH,
    R_PH,
    R_TEMPERATURE,
    S_CARBONATE,
    S_IONIC,
    S_LN_CHLORINE,
    S_LN_PROTON,
    S_SULFATE,
    S_WATER,
    SOLVED,
    T_ALKALINITY,
    T_BORATE,
    T_CALCIUM,
    T_CARBON,
    T_CHLORIDE,
    T_CYANURATE,
    T_HYPOCHLORITE,
    T_MAGNESIUM,
    T_SODIUM,
    T_SULFATE,
)
from lanewater.kernel.water.units import (
    BICARBONATE,
    BORIC_ACID,
    BORON,
    CACO3,
    CALCIUM,
    CHLORIDE,
    CHLORINE,
    CYANURIC_ACID,
    LN_10,
    MAGNESIUM,
    MILLI,
    NO_LOGARITHM,
    SODIUM,
    SULFATE,
)

# Chlorine as Cl2, alkalinities, calcium and CCPP as CaCO3, boron as B, sulfate as SO4, all mg/L.
F_PH = 0
F_HOCL = 1
F_OCL = 2
F_CARBONATE_ALKALINITY = 3
F_CARBON = 4  # mmol/L
F_SATURATION_INDEX = 5  # NO_LOGARITHM where there is no calcium
F_CCPP = 6
F_IONIC_STRENGTH = 7  # mol/L
F_BUFFER = 8  # meq/L a unit of pH
F_CEILING_PH = 9
F_TOTAL_ALKALINITY = 10
F_FREE_CHLORINE = 11
F_CALCIUM = 12
F_CYANURIC_ACID = 13
F_BORON = 14
F_SULFATE = 15
F_CYANURATE_ALKALINITY = 16
F_BORATE_ALKALINITY = 17
F_HYPOCHLORITE_ALKALINITY = 18
F_WATER_ALKALINITY = 19
F_CARBON_DIOXIDE = 20  # mmol/L
F_DISSOLVED = 21
F_CARBON_DIOXIDE_PRESSURE = 22  # atm


def no_figures() -> tuple[float, ...]:
    """Give the row that stands where there is no water to tell of."""
    z = 0.0
    return (z, z, z, z, z, z, z, z, z, z, z, z, z, z, z, z, z, z, z, z, z, z, z)


def figures_of_reading(
    k: tuple[float, ...], reading: tuple[float, ...]
) -> tuple[int, tuple[float, ...]]:
    """Give the figures of a water that was read.

    Parameters
    ----------
    k : tuple of float
        The flat tuple of one cyanurate set.
    reading : tuple of float
        As `totals_of_reading` takes it.

    Returns
    -------
    int
        SOLVED, INCONSISTENT (the readings cannot all be right) or NOT_CONVERGED.
    tuple of float
        By the F indices; all 0 where the water is not solved.
    """
    c = water_constants(k, reading[R_TEMPERATURE])
    totals = given_totals(reading)
    status, state = solve_water(c, totals, FROM_PH, 0.0, first_state(c, totals, reading[R_PH]))
    if status != SOLVED:
        return (status, no_figures())
    return figures_of_state(c, with_carbon(totals, carbon_of_state(c, state)), state)


def figures_of_totals(
    k: tuple[float, ...], temperature_c: float, totals: tuple[float, ...]
) -> tuple[int, tuple[float, ...]]:
    """Give the figures of conserved totals at a temperature, as `figures_of_reading` does."""
    c = water_constants(k, temperature_c)
    status, state = solve_totals(c, totals)
    if status != SOLVED:
        return (status, no_figures())
    return figures_of_state(c, totals, state)


def hocl_of_reading(k: tuple[float, ...], reading: tuple[float, ...]) -> tuple[int, float]:
    """Give the unbound HOCl of a water that was read, and nothing else.

    Parameters
    ----------
    k : tuple of float
        The flat tuple of one cyanurate set.
    reading : tuple of float
        As `totals_of_reading` takes it.

    Returns
    -------
    int
        As `figures_of_reading`.
    float
        HOCl; 0 where the water is not solved. [mg/L as Cl2]
    """
    c = water_constants(k, reading[R_TEMPERATURE])
    totals = given_totals(reading)
    status, state = solve_water(c, totals, FROM_PH, 0.0, first_state(c, totals, reading[R_PH]))
    if status != SOLVED:
        return (status, 0.0)
    return (status, free_forms(c, totals, state)[0] * CHLORINE * MILLI)


def hocl_of_totals(
    k: tuple[float, ...], temperature_c: float, totals: tuple[float, ...]
) -> tuple[int, float]:
    """Give the unbound HOCl of conserved totals, and nothing else.

    Parameters
    ----------
    k : tuple of float
        The flat tuple of one cyanurate set.
    temperature_c : float
        0 to 50. [deg C]
    totals : tuple of float
        Conserved totals. [mol/L]

    Returns
    -------
    int
        As `figures_of_totals`.
    float
        HOCl; 0 where the water is not solved. [mg/L as Cl2]
    """
    c = water_constants(k, temperature_c)
    status, state = solve_totals(c, totals)
    if status != SOLVED:
        return (status, 0.0)
    return (status, free_forms(c, totals, state)[0] * CHLORINE * MILLI)


def figures_of_state(
    c: tuple[tuple[float, ...], ...], totals: tuple[float, ...], state: tuple[float, ...]
) -> tuple[int, tuple[float, ...]]:
    """Give the figures of a solved state; NOT_CONVERGED where a search of them does not end."""
    status, solid, _end = precipitation(c, totals, state)
    if status != SOLVED:
        return (status, no_figures())
    status, ceiling = ceiling_ph(c, totals, c[C_SOLID][2], state)
    if status != SOLVED:
        return (status, no_figures())
    saturation = saturation_of_state(c, state)
    if saturation > NO_LOGARITHM:
        saturation = saturation / LN_10
    spread, _mean = leverage_of_state(c, totals, state)
    hocl, ocl = free_forms(c, totals, state)
    cyanurate, borate, water = other_alkalinity(c, totals, state)
    carbonate, dioxide, pressure = carbonate_alkalinity(c, state)
    as_caco3 = CACO3 * MILLI / 2
    return (
        SOLVED,
        (
            -state[S_LN_PROTON] / LN_10,
            hocl * CHLORINE * MILLI,
            ocl * CHLORINE * MILLI,
            carbonate * as_caco3,
            totals[T_CARBON] * MILLI,
            saturation,
            solid * CACO3 * MILLI,
            state[S_IONIC],
            spread * LN_10 * MILLI,
            ceiling,
            totals[T_ALKALINITY] * as_caco3,
            totals[T_HYPOCHLORITE] * CHLORINE * MILLI,
            totals[T_CALCIUM] * CACO3 * MILLI,
            totals[T_CYANURATE] * CYANURIC_ACID * MILLI,
            totals[T_BORATE] * BORON * MILLI,
            totals[T_SULFATE] * SULFATE * MILLI,
            cyanurate * as_caco3,
            borate * as_caco3,
            ocl * as_caco3,
            water * as_caco3,
            dioxide * MILLI,
            dissolved_solids(totals, carbonate) * MILLI,
            pressure,
        ),
    )


def free_forms(
    c: tuple[tuple[float, ...], ...], totals: tuple[float, ...], state: tuple[float, ...]
) -> tuple[float, float]:
    """Give HOCl and OCl-, unbound, in mol/L.

    Parameters
    ----------
    c, totals, state : tuple
        Constants, conserved totals, and the water solved from them.
    """
    if totals[T_HYPOCHLORITE] <= 0.0:
        return (0.0, 0.0)
    neutral, single, _double, _triple = molality_per_activity(c, state[S_IONIC])
    activity = math.exp(state[S_LN_CHLORINE])
    return (
        activity * neutral,
        activity * c[C_ACIDS][1] * single / math.exp(state[S_LN_PROTON]),
    )


def other_alkalinity(
    c: tuple[tuple[float, ...], ...], totals: tuple[float, ...], state: tuple[float, ...]
) -> tuple[float, float, float]:
    """Give the alkalinity of cyanurates, of borate, and of water with bisulfate, in eq/L."""
    per = molality_per_activity(c, state[S_IONIC])
    self_ionised, _hypochlorous, boric, bisulfate = c[C_ACIDS]
    proton = math.exp(state[S_LN_PROTON])
    base = per[1] / proton
    acid = proton * per[1]
    chlorine = 0.0
    if totals[T_HYPOCHLORITE] > 0.0:
        chlorine = math.exp(state[S_LN_CHLORINE]) / state[S_WATER]
    means = cyanurate_means(c, per, proton, chlorine)
    return (
        totals[T_CYANURATE] * means[0],
        totals[T_BORATE] * boric * base / (boric * base + per[0]),
        self_ionised * state[S_WATER] * base - acid - bisulfate * acid * state[S_SULFATE],
    )


def carbonate_alkalinity(
    c: tuple[tuple[float, ...], ...], state: tuple[float, ...]
) -> tuple[float, float, float]:
    """Give the carbonates' alkalinity [eq/L], dissolved CO2 [mol/L] and its pressure [atm]."""
    per = molality_per_activity(c, state[S_IONIC])
    proton = math.exp(state[S_LN_PROTON])
    weights = carbonate_weights(c, per, state, proton)
    dioxide = state[S_CARBONATE] * c[C_CARBONATE][1] * proton * proton / state[S_WATER]
    return (state[S_CARBONATE] * weights[1], dioxide * per[0], dioxide / c[C_SOLID][1])


def dissolved_solids(totals: tuple[float, ...], carbonate: float) -> float:
    """Estimate the dissolved solids in g/L, carbonate as bicarbonate, borate as boric acid."""
    return (
        totals[T_SODIUM] * SODIUM
        + totals[T_CHLORIDE] * CHLORIDE
        + totals[T_CALCIUM] * CALCIUM
        + totals[T_MAGNESIUM] * MAGNESIUM
        + totals[T_SULFATE] * SULFATE
        + totals[T_CYANURATE] * CYANURIC_ACID
        + totals[T_BORATE] * BORIC_ACID
        + carbonate * BICARBONATE
    )
