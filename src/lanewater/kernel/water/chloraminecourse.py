"""The course of chlorine, chloramines and urea in one water, minute by minute."""

from lanewater.kernel.water.chloramine import rates_at
from lanewater.kernel.water.chloramineslots import (
    HELD,
    I_AMMONIA,
    I_DI,
    I_MONO,
    I_TO_AIR,
    I_TRI,
    I_UREA,
    NOT_BALANCED,
    Q_TOLERANCES,
    Y_AMMONIA,
    Y_CHLORINE_GONE,
    Y_DI,
    Y_FREE,
    Y_MIDDLE,
    Y_MONO,
    Y_NITROGEN_GONE,
    Y_TO_AIR,
    Y_TRI,
    Y_UREA,
)
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import first_state, given_totals, solve_water
from lanewater.kernel.water.saturation import other_alkalinity
from lanewater.kernel.water.slots import (
    FROM_PH,
    R_ALKALINITY,
    R_FREE_CHLORINE,
    R_PH,
    R_TEMPERATURE,
    SOLVED,
)
from lanewater.kernel.water.stiffsteps import react
from lanewater.kernel.water.unbound import ring_of_water, unbound_chlorine
from lanewater.kernel.water.units import (
    CACO3,
    CHLORINE,
    MILLI,
    MINUTE_S,
    NITROGEN,
    SECONDS_AN_HOUR,
    UREA,
)


def rates_of_reading(
    k: tuple[float, ...], q: tuple[float, ...], reading: tuple[float, ...], to_air_per_h: float
) -> tuple[int, tuple[float, ...]]:
    """Give the rates of a water that was read; cyanurate and borate have their part of it first.

    Parameters
    ----------
    k, q : tuple of float
        The flat tuples of one cyanurate set and of `chloramine.toml`.
    reading : tuple of float
        As `totals_of_reading` takes it.
    to_air_per_h : float
        Share of the trichloramine that leaves for the air. [1/h]

    Returns
    -------
    int
        SOLVED, INCONSISTENT or NOT_CONVERGED, as the water's equilibrium says.
    tuple of float
        As `rates_at` gives it.
    """
    c = water_constants(k, reading[R_TEMPERATURE])
    totals = given_totals(reading)
    status, state = solve_water(c, totals, FROM_PH, 0.0, first_state(c, totals, reading[R_PH]))
    alkalinity = reading[R_ALKALINITY] * 2 / (CACO3 * MILLI)
    ring = (0.0, 0.0, 0.0, 0.0)
    if status == SOLVED:
        cyanurate, borate, _water = other_alkalinity(c, totals, state)
        alkalinity = alkalinity - cyanurate - borate
        ring = ring_of_water(c, totals, state)
    rates = rates_at(
        q, reading[R_TEMPERATURE], reading[R_PH], alkalinity, to_air_per_h / SECONDS_AN_HOUR, ring
    )
    return (status, rates)


def start_of(reading: tuple[float, ...], given: tuple[float, ...]) -> list[float]:
    """Give what is in the water at the start, in mol/L.

    Parameters
    ----------
    reading, given : tuple of float
        As `breakpoint_course` takes them. [mg/L]
    """
    return [
        reading[R_FREE_CHLORINE] / (CHLORINE * MILLI),
        given[I_AMMONIA] / (NITROGEN * MILLI),
        given[I_MONO] / (CHLORINE * MILLI),
        given[I_DI] / (2 * CHLORINE * MILLI),
        given[I_TRI] / (3 * CHLORINE * MILLI),
        0.0,
        given[I_UREA] / (UREA * MILLI),
        0.0,
        0.0,
        0.0,
    ]


def nitrogen_of(y: list[float]) -> float:
    """Count the nitrogen, what has gone included. [mol/L]"""
    return (
        y[Y_AMMONIA]
        + y[Y_MONO]
        + y[Y_DI]
        + y[Y_TRI]
        + y[Y_MIDDLE]
        + 2 * y[Y_UREA]
        + y[Y_NITROGEN_GONE]
        + y[Y_TO_AIR]
    )


