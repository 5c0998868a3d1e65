"""Free and total put into each other's place: an exchange is no repeat.

Where free as it was first typed fails the rules by itself, exchanging the two does not make it
pass; only testing again does.
"""

from typing import Any

from lanewater.kernel.deciding.tries import last_tries, number_of, relation_in


def pair_at(readings: list[dict[str, Any]], point: str) -> list[dict[str, Any]]:
    """Give the last free and the last total at a point, in this order; fewer where one is not."""
    found = []
    for parameter in ["free_chlorine", "total_chlorine"]:
        for reading in last_tries(readings, parameter):
            if reading["point"] == point:
                found.append(reading)
    return found


def same_number(one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Tell whether two readings say the same number, over and under range apart."""
    return number_of(one) == number_of(other) and relation_in(one) == relation_in(other)


def exchanged(first: list[dict[str, Any]], readings: list[dict[str, Any]]) -> bool:
    """Tell whether free and total of a point changed places since they were first typed.

    Parameters
    ----------
    first, readings : list of dict
        Readings in normal form, as they were first typed and as they stand.
    """
    for free in last_tries(first, "free_chlorine"):
        before = pair_at(first, free["point"])
        after = pair_at(readings, free["point"])
        if len(before) == 2 and len(after) == 2 and not same_number(before[0], before[1]):
            if same_number(before[0], after[1]) and same_number(before[1], after[0]):
                return True
    return False


def without_total(case: dict[str, Any]) -> dict[str, Any]:
    """Give a case in which no total casts doubt on its free reading."""
    found = {}
    for key, value in case.items():
        found[key] = value
    kept = []
    for reading in case["readings"]:
        if reading["parameter"] != "total_chlorine":
            kept.append(reading)
    found["readings"] = kept
    return found
