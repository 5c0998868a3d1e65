"""The equilibrium constants at one temperature, from the coefficients in the flat tuple `k`."""

import math

from lanewater.kernel.water.slots import (
    COEFFICIENTS,
    K_AIR_CARBON_DIOXIDE,
    K_BISULFATE,
    K_BORIC,
    K_CALCITE,
    K_CALCIUM_BICARBONATE,
    K_CALCIUM_CARBONATE,
    K_CALCIUM_SULFATE,
    K_CARBON_DIOXIDE,
    K_CARBONIC_1,
    K_CARBONIC_2,
    K_CYANURIC_1,
    K_CYANURIC_2,
    K_CYANURIC_3,
    K_DAVIES,
    K_DAVIES_LIMIT,
    K_DEBYE_HUECKEL,
    K_DICHLORINATED_2,
    K_DICHLORINATED_7A,
    K_HYPOCHLOROUS,
    K_MAGNESIUM_BICARBONATE,
    K_MAGNESIUM_CARBONATE,
    K_MAGNESIUM_SULFATE,
    K_MONOCHLORINATED_4,
    K_MONOCHLORINATED_8,
    K_MONOCHLORINATED_9A,
    K_NEUTRAL,
    K_OSMOTIC,
    K_SODIUM_BICARBONATE,
    K_SODIUM_CARBONATE,
    K_SODIUM_SULFATE,
    K_TRICHLORINATED_1A,
    K_WATER,
)
from lanewater.kernel.water.units import ICE_POINT


def equilibrium_constant(
    k: tuple[float, ...], slot: int, kelvin: float, inverse: float, logarithm: float
) -> float:
    """Give one equilibrium constant (not its logarithm) at a temperature."""
    return math.exp(
        k[slot]
        + k[slot + 1] * kelvin
        + k[slot + 2] * inverse
        + k[slot + 3] * logarithm
        + k[slot + 4] * inverse * inverse
        + k[slot + 5] * kelvin * kelvin
    )


def four_term_constant(
    k: tuple[float, ...], slot: int, kelvin: float, inverse: float, logarithm: float
) -> float:
    """Give one equilibrium constant whose logarithm ends with its fourth term."""
    return math.exp(
        k[slot] + k[slot + 1] * kelvin + k[slot + 2] * inverse + k[slot + 3] * logarithm
    )


def two_term_constant(k: tuple[float, ...], slot: int, inverse: float) -> float:
    """Give one equilibrium constant whose logarithm is A + C/T, as those known by heat are."""
    return math.exp(k[slot] + k[slot + 2] * inverse)


def water_constants(k: tuple[float, ...], temperature_c: float) -> tuple[tuple[float, ...], ...]:
    """Give all constants at one temperature, ready for the solver.

    Parameters
    ----------
    k : tuple of float
        The flat tuple of one cyanurate set.
    temperature_c : float
        0 to 50. [deg C] Each constant's own range stands in `constants.toml`.

    Returns
    -------
    tuple of tuples
        The groups named in `slots`; activities, zero ionic strength.
    """
    kelvin = temperature_c + ICE_POINT
    inverse = 1 / kelvin
    logarithm = math.log(kelvin)
    second = equilibrium_constant(k, K_CARBONIC_2, kelvin, inverse, logarithm)
    return (
        activity_constants(k, temperature_c),
        acid_constants(k, kelvin, inverse, logarithm),
        carbonate_constants(k, kelvin, inverse, logarithm, second),
        pair_constants(k, kelvin, inverse, logarithm, second),
        cyanuric_constants(k, inverse),
        chlorinated_constants(k, inverse),
        solid_constants(k, kelvin, inverse, logarithm, second),
    )


def activity_constants(k: tuple[float, ...], temperature_c: float) -> tuple[float, ...]:
    """Give the Debye-Hueckel slope and its companions, for natural logarithms."""
    slope = 0.0
    for index in range(COEFFICIENTS):
        slope = slope * temperature_c + k[K_DEBYE_HUECKEL + COEFFICIENTS - 1 - index]
    return (slope, k[K_DAVIES], k[K_DAVIES_LIMIT], k[K_NEUTRAL], k[K_OSMOTIC])


