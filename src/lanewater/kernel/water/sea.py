"""Sea water: pH and alkalinity to carbon, calcite and carbon dioxide.

Stoichiometric constants (concentrations, no activities) of natural sea salt, as oceanography
publishes them. Its bromide turns all chlorine into bromine, so nothing here knows chlorine or
cyanurate.
"""

import math

from lanewater.kernel.water.seaslots import (
    SC_BISULFATE,
    SC_BORIC,
    SC_CALCITE,
    SC_CARBON_DIOXIDE,
    SC_CARBONIC_1,
    SC_CARBONIC_2,
    SC_FREE_PER_TOTAL,
    SC_FUGACITY,
    SC_HYDROFLUORIC,
    SC_TOTAL_PER_NBS,
    SC_WATER,
    SR_ALKALINITY,
    SR_PH,
    SR_SALINITY,
    SR_TEMPERATURE,
    SS_BORATE,
    SS_CALCIUM,
    SS_FLUORIDE,
    SS_MAGNESIUM,
    SS_SULFATE,
    Z_BISULFATE,
    Z_BORATE,
    Z_BORIC,
    Z_BORIC_WARM,
    Z_CALCITE,
    Z_CALCIUM,
    Z_CARBON_DIOXIDE,
    Z_CARBONIC_1,
    Z_CARBONIC_2,
    Z_DENSITY,
    Z_DENSITY_ROOT,
    Z_DENSITY_SALT,
    Z_DENSITY_SQUARE,
    Z_FLUORIDE,
    Z_FUGACITY,
    Z_HYDROFLUORIC,
    Z_IONIC,
    Z_KG_SOLUTION,
    Z_MAGNESIUM,
    Z_PH_NBS,
    Z_SULFATE,
    Z_WATER,
)
from lanewater.kernel.water.slots import INCONSISTENT, SOLVED
from lanewater.kernel.water.units import ICE_POINT, LN_10, MILLI


def carbonic_sea(s: tuple[float, ...], slot: int, kelvin: float, salinity: float) -> float:
    """Give a dissociation constant of carbonic acid; pK = a/T + b + c ln T + d S + e S^2."""
    pk = s[slot] / kelvin + s[slot + 1] + s[slot + 2] * math.log(kelvin)
    return math.exp(-LN_10 * (pk + (s[slot + 3] + s[slot + 4] * salinity) * salinity))


def boric_sea(s: tuple[float, ...], kelvin: float, salinity: float) -> float:
    """Give boric acid's dissociation constant on the total scale."""
    z = Z_BORIC
    root = math.sqrt(salinity)
    over = s[z] + s[z + 1] * root + s[z + 2] * salinity
    over = over + s[z + 3] * root * salinity + s[z + 4] * salinity * salinity
    plain = s[z + 5] + s[z + 6] * root + s[z + 7] * salinity
    z = Z_BORIC_WARM
    times = s[z] + s[z + 1] * root + s[z + 2] * salinity
    return math.exp(over / kelvin + plain + times * math.log(kelvin) + s[z + 3] * root * kelvin)


def water_sea(s: tuple[float, ...], kelvin: float, salinity: float) -> float:
    """Give water's dissociation constant on the sea-water scale."""
    z = Z_WATER
    logarithm = math.log(kelvin)
    fresh = s[z] + s[z + 1] / kelvin + s[z + 2] * logarithm
    salt = s[z + 3] + s[z + 4] / kelvin + s[z + 5] * logarithm
    return math.exp(fresh + salt * math.sqrt(salinity) + s[z + 6] * salinity)


def ionic_sea(s: tuple[float, ...], salinity: float) -> float:
    """Give the ionic strength, in mol a kg of water."""
    return s[Z_IONIC] * salinity / (s[Z_IONIC + 1] + s[Z_IONIC + 2] * salinity)


