"""Contact time: what a germ needs by the published tables, and what readings add up to.

Concentration times time, in mg min/L. Every table is for water without cyanuric acid. The tables
arrive as the flat tuple `k` (`chemistry/contact_time.toml`).
"""

import math

from lanewater.kernel.water.contacttimeslots import (
    CT_CHLORINE_ROWS,
    CT_GIARDIA_CHLORINE,
    CT_GIARDIA_COLD,
    CT_GIARDIA_PH,
    CT_GIARDIA_SPLIT,
    CT_GIARDIA_TABLE,
    CT_GIARDIA_TEMPERATURES,
    CT_GIARDIA_WARM,
    CT_PH_COLUMNS,
    CT_TEMPERATURES,
    CT_VIRUS_2_LOG,
    CT_VIRUS_3_LOG,
    CT_VIRUS_4_LOG,
    CT_VIRUS_4_LOG_PH_10,
    CT_VIRUS_PH,
    CT_VIRUS_TEMPERATURES,
)

# What is told where a table has no figure, or a target is never come to.
NO_FIGURE = -1.0


def at_or_below(k: tuple[float, ...], first: int, count: int, value: float) -> int:
    """Give the place of the largest edge that is not over a value; 0 where all are.

    Parameters
    ----------
    k : tuple of float
        Contact times.
    first, count : int
        Where the rising edges stand, and how many there are.
    value : float
        In the edges' unit.
    """
    place = 0
    for index in range(count):
        if k[first + index] <= value:
            place = index
    return place


def at_or_above(k: tuple[float, ...], first: int, count: int, value: float) -> int:
    """Give the place of the least edge that is not under a value; `count` where all are.

    Parameters
    ----------
    k, first, count, value
        As `at_or_below` takes them.
    """
    for index in range(count):
        if k[first + index] >= value:
            return index
    return count


def giardia_ct(
    k: tuple[float, ...], temperature_c: float, ph: float, free_chlorine: float
) -> float:
    """Give the contact time for 3-log inactivation of Giardia by the table, never interpolated.

    Parameters
    ----------
    k : tuple of float
        Contact times.
    temperature_c : float
        Read at the column at or below; the coldest stands for all that is colder. [C]
    ph : float
        Read at the column at or above; the first stands for all that is lower.
    free_chlorine : float
        Read at the row at or above; the last stands for all that is more. [mg/L as Cl2]

    Returns
    -------
    float
        mg min/L, or NO_FIGURE over pH 9. Source: US EPA 815-R-20-003 (2020), Table B-1.
    """
    column = at_or_above(k, CT_GIARDIA_PH, CT_PH_COLUMNS, ph)
    if column == CT_PH_COLUMNS:
        return NO_FIGURE
    block = at_or_below(k, CT_GIARDIA_TEMPERATURES, CT_TEMPERATURES, temperature_c)
    row = min(
        at_or_above(k, CT_GIARDIA_CHLORINE, CT_CHLORINE_ROWS, free_chlorine), CT_CHLORINE_ROWS - 1
    )
    return k[CT_GIARDIA_TABLE + (block * CT_CHLORINE_ROWS + row) * CT_PH_COLUMNS + column]


def giardia_ct_regressed(
    k: tuple[float, ...],
    temperature_c: float,
    ph: float,
    free_chlorine: float,
    logs: float,
    warm_number: float,
) -> float:
    """Give the contact time for Giardia by the regression; it lies at or over the table.

    Parameters
    ----------
    k : tuple of float
        Contact times.
    temperature_c : float
        0.5 to 25. [C]
    ph : float
        6 to 9.
    free_chlorine : float
        0.4 to 3. [mg/L as Cl2]
    logs : float
        Log inactivation, 0.5 to 3.
    warm_number : float
        The second number of the warm half, on which sources disagree: that of
        giardia-regression-warm, or giardia-regression-warm-other.

    Returns
    -------
    float
        mg min/L. Source: Smith, Clark and others (1995), US EPA.
    """
    slot = CT_GIARDIA_COLD
    number = k[CT_GIARDIA_COLD + 1]
    if temperature_c >= k[CT_GIARDIA_SPLIT]:
        slot = CT_GIARDIA_WARM
        number = warm_number
    power = (
        k[slot + 2] + k[slot + 3] * temperature_c + k[slot + 4] * free_chlorine + k[slot + 5] * ph
    )
    return k[slot] * logs * (number + math.exp(power))


def virus_ct(k: tuple[float, ...], temperature_c: float, ph: float, logs: int) -> float:
    """Give the contact time for viruses by free chlorine.

    Parameters
    ----------
    k : tuple of float
        Contact times.
    temperature_c : float
        Read at the column at or below. [C]
    ph : float
        6 to 10; over 9 only the 4-log figure of pH 10 is held.
    logs : int
        Log inactivation: 2, 3 or 4.

    Returns
    -------
    float
        mg min/L, or NO_FIGURE where none is held. Source: US EPA 815-R-20-003 (2020).
    """
    tables = (CT_VIRUS_2_LOG, CT_VIRUS_3_LOG, CT_VIRUS_4_LOG)
    if logs < 2 or logs > 4 or ph < k[CT_VIRUS_PH] or ph > k[CT_VIRUS_PH + 2]:
        return NO_FIGURE
    table = tables[logs - 2]
    if ph > k[CT_VIRUS_PH + 1]:
        if logs < 4:
            return NO_FIGURE
        table = CT_VIRUS_4_LOG_PH_10
    return ct_at_temperature(k, CT_VIRUS_TEMPERATURES, table, temperature_c)


