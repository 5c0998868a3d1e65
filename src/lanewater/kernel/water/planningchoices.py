"""Which few products a plan is searched in: every choice of one, two, three that could do it."""

from lanewater.kernel.water.planningfresh import planned_totals
from lanewater.kernel.water.planningslots import (
    B_HIGH,
    B_LOW,
    B_QUANTITY,
    BAND_WIDTH,
    NOT_SLOTTED,
    R_EFFORT,
    ROW_WIDTH,
)
from lanewater.kernel.water.planningwater import is_fresh_water, is_plain, plain_value
from lanewater.kernel.water.search import Q_FREE_CHLORINE

MOST_CHOSEN = 3


def next_choice(chosen: list[int], rows_in_all: int) -> bool:
    """Turn a choice of rows into the next one: single rows first, then pairs, then threes.

    Parameters
    ----------
    rows_in_all
        The same as in `plan_search` and what it makes of them.
    chosen : list of int
        Rows in rising order, none before the first choice; changed.

    Returns
    -------
    bool
        Whether there was a next one.
    """
    size = len(chosen)
    place = size - 1
    while place >= 0 and chosen[place] == rows_in_all - size + place:
        place = place - 1
    if place < 0:
        if size == MOST_CHOSEN or size == rows_in_all:
            return False
        chosen.append(0)
        for row in range(size + 1):
            chosen[row] = row
        return True
    chosen[place] = chosen[place] + 1
    for later in range(place + 1, size):
        chosen[later] = chosen[later - 1] + 1
    return True


def only_rows(most: list[float], chosen: list[int]) -> list[float]:
    """Give the most units of each row, 0 for rows that are not chosen."""
    found: list[float] = []
    for row in range(len(most)):
        found.append(most[row] if row in chosen else 0.0)
    return found


def worth_a_search(
    c: tuple[tuple[float, ...], ...],
    waters: list[float],
    rows: list[float],
    bands: list[float],
    chosen: list[int],
    most: list[float],
    best: list[float],
) -> bool:
    """Tell whether a choice of rows could reach each plain band, at less than the best's cost.

    Parameters
    ----------
    c, waters, rows, bands, chosen, most
        The same as in `plan_search` and what it makes of them.
    best : list of float
        The plan that stands, as `judge_trial` keeps it.
    """
    effort = 0.0
    for row in chosen:
        effort = effort + rows[row * ROW_WIDTH + R_EFFORT]
        if most[row] < 1.0:
            return False
    if best[3] != NOT_SLOTTED and effort >= best[1]:
        return False
    counts: list[float] = []
    for _ in range(len(most)):
        counts.append(0.0)
    totals = planned_totals(waters, rows, counts)
    for band in range(len(bands) // BAND_WIDTH):
        if is_plain(bands, band):
            place = band * BAND_WIDTH
            low = plain_value(c, totals, bands[place + B_QUANTITY])
            high = low
            for row in chosen:
                counts[row] = most[row]
                after = planned_totals(waters, rows, counts)
                counts[row] = 0.0
                by = plain_value(c, after, bands[place + B_QUANTITY]) - plain_value(
                    c, totals, bands[place + B_QUANTITY]
                )
                if by > 0.0:
                    high = high + by
                elif bands[place + B_QUANTITY] == Q_FREE_CHLORINE and not is_fresh_water(rows, row):
                    low = 0.0 if by < 0.0 else low
                else:
                    low = low + by
            if high < bands[place + B_LOW] or low > bands[place + B_HIGH]:
                return False
    return True