def acid_constants(
    k: tuple[float, ...], kelvin: float, inverse: float, logarithm: float
) -> tuple[float, ...]:
    """Give water, hypochlorous and boric acid (dissociation) and bisulfate (association)."""
    return (
        equilibrium_constant(k, K_WATER, kelvin, inverse, logarithm),
        four_term_constant(k, K_HYPOCHLOROUS, kelvin, inverse, logarithm),
        four_term_constant(k, K_BORIC, kelvin, inverse, logarithm),
        four_term_constant(k, K_BISULFATE, kelvin, inverse, logarithm),
    )


def carbonate_constants(
    k: tuple[float, ...], kelvin: float, inverse: float, logarithm: float, second: float
) -> tuple[float, ...]:
    """Give the association of carbonate with one and with two protons."""
    first = equilibrium_constant(k, K_CARBONIC_1, kelvin, inverse, logarithm)
    return (1 / second, 1 / (first * second))


def pair_constants(
    k: tuple[float, ...], kelvin: float, inverse: float, logarithm: float, second: float
) -> tuple[float, ...]:
    """Give the ion pairs; those of bicarbonate are written from carbonate and a proton."""
    return (
        four_term_constant(k, K_CALCIUM_BICARBONATE, kelvin, inverse, logarithm) / second,
        four_term_constant(k, K_CALCIUM_CARBONATE, kelvin, inverse, logarithm),
        two_term_constant(k, K_SODIUM_BICARBONATE, inverse) / second,
        two_term_constant(k, K_SODIUM_CARBONATE, inverse),
        two_term_constant(k, K_CALCIUM_SULFATE, inverse),
        two_term_constant(k, K_SODIUM_SULFATE, inverse),
        four_term_constant(k, K_MAGNESIUM_BICARBONATE, kelvin, inverse, logarithm) / second,
        four_term_constant(k, K_MAGNESIUM_CARBONATE, kelvin, inverse, logarithm),
        two_term_constant(k, K_MAGNESIUM_SULFATE, inverse),
    )


def cyanuric_constants(k: tuple[float, ...], inverse: float) -> tuple[float, ...]:
    """Give cyanuric acid's ions from the acid itself: one, two and three protons lost."""
    one = two_term_constant(k, K_CYANURIC_1, inverse)
    two = one * two_term_constant(k, K_CYANURIC_2, inverse)
    return (one, two, two * two_term_constant(k, K_CYANURIC_3, inverse))


def chlorinated_constants(k: tuple[float, ...], inverse: float) -> tuple[float, ...]:
    """Give the chlorinated cyanurates from cyanuric acid and HOCl.

    Returns
    -------
    tuple of float
        HClCy-, H2ClCy, ClCy2-, Cl2Cy-, HCl2Cy, Cl3Cy (Cy is the C3N3O3 ring).
    """
    mono = two_term_constant(k, K_CYANURIC_1, inverse) / two_term_constant(
        k, K_MONOCHLORINATED_9A, inverse
    )
    di = mono / two_term_constant(k, K_DICHLORINATED_7A, inverse)
    di_acid = di / two_term_constant(k, K_DICHLORINATED_2, inverse)
    return (
        mono,
        mono / two_term_constant(k, K_MONOCHLORINATED_4, inverse),
        mono * two_term_constant(k, K_MONOCHLORINATED_8, inverse),
        di,
        di_acid,
        di_acid / two_term_constant(k, K_TRICHLORINATED_1A, inverse),
    )


def solid_constants(
    k: tuple[float, ...], kelvin: float, inverse: float, logarithm: float, second: float
) -> tuple[float, ...]:
    """Give calcite's solubility, CO2's solubility in air's equilibrium, and outdoor air's CO2."""
    return (
        four_term_constant(k, K_CALCITE, kelvin, inverse, logarithm),
        equilibrium_constant(k, K_CARBON_DIOXIDE, kelvin, inverse, logarithm),
        k[K_AIR_CARBON_DIOXIDE],
        second,
    )
