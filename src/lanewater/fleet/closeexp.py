"""Exponential and logarithm by polynomials: where they are called, loops stay straight.

`close_exp` agrees with the C library within 1e-15, relative. `lane_exp` and `lane_log` give up
digits that no lane needs, to 1e-11 and 1e-12, for speed; `tests/fleet/test_lanes.py` holds all of
them. Calls of Numba's own leave the loop, so that no lanes form.
"""

import math

import numpy as np

LOG2_E = 1.4426950408889634
# ln 2 in two parts, so that whole multiples of the first are exact.
LN2_HIGH = 6.93147180369123816490e-01
LN2_LOW = 1.90821492927058770002e-10
LN2 = 0.6931471805599453
# Added to a float below 2**51 it leaves the nearest whole number in the last bits.
MAGIC = 6755399441055744.0
MAGIC_BITS = 0x4338000000000000
ONE_BITS = 0x3FF0000000000000
SIGNLESS = 0x7FFFFFFFFFFFFFFF
# From this on, below sqrt 2, a significand counts as above 1 and not below 2.
PAST_ROOT_2 = 0x95F619980C433
BIAS = 1023
BIASED_MAGIC = MAGIC + BIAS
FRACTION = 52
FARTHEST = 700.0


def close_exp(x: float) -> float:
    """Give e to the x, as math.exp does, OverflowError included.

    Parameters
    ----------
    x : float
    """
    if not abs(x) < FARTHEST:
        return math.exp(x)
    turned = x * LOG2_E + BIASED_MAGIC
    whole = turned - BIASED_MAGIC
    r = (x - whole * LN2_HIGH) - whole * LN2_LOW
    p = 1 / 479001600
    p = p * r + 1 / 39916800
    p = p * r + 1 / 3628800
    p = p * r + 1 / 362880
    p = p * r + 1 / 40320
    p = p * r + 1 / 5040
    p = p * r + 1 / 720
    p = p * r + 1 / 120
    p = p * r + 1 / 24
    p = p * r + 1 / 6
    p = p * r + 1 / 2
    p = p * r + 1
    p = p * r + 1
    bits = np.float64(turned).view(np.int64) << FRACTION
    return p * np.int64(bits).view(np.float64)


def lane_exp(x: float) -> float:
    """Give e to the x within 1e-11, relative, for x from -700 to 700; beyond, nothing of use.

    Parameters
    ----------
    x : float
    """
    turned = x * LOG2_E + BIASED_MAGIC
    r = x - (turned - BIASED_MAGIC) * LN2
    p = 1 / 362880
    p = p * r + 1 / 40320
    p = p * r + 1 / 5040
    p = p * r + 1 / 720
    p = p * r + 1 / 120
    p = p * r + 1 / 24
    p = p * r + 1 / 6
    p = p * r + 1 / 2
    p = p * r + 1
    p = p * r + 1
    bits = np.float64(turned).view(np.int64) << FRACTION
    return p * np.int64(bits).view(np.float64)


def lane_log(x: float) -> float:
    """Give the natural logarithm of a normal number above 0; of others it is not defined.

    Parameters
    ----------
    x : float
        2.3e-308 to 1.7e308.
    """
    bits = np.float64(x).view(np.int64) & SIGNLESS
    power = (bits + PAST_ROOT_2) >> FRACTION
    m = np.int64(bits - (power << FRACTION) + ONE_BITS).view(np.float64)
    whole = np.int64(power + MAGIC_BITS).view(np.float64) - BIASED_MAGIC
    s = (m - 1) / (m + 1)
    z = s * s
    p = 2 / 15
    p = p * z + 2 / 13
    p = p * z + 2 / 11
    p = p * z + 2 / 9
    p = p * z + 2 / 7
    p = p * z + 2 / 5
    p = p * z + 2 / 3
    p = p * z + 2
    return whole * LN2 + s * p
