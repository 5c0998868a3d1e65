"""A water solved: from pH and alkalinity, from conserved totals, or open to the air.

Only two unknowns are stepped by Newton's method, ln a(H+) and ln a(HOCl); their matrix is made
of variances of charge and chlorine number within the families of species, so that it is exact
and of one sign. Ionic strength, water's activity and the free metals follow once a step.
"""

import math

from lanewater.kernel.water.activity import molality_per_activity
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.families import (
    acid_sums,
    carbonate_weights,
    first_chlorine,
    free_metals,
)
from lanewater.kernel.water.slots import (
    C_ACTIVITY,
    C_CARBONATE,
    FROM_CARBON,
    FROM_PH,
    INCONSISTENT,
    NOT_CONVERGED,
    R_ALKALINITY,
    R_BORON,
    R_CALCIUM,
    R_CYANURIC_ACID,
    R_FREE_CHLORINE,
    R_MAGNESIUM,
    R_PH,
    R_SALT,
    R_SULFATE,
    R_TEMPERATURE,
    S_CALCIUM,
    S_CARBONATE,
    S_IONIC,
    S_LN_CHLORINE,
    S_LN_PROTON,
    S_MAGNESIUM,
    S_MOVED,
    S_SODIUM,
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
    BORON,
    CACO3,
    CHLORINE,
    CYANURIC_ACID,
    LN_10,
    MAGNESIUM,
    MILLI,
    SODIUM_CHLORIDE,
    START_PH,
    SULFATE,
    TOLERANCE,
)

MOST_STEPS = 200
PATIENCE = 30
LONGEST_STEP = 4.0
WARM_UP = 1
# No step goes beyond these, far outside any water, so that a wild one stays computable.
MOST_IONIC = 20


def first_state(
    c: tuple[tuple[float, ...], ...], totals: tuple[float, ...], ph: float
) -> tuple[float, ...]:
    """Give a start: metals and sulfate paired, no carbonate yet.

    Parameters
    ----------
    c, totals : tuple
        Constants at the water's temperature, and conserved totals. [mol/L]
    ph : float
        Where to start; the reading's, where there is one.

    Returns
    -------
    tuple of float
        ln a(H+), ln a(HOCl), ionic strength, activities of water, Ca, Mg, Na, SO4 and CO3, and
        how far the last step went.
    """
    ln_proton = -ph * LN_10
    proton = math.exp(ln_proton)
    # The proton keeps the ionic strength of a water that holds nothing above nothing.
    others = abs(totals[T_ALKALINITY]) + totals[T_CHLORIDE] + proton
    ionic = (others + totals[T_SODIUM]) / 2 + 2 * (
        totals[T_CALCIUM] + totals[T_MAGNESIUM] + totals[T_SULFATE]
    )
    sulfate = totals[T_SULFATE]
    metals = (0.0, 0.0, 0.0, sulfate, 0.0, 0.0)
    per = molality_per_activity(c, ionic)
    for _ in range(WARM_UP):
        metals = free_metals(c, per, totals, proton, 0.0, metals[3])
        ionic = (others + metals[4]) / 2
        per = molality_per_activity(c, ionic)
    ln_chlorine = 0.0
    if totals[T_HYPOCHLORITE] > 0.0:
        ln_chlorine = math.log(
            first_chlorine(c, per, proton, totals[T_CYANURATE], totals[T_HYPOCHLORITE])
        )
    water = 1 - c[C_ACTIVITY][4] * (others + totals[T_CYANURATE] + totals[T_BORATE] + metals[5])
    return (
        ln_proton,
        ln_chlorine,
        ionic,
        water,
        metals[0],
        metals[1],
        metals[2],
        metals[3],
        0.0,
        1.0,
    )


