"""Which readings of a case stand: those that can be read, and not those a dilution replaced."""

from typing import Any

from lanewater.kernel.deciding.tries import WORDED, legible, relation_in


def replaced_by_dilution(readings: list[dict[str, Any]], place: int) -> bool:
    """Tell whether a later diluted reading at the same point replaced an over-range one."""
    first = readings[place]
    if first["parameter"] in WORDED or relation_in(first) != "above":
        return False
    for index in range(place + 1, len(readings)):
        later = readings[index]
        same = later["parameter"] == first["parameter"] and later["point"] == first["point"]
        if same and later["dilution"] > first["dilution"]:
            return True
    return False


def readable(reading: dict[str, Any]) -> bool:
    """Tell whether a reading is a word, or a number that can be read."""
    return reading["parameter"] in WORDED or legible(reading)


def standing_readings(readings: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give the readings that can be judged.

    What cannot be read as a number is left out; a finding says why. Of several readings at one
    point all stand, and the worst is judged: a second try does not make a first one go away.
    Only an over-range reading gives way to a later, more diluted one.
    """
    found = []
    for index in range(len(readings)):
        reading = readings[index]
        if readable(reading) and not replaced_by_dilution(readings, index):
            found.append(reading)
    return found
