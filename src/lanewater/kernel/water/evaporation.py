"""Evaporation from a pool by published correlations, which differ: an estimate with its range."""

import math

from lanewater.kernel.water.plantslots import (
    PLANT_MOIST_AIR,
    PLANT_QUIET_POOL,
    PLANT_STILL_AIR,
    PLANT_TRANSFER,
    PLANT_USED_POOL,
    PLANT_VAPOUR,
)
from lanewater.kernel.water.units import CENTI, ICE_POINT, SECONDS_AN_HOUR

CUBE = 3


def vapour_pressure(p: tuple[float, ...], temperature_c: float) -> float:
    """Give the pressure of saturated water vapour.

    Parameters
    ----------
    p : tuple of float
        The flat tuple of the plant's table.
    temperature_c : float
        0 to 60. [deg C]

    Returns
    -------
    float
        [Pa]
    """
    return p[PLANT_VAPOUR] * math.exp(
        p[PLANT_VAPOUR + 1] * temperature_c / (p[PLANT_VAPOUR + 2] + temperature_c)
    )


def moist_air(p: tuple[float, ...], temperature_c: float, vapour: float) -> tuple[float, float]:
    """Give the density [kg/m3] and the humidity ratio [kg/kg] of air with some vapour [Pa]."""
    kelvin = temperature_c + ICE_POINT
    dry = (p[PLANT_MOIST_AIR] - vapour) / (p[PLANT_MOIST_AIR + 1] * kelvin)
    wet = vapour / (p[PLANT_MOIST_AIR + 2] * kelvin)
    return (dry + wet, wet / dry)


def quiet_evaporation(
    p: tuple[float, ...], water_c: float, air_c: float, humidity_percent: float
) -> tuple[float, float]:
    """Give the evaporation of a pool without people (Shah), and air's density less that at it.

    Parameters
    ----------
    p : tuple of float
        The flat tuple of the plant's table.
    water_c, air_c : float
        [deg C]
    humidity_percent : float
        Relative humidity of the air. [%]

    Returns
    -------
    float
        The larger of what rising air and what vapour pressure give, at least 0. [kg/(m2 h)]
    float
        Of the room's air less that of saturated air at the water. [kg/m3]
    """
    saturated = vapour_pressure(p, water_c)
    room = vapour_pressure(p, air_c) * humidity_percent / CENTI
    at_water, wet_water = moist_air(p, water_c, saturated)
    in_room, wet_room = moist_air(p, air_c, room)
    lift = in_room - at_water
    rising = 0.0
    if lift > 0.0:
        cube_root = math.exp(math.log(lift) / CUBE)
        rising = p[PLANT_QUIET_POOL] * at_water * cube_root * (wet_water - wet_room)
    return (max(rising, p[PLANT_QUIET_POOL + 1] * (saturated - room), 0.0), lift)


def used_evaporation(
    p: tuple[float, ...],
    water_c: float,
    air_c: float,
    humidity_percent: float,
    people_a_m2: float,
) -> float:
    """Give the evaporation of a pool with people in it (Shah 2013).

    Parameters
    ----------
    p, water_c, air_c, humidity_percent
        As `quiet_evaporation` takes them.
    people_a_m2 : float
        In the water, at least 0; between none and the formula's least the factor goes straight
        from 1 to the formula's. [1/m2]

    Returns
    -------
    float
        [kg/(m2 h)]
    """
    quiet, lift = quiet_evaporation(p, water_c, air_c, humidity_percent)
    least = p[PLANT_USED_POOL + 3]
    people = max(people_a_m2, least)
    factor = p[PLANT_USED_POOL] - p[PLANT_USED_POOL + 1] * lift + p[PLANT_USED_POOL + 2] * people
    if people_a_m2 < least:
        factor = 1 + (factor - 1) * people_a_m2 / least
    return quiet * max(factor, 1.0)


def transferred_evaporation(
    p: tuple[float, ...],
    water_c: float,
    air_c: float,
    humidity_percent: float,
    depth_m: float,
) -> tuple[float, float, float, float]:
    """Give the evaporation by two forms of a mass transfer coefficient.

    Parameters
    ----------
    p, water_c, air_c, humidity_percent
        As `quiet_evaporation` takes them.
    depth_m : float
        Of the water: public pools that are shallow have a coefficient of their own. [m]

    Returns
    -------
    float, float, float, float
        By the still-air form for a quiet and for a public pool, and by a transfer coefficient for
        a pool that is not in use and for a public one in use; at least 0. [kg/(m2 h)]
    """
    saturated = vapour_pressure(p, water_c)
    pull = max(saturated - vapour_pressure(p, air_c) * humidity_percent / CENTI, 0.0)
    still = p[PLANT_STILL_AIR] * SECONDS_AN_HOUR * pull
    kelvin = (water_c + air_c) / 2 + ICE_POINT
    vapour = pull / (p[PLANT_MOIST_AIR + 2] * kelvin)
    in_use = p[PLANT_TRANSFER + 1]
    if depth_m <= p[PLANT_TRANSFER + 3]:
        in_use = p[PLANT_TRANSFER + 2]
    return (
        still * p[PLANT_STILL_AIR + 1],
        still * p[PLANT_STILL_AIR + 2],
        vapour * p[PLANT_TRANSFER],
        vapour * in_use,
    )