def next_state(
    c: tuple[tuple[float, ...], ...],
    totals: tuple[float, ...],
    mode: int,
    air: float,
    state: tuple[float, ...],
) -> tuple[float, ...]:
    """Take one step; the last number of the new state is how far it went."""
    per = molality_per_activity(c, state[S_IONIC])
    proton = math.exp(state[S_LN_PROTON])
    alkalinity, spread, cross, chlorine, slope, charges, molecules = acid_sums(
        c, per, totals, state, proton
    )
    carbons, ones, squares, strengths = carbonate_weights(c, per, state, proton)
    fresh = 0.0
    step = 0.0
    turn = 0.0
    if mode == FROM_PH:
        if totals[T_ALKALINITY] > alkalinity:
            fresh = (totals[T_ALKALINITY] - alkalinity) / ones
        if chlorine > 0.0:
            turn = math.log(totals[T_HYPOCHLORITE] / chlorine) * chlorine / slope
    else:
        if mode == FROM_CARBON:
            fresh = totals[T_CARBON] / carbons
            spread = spread + fresh * (squares - ones * ones / carbons)
        else:
            fresh = air * state[S_WATER] / (c[C_CARBONATE][1] * proton * proton)
            spread = spread + fresh * squares
        step, turn = newton_step(
            alkalinity + fresh * ones - totals[T_ALKALINITY],
            chlorine - totals[T_HYPOCHLORITE],
            spread,
            cross,
            slope,
        )
    ca, mg, na, so4, metal_charges, metal_molecules = free_metals(
        c, per, totals, proton, fresh, state[S_SULFATE]
    )
    ionic = min((charges + fresh * strengths + totals[T_CHLORIDE] + metal_charges) / 2, MOST_IONIC)
    moved = abs(step) + abs(turn) + abs(ionic / state[S_IONIC] - 1)
    if fresh > 0.0:
        moved = moved + abs(state[S_CARBONATE] / fresh - 1)
    water = 1 - c[C_ACTIVITY][4] * (
        molecules + fresh * carbons + totals[T_CHLORIDE] + metal_molecules
    )
    return (
        state[S_LN_PROTON] + step,
        state[S_LN_CHLORINE] + turn,
        ionic,
        water,
        ca,
        mg,
        na,
        so4,
        fresh,
        moved,
    )


def newton_step(
    excess: float, surplus: float, spread: float, cross: float, slope: float
) -> tuple[float, float]:
    """Give the steps of ln a(H+) and ln a(HOCl) that bring both balances to zero.

    Parameters
    ----------
    excess, surplus : float
        Alkalinity and chlorine above their totals. [mol/L]
    spread, cross, slope : float
        Minus d(alkalinity)/d ln a(H+), d(alkalinity)/d ln a(HOCl), d(chlorine)/d ln a(HOCl).
    """
    if slope > 0.0:
        determinant = spread * slope - cross * cross
        step = (excess * slope - surplus * cross) / determinant
        turn = (excess * cross - surplus * spread) / determinant
        if abs(step) > LONGEST_STEP or abs(turn) > LONGEST_STEP:
            return (held(step), held(turn))
        return (step, turn)
    return (held(excess / spread), 0.0)


def held(step: float) -> float:
    """Give a step of at most LONGEST_STEP either way."""
    if step > LONGEST_STEP:
        return LONGEST_STEP
    if step < -LONGEST_STEP:
        return -LONGEST_STEP
    return step


def solve_water(
    c: tuple[tuple[float, ...], ...],
    totals: tuple[float, ...],
    mode: int,
    air: float,
    state: tuple[float, ...],
) -> tuple[int, tuple[float, ...]]:
    """Step until nothing moves any more.

    Parameters
    ----------
    c : tuple
        Constants at the water's temperature.
    totals : tuple of float
        Conserved totals; carbon is not read where it is not what the water is solved from.
    mode : int
        FROM_PH, FROM_CARBON or FROM_AIR.
    air : float
        Activity of CO2 that the air holds the water to; read by FROM_AIR alone.
    state : tuple of float
        Where to start: `first_state`, or the end of a solve close by.

    Returns
    -------
    int
        SOLVED; INCONSISTENT where the other parts exceed the alkalinity; or NOT_CONVERGED.
    tuple of float
        The last state.
    """
    for turn in range(MOST_STEPS):
        last = state
        state = next_state(c, totals, mode, air, last)
        if state[S_MOVED] < TOLERANCE:
            if mode == FROM_PH and state[S_CARBONATE] == 0.0:
                return (INCONSISTENT, state)
            return (SOLVED, state)
        if turn > PATIENCE:
            state = halfway(last, state)
    return (NOT_CONVERGED, state)


def halfway(last: tuple[float, ...], state: tuple[float, ...]) -> tuple[float, ...]:
    """Give a state with half its step, for the few waters that a whole one throws to and fro."""
    return (
        (last[S_LN_PROTON] + state[S_LN_PROTON]) / 2,
        (last[S_LN_CHLORINE] + state[S_LN_CHLORINE]) / 2,
        state[S_IONIC],
        state[S_WATER],
        state[S_CALCIUM],
        state[S_MAGNESIUM],
        state[S_SODIUM],
        state[S_SULFATE],
        state[S_CARBONATE],
        state[S_MOVED],
    )