def chlorine_of(y: list[float]) -> float:
    """Count the oxidising chlorine, what has gone included. [mol/L]"""
    return y[Y_FREE] + y[Y_MONO] + 2 * y[Y_DI] + 3 * (y[Y_TRI] + y[Y_TO_AIR]) + y[Y_CHLORINE_GONE]


def chlorine_for_nitrogen(reading: tuple[float, ...], given: tuple[float, ...]) -> float:
    """Give the oxidising chlorine for one nitrogen of ammonia and chloramines, at the start.

    Parameters
    ----------
    reading, given : tuple of float
        As `breakpoint_course` takes them. [mg/L]

    Returns
    -------
    float
        0 where there is no nitrogen. [mol/mol]
    """
    y = start_of(reading, given)
    nitrogen = y[Y_AMMONIA] + y[Y_MONO] + y[Y_DI] + y[Y_TRI]
    if nitrogen <= 0.0:
        return 0.0
    return chlorine_of(y) / nitrogen


def is_balanced(y: list[float], start: list[float], drift: float) -> bool:
    """Tell whether chlorine and nitrogen are all there, but for a share that is drift."""
    nitrogen = nitrogen_of(start)
    chlorine = chlorine_of(start)
    return (
        abs(nitrogen_of(y) - nitrogen) <= drift * nitrogen
        and abs(chlorine_of(y) - chlorine) <= drift * chlorine
    )


def row_of_course(minute: float, v: tuple[float, ...], y: list[float]) -> list[float]:
    """Give one row of a course in mg/L, by the places G_*; what is below zero by rounding is 0."""
    m: list[float] = []
    for place in range(HELD):
        m.append(max(y[place], 0.0))
    free = m[Y_FREE] * CHLORINE * MILLI
    mono = m[Y_MONO] * CHLORINE * MILLI
    di = 2 * m[Y_DI] * CHLORINE * MILLI
    tri = 3 * m[Y_TRI] * CHLORINE * MILLI
    unbound, _slope = unbound_chlorine(v, m[Y_FREE])
    return [
        minute,
        free,
        mono,
        di,
        tri,
        free + mono + di + tri,
        m[Y_AMMONIA] * NITROGEN * MILLI,
        m[Y_UREA] * UREA * MILLI,
        unbound * CHLORINE * MILLI,
        m[Y_NITROGEN_GONE] * NITROGEN * MILLI,
        m[Y_CHLORINE_GONE] * CHLORINE * MILLI,
        3 * m[Y_TO_AIR] * CHLORINE * MILLI,
    ]


def breakpoint_course(
    k: tuple[float, ...],
    q: tuple[float, ...],
    reading: tuple[float, ...],
    given: tuple[float, ...],
    minutes: list[float],
) -> tuple[int, list[float]]:
    """Follow chlorine and what it meets at constant pH and temperature.

    Parameters
    ----------
    k, q : tuple of float
        The flat tuples of one cyanurate set and of `chloramine.toml`.
    reading : tuple of float
        As `totals_of_reading` takes it; free chlorine as it is read, bound to cyanurate or not.
        Fitted for pH 6.5 to 9.5, 4 to 30 deg C.
    given : tuple of float
        Ammonia as N, mono-, di-, trichloramine as Cl2, urea [mg/L]; the share of trichloramine
        that leaves for the air [1/h].
    minutes : list of float
        When to look, in order. [min]

    Returns
    -------
    int
        SOLVED; INCONSISTENT or NOT_CONVERGED where the readings are no water; TOO_MANY_STEPS;
        NOT_BALANCED where chlorine or nitrogen is not all there at the end.
    list of float
        COURSE_WIDTH numbers for each minute, by the places G_*; none where it is not SOLVED.
    """
    course: list[float] = []
    status, v = rates_of_reading(k, q, reading, given[I_TO_AIR])
    start = start_of(reading, given)
    y = start
    clock = 0.0
    step = 0.0
    for minute in minutes:
        if status == SOLVED:
            status, y, step = react(q, v, y, (minute - clock) * MINUTE_S, step)
            clock = minute
            for number in row_of_course(minute, v, y):
                course.append(number)
    if status == SOLVED and not is_balanced(y, start, q[Q_TOLERANCES + 2]):
        status = NOT_BALANCED
    kept: list[float] = []
    if status == SOLVED:
        for number in course:
            kept.append(number)
    return (status, kept)