def bisulfate_sea(s: tuple[float, ...], kelvin: float, ionic: float) -> float:
    """Give bisulfate's dissociation constant on the free scale, in mol a kg of water."""
    z = Z_BISULFATE
    logarithm = math.log(kelvin)
    root = math.sqrt(ionic)
    fresh = s[z] / kelvin + s[z + 1] + s[z + 2] * logarithm
    first = s[z + 3] / kelvin + s[z + 4] + s[z + 5] * logarithm
    second = s[z + 6] / kelvin + s[z + 7] + s[z + 8] * logarithm
    higher = (s[z + 9] * root + s[z + 10] * ionic) * ionic / kelvin
    return math.exp(fresh + first * root + second * ionic + higher)


def hydrofluoric_sea(s: tuple[float, ...], kelvin: float, ionic: float) -> float:
    """Give hydrofluoric acid's dissociation constant on the free scale, in mol a kg of water."""
    z = Z_HYDROFLUORIC
    return math.exp(s[z] / kelvin + s[z + 1] + s[z + 2] * math.sqrt(ionic))


def calcite_sea(s: tuple[float, ...], kelvin: float, salinity: float) -> float:
    """Give calcite's stoichiometric solubility product, in (mol a kg of sea water) squared."""
    z = Z_CALCITE
    root = math.sqrt(salinity)
    fresh = s[z] + s[z + 1] * kelvin + s[z + 2] / kelvin + s[z + 3] * math.log10(kelvin)
    salt = s[z + 4] + s[z + 5] * kelvin + s[z + 6] / kelvin
    return math.exp(
        LN_10 * (fresh + salt * root + s[z + 7] * salinity + s[z + 8] * root * salinity)
    )


def dioxide_sea(s: tuple[float, ...], kelvin: float, salinity: float) -> float:
    """Give carbon dioxide's solubility, in mol a kg of sea water and atmosphere of fugacity."""
    z = Z_CARBON_DIOXIDE
    part = kelvin / s[z + 6]
    fresh = s[z] + s[z + 1] / part + s[z + 2] * math.log(part)
    return math.exp(fresh + salinity * (s[z + 3] + (s[z + 4] + s[z + 5] * part) * part))


def fugacity_sea(s: tuple[float, ...], kelvin: float) -> float:
    """Give carbon dioxide's fugacity over its pressure, in air of one atmosphere."""
    z = Z_FUGACITY
    virial = s[z] + (s[z + 1] + (s[z + 2] + s[z + 3] * kelvin) * kelvin) * kelvin
    cross = s[z + 4] + s[z + 5] * kelvin
    return math.exp((virial + 2 * cross) * s[z + 6] / (s[z + 7] * kelvin))


def sea_salt(s: tuple[float, ...], salinity: float) -> tuple[float, ...]:
    """Give what sea salt holds by salinity: borate, sulfate, fluoride, calcium, magnesium.

    Parameters
    ----------
    s : tuple of float
        Sea water's flat tuple.
    salinity : float
        5 to 40. [g/kg]

    Returns
    -------
    tuple of float
        In mol/kg of sea water.
    """
    return (
        s[Z_BORATE] * salinity,
        s[Z_SULFATE] * salinity,
        s[Z_FLUORIDE] * salinity,
        s[Z_CALCIUM] * salinity,
        s[Z_MAGNESIUM] * salinity,
    )


def sea_constants(s: tuple[float, ...], temperature_c: float, salinity: float) -> tuple[float, ...]:
    """Give sea water's constants at one temperature and salinity, by the SC indices."""
    kelvin = temperature_c + ICE_POINT
    salt = sea_salt(s, salinity)
    ionic = ionic_sea(s, salinity)
    # Fitted a kg of water, used a kg of sea water.
    share = 1 + s[Z_KG_SOLUTION] * salinity
    bisulfate = bisulfate_sea(s, kelvin, ionic) * share
    hydrofluoric = hydrofluoric_sea(s, kelvin, ionic) * share
    total = 1 + salt[SS_SULFATE] / bisulfate
    whole = total + salt[SS_FLUORIDE] / hydrofluoric
    z = Z_PH_NBS
    activity = s[z] + s[z + 1] * kelvin + (s[z + 2] + s[z + 3] * kelvin) * salinity * salinity
    return (
        carbonic_sea(s, Z_CARBONIC_1, kelvin, salinity),
        carbonic_sea(s, Z_CARBONIC_2, kelvin, salinity),
        boric_sea(s, kelvin, salinity),
        water_sea(s, kelvin, salinity) * total / whole,
        bisulfate,
        hydrofluoric,
        calcite_sea(s, kelvin, salinity),
        dioxide_sea(s, kelvin, salinity),
        fugacity_sea(s, kelvin),
        total / (whole * activity),
        1 / total,
    )