def totals_of_reading(
    k: tuple[float, ...], reading: tuple[float, ...]
) -> tuple[int, tuple[float, ...]]:
    """Give the conserved totals of a water that was read.

    Calcium and magnesium come as chlorides beside the salt; sodium closes the charge; the
    dissolved carbon is solved for from pH and alkalinity.

    Parameters
    ----------
    k : tuple of float
        The flat tuple of one cyanurate set.
    reading : tuple of float
        pH, temperature [deg C], total alkalinity and calcium hardness [mg/L as CaCO3], cyanuric
        acid, boron, salt as NaCl, sulfate, free chlorine as Cl2 and magnesium [mg/L]; what is
        not known is 0.

    Returns
    -------
    int
        SOLVED; INCONSISTENT where the alkalinity of cyanurate, borate, hypochlorite and water
        alone exceeds the total; or NOT_CONVERGED.
    tuple of float
        Totals; those of a water that is not solved hold no carbon.
    """
    c = water_constants(k, reading[R_TEMPERATURE])
    totals = given_totals(reading)
    status, state = solve_water(c, totals, FROM_PH, 0.0, first_state(c, totals, reading[R_PH]))
    if status != SOLVED:
        return (status, totals)
    return (status, with_carbon(totals, carbon_of_state(c, state)))


def given_totals(reading: tuple[float, ...]) -> tuple[float, ...]:
    """Turn a reading into totals that still lack the dissolved carbon."""
    alkalinity = reading[R_ALKALINITY] * 2 / (CACO3 * MILLI)
    calcium = reading[R_CALCIUM] / (CACO3 * MILLI)
    magnesium = reading[R_MAGNESIUM] / (MAGNESIUM * MILLI)
    salt = reading[R_SALT] / (SODIUM_CHLORIDE * MILLI)
    sulfate = reading[R_SULFATE] / (SULFATE * MILLI)
    return (
        alkalinity,
        0.0,
        calcium,
        magnesium,
        reading[R_CYANURIC_ACID] / (CYANURIC_ACID * MILLI),
        reading[R_BORON] / (BORON * MILLI),
        reading[R_FREE_CHLORINE] / (CHLORINE * MILLI),
        salt + 2 * sulfate + alkalinity,
        salt + 2 * (calcium + magnesium),
        sulfate,
    )


def carbon_of_state(c: tuple[tuple[float, ...], ...], state: tuple[float, ...]) -> float:
    """Give the dissolved carbon of a solved state, in mol/L.

    Parameters
    ----------
    c, state : tuple
        Constants at the water's temperature, and the solved water.
    """
    per = molality_per_activity(c, state[S_IONIC])
    return state[S_CARBONATE] * carbonate_weights(c, per, state, math.exp(state[S_LN_PROTON]))[0]


def with_carbon(totals: tuple[float, ...], carbon: float) -> tuple[float, ...]:
    """Give the same totals with another amount of dissolved carbon."""
    return (
        totals[T_ALKALINITY],
        carbon,
        totals[T_CALCIUM],
        totals[T_MAGNESIUM],
        totals[T_CYANURATE],
        totals[T_BORATE],
        totals[T_HYPOCHLORITE],
        totals[T_SODIUM],
        totals[T_CHLORIDE],
        totals[T_SULFATE],
    )


def ph_of_totals(
    k: tuple[float, ...], temperature_c: float, totals: tuple[float, ...]
) -> tuple[int, float]:
    """Give the pH of conserved totals at a temperature.

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
        SOLVED, or NOT_CONVERGED: the pH is then 0.
    float
        pH on the activity scale.
    """
    c = water_constants(k, temperature_c)
    status, state = solve_totals(c, totals)
    if status != SOLVED:
        return (status, 0.0)
    return (status, -state[S_LN_PROTON] / LN_10)


def solve_totals(
    c: tuple[tuple[float, ...], ...], totals: tuple[float, ...]
) -> tuple[int, tuple[float, ...]]:
    """Solve totals from a start that knows nothing, pH 7.5; no water holds less than no carbon.

    Parameters
    ----------
    c, totals : tuple
        Constants at the water's temperature, and conserved totals. [mol/L]

    Returns
    -------
    int
        SOLVED, INCONSISTENT where the carbon is below nothing, or NOT_CONVERGED.
    tuple of float
        The last state.
    """
    start = first_state(c, totals, START_PH)
    if totals[T_CARBON] < 0.0:
        return (INCONSISTENT, start)
    return solve_water(c, totals, FROM_CARBON, 0.0, start)
