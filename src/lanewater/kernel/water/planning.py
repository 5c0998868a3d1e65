"""A plan: which whole numbers of units, in which steps, bring a water into every band."""

import math

from lanewater.kernel.water.additions import mixed_totals
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import solve_totals
from lanewater.kernel.water.planningchoices import next_choice, only_rows, worth_a_search
from lanewater.kernel.water.planningfresh import fresh_waters, planned_totals
from lanewater.kernel.water.planningsearch import (
    miss_of_counts,
    most_units,
    search_from,
)
from lanewater.kernel.water.planningslots import (
    B_QUANTITY,
    BACKWARDS,
    BAND_WIDTH,
    BINDS_NOTHING,
    BINDS_STOCK,
    BY_GROUP,
    MOST_PLAN_STEPS,
    NOT_SLOTTED,
    PLAN_FOUND,
    PLAN_NO_PLAN,
    PLAN_NO_WATER,
    PLAN_NOT_NEEDED,
    R_STEP,
    R_UNIT,
    ROW_WIDTH,
)
from lanewater.kernel.water.planningsteps import evened, slotted
from lanewater.kernel.water.planningwater import (
    NO_WATER_MISS,
    band_value,
    cost_of,
    is_fresh_water,
    scale_of,
    signed_miss,
    solved_from,
    with_units,
)
from lanewater.kernel.water.slots import SOLVED


def plan_search(
    k: tuple[float, ...],
    temperature_c: float,
    totals: tuple[float, ...],
    fill: tuple[float, ...],
    rows: list[float],
    bands: list[float],
    starts: int,
) -> tuple[int, list[float], list[float], list[float]]:
    """Search the cheapest units of products that bring a water into its bands, step by step.

    Parameters
    ----------
    k : tuple of float
        The flat tuple of one cyanurate set.
    temperature_c : float
        0 to 50. [deg C]
    totals, fill : tuple of float
        The pool, and the water it is filled with (read where a row is fresh water). [mol/L]
    rows : list of float
        ROW_WIDTH numbers a product, by the R places of `planningslots`; at most one of them fresh
        water, whose steps come first.
    bands : list of float
        BAND_WIDTH numbers a band, by the B places; quantities in pH, log10 or mg/L.
    starts : int
        How many searches to begin, at least 1; PLAN_STARTS is enough as a rule.

    Returns
    -------
    int
        PLAN_FOUND, PLAN_NOT_NEEDED, PLAN_NO_PLAN, or PLAN_NO_WATER where there is no such water.
    list of float
        Units of each row; all 0 unless found.
    list of float
        Row and units of each step in order; empty unless found. Chlorine counts as not used up.
    list of float
        What binds (a BINDS number, with the band's or row's place), the signed miss of each band
        at the end or at the nearest that was found, the cost, and each band's quantity after each
        step.
    """
    c = water_constants(k, temperature_c)
    counts = no_units(rows)
    steps: list[float] = []
    status, state = solve_totals(c, totals)
    if status != SOLVED:
        return (PLAN_NO_WATER, counts, steps, figures_of_none(bands))
    waters = fresh_waters(c, totals, state, fill, rows, bands)
    most: list[float] = []
    for row in range(len(counts)):
        most.append(most_units(waters, rows, row))
    miss = miss_of_counts(c, waters, rows, bands, counts, state, NO_WATER_MISS)[0]
    if miss == 0.0:
        figures = figures_of_steps(c, totals, fill, rows, bands, steps)
        return (PLAN_NOT_NEEDED, counts, steps, figures)
    best = [miss, 0.0, BINDS_NOTHING * 1.0, NOT_SLOTTED * 1.0]
    trial = no_units(rows)
    if len(trial) > 0:
        search_from(c, waters, rows, bands, trial, most, state)
        judge_trial(c, state, waters, rows, bands, trial, counts, best)
    begun = 1
    chosen: list[int] = []
    while begun < starts and next_choice(chosen, len(counts)):
        if worth_a_search(c, waters, rows, bands, chosen, most, best):
            begun = begun + 1
            trial = no_units(rows)
            search_from(c, waters, rows, bands, trial, only_rows(most, chosen), state)
            judge_trial(c, state, waters, rows, bands, trial, counts, best)
    if best[3] == NOT_SLOTTED:
        figures = figures_of_nearest(c, waters, rows, bands, counts, most, state, best[2])
        return (PLAN_NO_PLAN, no_units(rows), steps, figures)
    steps = slotted(c, state, waters, rows, bands, counts, math.floor(best[3]))[1]
    steps = evened(c, state, waters, rows, bands, steps)
    return (PLAN_FOUND, counts, steps, figures_of_steps(c, totals, fill, rows, bands, steps))


