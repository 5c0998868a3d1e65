"""What evaporates from a pool: several published forms beside each other, as a range."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lanewater.chemistry.fields import number_field, object_field
from lanewater.chemistry.water import Finding, finding
from lanewater.kernel.water.evaporation import (
    quiet_evaporation,
    transferred_evaporation,
    used_evaporation,
)
from lanewater.terms.errors import InputError

AIR_KEYS = ("temperature_c", "relative_humidity_percent", "people")
HOURS_A_DAY = 24.0
LITRES_A_M3 = 1000.0
# Each form: id, what it is, whether people are in the water.
FORMS = (
    ("shah-unoccupied", "Shah, nobody in the water", False),
    ("still-air-quiet", "still air, activity factor 0.5", False),
    ("transfer-unused", "mass transfer 7 m/h, not in use", False),
    ("shah-occupied", "Shah (2013), people in the water", True),
    ("still-air-public", "still air, activity factor 1", True),
    ("transfer-public", "mass transfer of a public pool in use, by its depth", True),
)


@dataclass(frozen=True, slots=True)
class Room:
    """A pool's surface and the air above it; `people` is None where they are not told."""

    surface_m2: float
    depth_m: float
    water_c: float
    air_c: float
    humidity_percent: float
    people: float | None


def room_from(given: Mapping[str, Any], water_c: float, volume_m3: float) -> Room | None:
    """Read surface and air; None where no air is given.

    Parameters
    ----------
    given : mapping
        The question, with `surface_m2` and `air`.
    water_c : float
        [deg C]
    volume_m3 : float
        Of the pool: over its surface it is the mean depth. [m3]
    """
    if "air" not in given:
        if "surface_m2" in given:
            raise InputError("surface_m2", "goes with air")
        return None
    table = object_field(given["air"], "air", AIR_KEYS)
    if "surface_m2" not in given:
        raise InputError("surface_m2", "is missing: air needs it")
    for name in AIR_KEYS[:2]:
        if name not in table:
            raise InputError(f"air.{name}", "is missing")
    people = None
    if "people" in table:
        people = number_field(table["people"], "air.people", 0, 1e5)
    surface = number_field(given["surface_m2"], "surface_m2", 0.01, 1e6)
    return Room(
        surface,
        volume_m3 / surface,
        water_c,
        number_field(table["temperature_c"], "air.temperature_c", -20, 50),
        number_field(table["relative_humidity_percent"], "air.relative_humidity_percent", 1, 100),
        people,
    )


def describe_evaporation(plant: tuple[float, ...], room: Room) -> dict[str, Any]:
    """Give what evaporates, by every form, and from the least of them to the most.

    Parameters
    ----------
    plant : tuple of float
        The flat tuple of the plant's table.
    room : Room
        As read.

    Returns
    -------
    dict
        `forms` in kg/(m2 h), and the range in kg/(m2 h) and m3/day. Without `people` the form
        that counts them is null.
    """
    place = (room.water_c, room.air_c, room.humidity_percent)
    still_quiet, still_public, unused, public = transferred_evaporation(plant, *place, room.depth_m)
    occupied = None
    if room.people is not None:
        occupied = used_evaporation(plant, *place, room.people / room.surface_m2)
    rates = (
        quiet_evaporation(plant, *place)[0],
        still_quiet,
        unused,
        occupied,
        still_public,
        public,
    )
    known = [rate for rate in rates if rate is not None]
    scale = room.surface_m2 * HOURS_A_DAY / LITRES_A_M3
    return {
        "forms": [
            {"id": id_, "words": words, "people_in_it": people, "kg_m2_h": rate}
            for (id_, words, people), rate in zip(FORMS, rates, strict=True)
        ],
        "low_kg_m2_h": min(known),
        "high_kg_m2_h": max(known),
        "low_m3_day": min(known) * scale,
        "high_m3_day": max(known) * scale,
    }


def evaporation_findings(room: Room) -> list[Finding]:
    """Say how far an estimate of evaporation goes.

    Parameters
    ----------
    room : Room
        As read.
    """
    what = "" if room.people is not None else " People in the water are not told."
    return [
        finding(
            "evaporation-is-an-estimate",
            "air",
            "The forms are for indoor pools and differ by a factor of four or more; some stand here"
            f" from memory. Wind, features and a cover change it further.{what}",
            "Read the fresh-water meter over some days: that is the number to go by.",
        )
    ]
