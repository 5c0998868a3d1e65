"""The handbook's saturation index by table, shown beside the computed one.

The table stands in many handbooks alike (seen in a state's administrative rule): index = pH +
temperature factor + calcium factor + alkalinity factor - 12.1, or - 12.2 from 1000 mg/L of
dissolved solids on. Its calcium factors are log10(hardness) - 0.4 and its alkalinity factors
log10(alkalinity), to its precision; misprinted copies are about.
"""

from __future__ import annotations

import math
from itertools import pairwise

FACTORS_BY_FAHRENHEIT = (
    (32.0, 0.0),
    (37.0, 0.1),
    (46.0, 0.2),
    (53.0, 0.3),
    (60.0, 0.4),
    (66.0, 0.5),
    (76.0, 0.6),
    (84.0, 0.7),
    (94.0, 0.8),
    (105.0, 0.9),
    (128.0, 1.0),
)
CALCIUM_OFFSET = 0.4
FRESH_CONSTANT = 12.1
SALTY_CONSTANT = 12.2
SALTY_FROM_MG_L = 1000.0


def temperature_factor(temperature_c: float) -> float | None:
    """Give the table's temperature factor, straight between its rows; None outside it."""
    fahrenheit = temperature_c * 9 / 5 + 32
    for (low, low_factor), (high, high_factor) in pairwise(FACTORS_BY_FAHRENHEIT):
        if low <= fahrenheit <= high:
            return low_factor + (high_factor - low_factor) * (fahrenheit - low) / (high - low)
    return None


def handbook_index(
    ph: float,
    temperature_c: float,
    calcium_hardness_mg_l: float,
    alkalinity_mg_l: float,
    dissolved_mg_l: float,
) -> float | None:
    """Give the index by the handbook's table.

    Parameters
    ----------
    ph, temperature_c : float
        As read.
    calcium_hardness_mg_l, alkalinity_mg_l : float
        As CaCO3; total alkalinity, or what is left of it after CYA/3.
    dissolved_mg_l : float
        Dissolved solids; only which side of 1000 counts.

    Returns
    -------
    float or None
        None where the table has no row: no calcium, no alkalinity, below 0 or above 53 degrees.
    """
    factor = temperature_factor(temperature_c)
    if factor is None or calcium_hardness_mg_l <= 0 or alkalinity_mg_l <= 0:
        return None
    constant = FRESH_CONSTANT if dissolved_mg_l < SALTY_FROM_MG_L else SALTY_CONSTANT
    calcium = math.log10(calcium_hardness_mg_l) - CALCIUM_OFFSET
    return ph + factor + calcium + math.log10(alkalinity_mg_l) - constant
