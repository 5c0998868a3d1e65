"""Fresh water in: drained and refilled, flowing through, or making up for evaporation.

Totals mix and pH does not: it is solved for afterwards. `mixed_totals` is a drain and refill.
"""

import math

from lanewater.kernel.water.additions import mixed_totals
from lanewater.kernel.water.slots import (
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

# No share of fresh water reaches it.
NO_SHARE = -1


def flushed_share(volumes: float) -> float:
    """Give the share of a mixed pool that is fresh once some volumes have flowed through.

    Parameters
    ----------
    volumes : float
        Fresh water over the pool's volume, at least 0. [m3/m3]

    Returns
    -------
    float
        1 - exp(-volumes): the law of dilution of a pool that mixes as fast as it is fed.
    """
    return 1 - math.exp(-volumes)


def flushed_totals(
    totals: tuple[float, ...], fresh: tuple[float, ...], volumes: float
) -> tuple[float, ...]:
    """Let fresh water flow through a pool that stays full and mixed.

    Parameters
    ----------
    totals, fresh : tuple of float
        The pool before, and what flows in. [mol/L]
    volumes : float
        Fresh water over the pool's volume, at least 0. [m3/m3]

    Returns
    -------
    tuple of float
        After. [mol/L]
    """
    return mixed_totals(totals, fresh, flushed_share(volumes))


def topped_totals(
    totals: tuple[float, ...], fresh: tuple[float, ...], share: float
) -> tuple[float, ...]:
    """Make up for water that has evaporated: nothing dissolved has left with it.

    Parameters
    ----------
    totals, fresh : tuple of float
        The full pool before, and what makes up. [mol/L]
    share : float
        Evaporated and made up, over the pool's volume, at least 0. [m3/m3]

    Returns
    -------
    tuple of float
        After, full again. [mol/L] The carbon dioxide that a surface lets go meanwhile is not in it.
    """
    return (
        totals[T_ALKALINITY] + share * fresh[T_ALKALINITY],
        totals[T_CARBON] + share * fresh[T_CARBON],
        totals[T_CALCIUM] + share * fresh[T_CALCIUM],
        totals[T_MAGNESIUM] + share * fresh[T_MAGNESIUM],
        totals[T_CYANURATE] + share * fresh[T_CYANURATE],
        totals[T_BORATE] + share * fresh[T_BORATE],
        totals[T_HYPOCHLORITE] + share * fresh[T_HYPOCHLORITE],
        totals[T_SODIUM] + share * fresh[T_SODIUM],
        totals[T_CHLORIDE] + share * fresh[T_CHLORIDE],
        totals[T_SULFATE] + share * fresh[T_SULFATE],
    )


def share_to_reach(now: float, fresh: float, target: float) -> float:
    """Give the share of a pool to drain and refill so that a dissolved amount reaches a target.

    Parameters
    ----------
    now, fresh, target : float
        Of what neither reacts nor leaves otherwise, in any one unit: in the pool, in the fresh
        water, and wanted.

    Returns
    -------
    float
        0 to 1; 0 where the pool stands at the target; NO_SHARE where fresh water does not lead
        to it, or only all of it would. With nothing in the fresh water it is 1 - target / now.
    """
    if now == target:
        return 0.0
    gap = now - fresh
    if gap == 0.0:
        return NO_SHARE + 0.0
    share = (now - target) / gap
    if share < 0.0 or share >= 1.0:
        return NO_SHARE + 0.0
    return share


def volumes_of_share(share: float) -> float:
    """Give the volumes that must flow through for the same effect as a drain and refill.

    Parameters
    ----------
    share : float
        Drained and refilled, 0 to below 1.
    """
    return -math.log(1 - share)


def settled_amount(fresh: float, in_m3: float, out_m3: float) -> float:
    """Give what a dissolved amount settles at, fed by fresh water and leaving with what is let out.

    Parameters
    ----------
    fresh : float
        In the fresh water, in any unit.
    in_m3, out_m3 : float
        Fresh water in, and water let out with all that is in it, in one time; the difference
        evaporates. `out_m3` is above 0. [m3]

    Returns
    -------
    float
        In the same unit: the fresh water's, times `in_m3` over `out_m3`.
    """
    return fresh * in_m3 / out_m3


def amount_after(now: float, fresh: float, in_m3: float, out_m3: float, volume_m3: float) -> float:
    """Give a dissolved amount after fresh water in, water let out, and the rest evaporated.

    Parameters
    ----------
    now, fresh : float
        In the pool and in the fresh water, in any one unit; neither reacts nor leaves otherwise.
    in_m3, out_m3 : float
        Fresh water in, and water let out with all that is in it, spread evenly. [m3]
    volume_m3 : float
        Of the pool, which stays full. [m3]

    Returns
    -------
    float
        In the same unit.
    """
    if out_m3 <= 0.0:
        return now + fresh * in_m3 / volume_m3
    settled = settled_amount(fresh, in_m3, out_m3)
    return settled + (now - settled) * math.exp(-out_m3 / volume_m3)