def sea_density(s: tuple[float, ...], temperature_c: float, salinity: float) -> float:
    """Give sea water's density at one atmosphere, in kg/L.

    Parameters
    ----------
    s : tuple of float
        Sea water's flat tuple.
    temperature_c : float
        0 to 40. [deg C]
    salinity : float
        0 to 42. [g/kg]
    """
    z = Z_DENSITY
    t = temperature_c
    fresh = s[z + 3] + (s[z + 4] + s[z + 5] * t) * t
    fresh = s[z] + (s[z + 1] + (s[z + 2] + fresh * t) * t) * t
    z = Z_DENSITY_SALT
    first = s[z + 2] + (s[z + 3] + s[z + 4] * t) * t
    first = s[z] + (s[z + 1] + first * t) * t
    z = Z_DENSITY_ROOT
    middle = s[z] + (s[z + 1] + s[z + 2] * t) * t
    second = s[Z_DENSITY_SQUARE] * salinity
    return (fresh + (first + middle * math.sqrt(salinity) + second) * salinity) / MILLI


def sea_water(s: tuple[float, ...], reading: tuple[float, ...]) -> tuple[int, tuple[float, ...]]:
    """Give the figures of sea water from its pH and alkalinity.

    Parameters
    ----------
    s : tuple of float
        Sea water's flat tuple.
    reading : tuple of float
        pH as an instrument set with ordinary (NBS) buffers reads it, temperature [deg C], total
        alkalinity [eq/kg of sea water], salinity [g/kg].

    Returns
    -------
    int
        SOLVED, or INCONSISTENT where borate and water alone exceed the alkalinity.
    tuple of float
        By the SF indices; all 0 where the water is not solved.
    """
    temperature_c = reading[SR_TEMPERATURE]
    salinity = reading[SR_SALINITY]
    c = sea_constants(s, temperature_c, salinity)
    salt = sea_salt(s, salinity)
    proton = math.exp(-LN_10 * reading[SR_PH]) * c[SC_TOTAL_PER_NBS]
    free = proton * c[SC_FREE_PER_TOTAL]
    borate = salt[SS_BORATE] * c[SC_BORIC] / (c[SC_BORIC] + proton)
    water = c[SC_WATER] / proton - free - salt[SS_SULFATE] * free / (free + c[SC_BISULFATE])
    water = water - salt[SS_FLUORIDE] * free / (free + c[SC_HYDROFLUORIC])
    carbonates = reading[SR_ALKALINITY] - borate - water
    if carbonates <= 0.0:
        z = 0.0
        return (INCONSISTENT, (z, z, z, z, z, z, z, z, z, z, z, z, z, z))
    bicarbonate = carbonates * proton / (proton + 2 * c[SC_CARBONIC_2])
    carbonate = bicarbonate * c[SC_CARBONIC_2] / proton
    dioxide = bicarbonate * proton / c[SC_CARBONIC_1]
    calcium = salt[SS_CALCIUM]
    return (
        SOLVED,
        (
            -math.log10(proton),
            dioxide + bicarbonate + carbonate,
            dioxide,
            bicarbonate,
            carbonate,
            carbonates,
            borate,
            water,
            math.log10(calcium * carbonate / c[SC_CALCITE]),
            dioxide / (c[SC_CARBON_DIOXIDE] * c[SC_FUGACITY]),
            calcium,
            salt[SS_MAGNESIUM],
            ionic_sea(s, salinity) * (1 + s[Z_KG_SOLUTION] * salinity),
            sea_density(s, temperature_c, salinity),
        ),
    )