def ct_at_temperature(
    k: tuple[float, ...], temperatures: int, table: int, temperature_c: float
) -> float:
    """Give a contact time of a table that only knows temperature, at or below the water's.

    Parameters
    ----------
    k : tuple of float
        Contact times.
    temperatures, table : int
        Where the six temperatures and the table's six figures stand.
    temperature_c : float
        The coldest column stands for all that is colder. [C]

    Returns
    -------
    float
        mg min/L.
    """
    return k[table + at_or_below(k, temperatures, CT_TEMPERATURES, temperature_c)]


def ct_between(span: float, one: float, other: float) -> float:
    """Give the contact time between two readings that surely was: the lower one's.

    Parameters
    ----------
    span : float
        Time from one to the other, zero or more.
    one, other : float
        Free chlorine at both ends, zero or more.

    Returns
    -------
    float
        Concentration times time, in the units given.
    """
    return span * min(one, other)


def conservative_ct(minutes: list[float], free: list[float]) -> float:
    """Give the contact time of a series of readings, each stretch at its lower end.

    Parameters
    ----------
    minutes : list of float
        Rising.
    free : list of float
        Free chlorine at each, the lowest of all points. [mg/L as Cl2]

    Returns
    -------
    float
        mg min/L; 0 for one reading. At most `trapezoid_ct`.
    """
    total = 0.0
    for index in range(1, len(minutes)):
        total += ct_between(minutes[index] - minutes[index - 1], free[index - 1], free[index])
    return total


def trapezoid_ct(minutes: list[float], free: list[float]) -> float:
    """Give the contact time of a series by straight lines between readings; it drives no clock.

    Parameters
    ----------
    minutes, free
        As `conservative_ct` takes them.

    Returns
    -------
    float
        mg min/L.
    """
    total = 0.0
    for index in range(1, len(minutes)):
        total += (minutes[index] - minutes[index - 1]) * (free[index - 1] + free[index]) / 2
    return total


def decay_fitted(
    minutes: list[float], free: list[float], runs: list[int], count: int
) -> tuple[float, float]:
    """Fit one first-order rate to several runs of readings, each with a start of its own.

    Parameters
    ----------
    minutes, free : list of float
        Time of each reading and its free chlorine, above zero. [min, mg/L]
    runs : list of int
        Which run each belongs to, from 0.
    count : int
        How many runs there are.

    Returns
    -------
    rate, strength : float
        Rate of loss, below zero where free rises [1/min], and what the fall is worth: over 2 e
        it is not a random error e of each reading (95 %). Both 0 where nothing can be fitted.
    """
    numbers: list[float] = []
    times: list[float] = []
    logs: list[float] = []
    for _run in range(count):
        numbers.append(0.0)
        times.append(0.0)
        logs.append(0.0)
    for index in range(len(minutes)):
        numbers[runs[index]] += 1.0
        times[runs[index]] += minutes[index]
        logs[runs[index]] += math.log(free[index])
    spread = 0.0
    fall = 0.0
    for index in range(len(minutes)):
        run = runs[index]
        away = minutes[index] - times[run] / numbers[run]
        spread += away * away
        fall -= away * (math.log(free[index]) - logs[run] / numbers[run])
    if spread <= 0.0:
        return 0.0, 0.0
    return fall / spread, fall / math.sqrt(spread)


def most_ct(free: float, rate: float) -> float:
    """Give all the contact time that a falling free chlorine can ever come to.

    Parameters
    ----------
    free : float
        Now. [mg/L as Cl2]
    rate : float
        First-order rate of loss, above zero. [1/min]

    Returns
    -------
    float
        mg min/L.
    """
    return free / rate


def minutes_to_ct(free: float, rate: float, ct: float) -> float:
    """Give how long a contact time takes at a free chlorine that falls by a first-order rate.

    Parameters
    ----------
    free : float
        Now, zero or more. [mg/L as Cl2]
    rate : float
        0 where it holds. [1/min]
    ct : float
        Wanted. [mg min/L]

    Returns
    -------
    float
        Minutes, or NO_FIGURE where it is never come to.
    """
    if ct <= 0.0:
        return 0.0
    if free <= 0.0:
        return NO_FIGURE
    if rate <= 0.0:
        return ct / free
    left = 1.0 - share_to_come(free, rate, ct)
    if left <= 0.0:
        return NO_FIGURE
    return -math.log(left) / rate


def share_to_come(free: float, rate: float, ct: float) -> float:
    """Give what share a contact time is of all that a falling free chlorine can come to.

    Parameters
    ----------
    free : float
        Now, above zero. [mg/L as Cl2]
    rate : float
        First-order rate of loss. [1/min]
    ct : float
        Wanted. [mg min/L]

    Returns
    -------
    float
        1 or more where it is never come to.
    """
    return rate * ct / free


def free_after(free: float, rate: float, minutes: float) -> float:
    """Give what is left of a free chlorine that falls by a first-order rate.

    Parameters
    ----------
    free : float
        Now. [mg/L as Cl2]
    rate : float
        First-order rate of loss. [1/min]
    minutes : float
        From now. [min]
    """
    return free * math.exp(-rate * minutes)