def no_units(rows: list[float]) -> list[float]:
    """Give a count of 0 for every row."""
    counts: list[float] = []
    for _ in range(len(rows) // ROW_WIDTH):
        counts.append(0.0)
    return counts


def judge_trial(
    c: tuple[tuple[float, ...], ...],
    state: tuple[float, ...],
    waters: list[float],
    rows: list[float],
    bands: list[float],
    trial: list[float],
    counts: list[float],
    best: list[float],
) -> None:
    """Keep a trial that is the cheapest that can be put into steps, or as yet the nearest.

    Parameters
    ----------
    c, state, waters, rows, bands, trial
        The same as in `plan_search` and what it makes of them.
    counts, best : list of float
        The plan that stands; its miss, cost, what binds and which way it is put into steps.
        Changed.
    """
    miss = miss_of_counts(c, waters, rows, bands, trial, state, NO_WATER_MISS)[0]
    cost = cost_of(rows, trial)
    way = NOT_SLOTTED
    binds = BINDS_NOTHING
    if best[3] != NOT_SLOTTED and (miss > 0.0 or cost >= best[1]):
        return
    if miss == 0.0:
        fewest = 2 * MOST_PLAN_STEPS + 1
        for turn in range(BACKWARDS + 1):
            fault, steps = slotted(c, state, waters, rows, bands, trial, turn)
            if fault == BINDS_NOTHING and len(steps) < fewest:
                way = turn
                fewest = len(steps)
            elif turn == BY_GROUP:
                binds = fault
    if way != NOT_SLOTTED or (best[3] == NOT_SLOTTED and miss < best[0]):
        for row in range(len(trial)):
            counts[row] = trial[row]
        best[0] = miss
        best[1] = cost
        best[2] = binds * 1.0
        best[3] = way * 1.0


def figures_of_none(bands: list[float]) -> list[float]:
    """Give figures where there is no water to tell of."""
    figures = [BINDS_NOTHING * 1.0]
    for _ in range(len(bands) // BAND_WIDTH):
        figures.append(0.0)
    figures.append(0.0)
    return figures


def figures_of_steps(
    c: tuple[tuple[float, ...], ...],
    totals: tuple[float, ...],
    fill: tuple[float, ...],
    rows: list[float],
    bands: list[float],
    steps: list[float],
) -> list[float]:
    """Give the figures of a plan, every water solved anew from nothing."""
    figures = figures_of_none(bands)
    bands_in_all = len(bands) // BAND_WIDTH
    counts = no_units(rows)
    water = totals
    state = solve_totals(c, water)[1]
    for place in range(0, len(steps), 2):
        row = math.floor(steps[place])
        if is_fresh_water(rows, row):
            share = rows[row * ROW_WIDTH + R_UNIT] * steps[place + 1]
            water = mixed_totals(water, fill, share)
        else:
            water = with_units(water, rows, row, steps[place + 1])
        state = solve_totals(c, water)[1]
        counts[row] = counts[row] + steps[place + 1]
        for band in range(bands_in_all):
            figures.append(band_value(c, water, state, bands[band * BAND_WIDTH + B_QUANTITY]))
    for band in range(bands_in_all):
        value = band_value(c, water, state, bands[band * BAND_WIDTH + B_QUANTITY])
        figures[1 + band] = signed_miss(bands, band, value)
    figures[1 + bands_in_all] = cost_of(rows, counts)
    return figures


def figures_of_nearest(
    c: tuple[tuple[float, ...], ...],
    waters: list[float],
    rows: list[float],
    bands: list[float],
    counts: list[float],
    most: list[float],
    state: tuple[float, ...],
    held: float,
) -> list[float]:
    """Give the misses of the nearest that was found, and what binds: a stock, or a band.

    Parameters
    ----------
    c, waters, rows, bands, counts, most, state
        The same as in `plan_search` and what it makes of them.
    held : float
        What held the steps of a plan that meets every band; BINDS_NOTHING where none does.
    """
    figures = figures_of_none(bands)
    bands_in_all = len(bands) // BAND_WIDTH
    end = planned_totals(waters, rows, counts)
    end_state = solved_from(c, end, state)[1]
    worst = 0.0
    for band in range(bands_in_all):
        value = band_value(c, end, end_state, bands[band * BAND_WIDTH + B_QUANTITY])
        figures[1 + band] = signed_miss(bands, band, value)
        size = abs(figures[1 + band]) / scale_of(bands, band)
        if size > worst:
            worst = size
            figures[0] = band * 1.0
    figures[1 + bands_in_all] = cost_of(rows, counts)
    if held != BINDS_NOTHING:
        figures[0] = held
        return figures
    miss = miss_of_counts(c, waters, rows, bands, counts, state, NO_WATER_MISS)[0]
    for row in range(len(counts)):
        held_by_stock = most[row] <= counts[row] and rows[row * ROW_WIDTH + R_STEP] >= 1.0
        if held_by_stock and not is_fresh_water(rows, row):
            counts[row] = counts[row] + 1.0
            if miss_of_counts(c, waters, rows, bands, counts, state, NO_WATER_MISS)[0] < miss:
                figures[0] = (BINDS_STOCK + row) * 1.0
            counts[row] = counts[row] - 1.0
    return figures
