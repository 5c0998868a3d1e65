"""Rows in order: one more put where its time belongs, and all of them the other way round."""

from typing import Any


def placed_by(rows: list[dict[str, Any]], row: dict[str, Any], key: str) -> list[dict[str, Any]]:
    """Put a row where it belongs by one of its numbers, after others of the same.

    Parameters
    ----------
    rows : list of dict
        In that order; left as they are.
    row : dict
        One more.
    key : str
        What they are in the order of.
    """
    found = []
    placed = False
    for other in rows:
        if not placed and other[key] > row[key]:
            found.append(row)
            placed = True
        found.append(other)
    if not placed:
        found.append(row)
    return found


def turned_round(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give rows the other way round."""
    found = []
    place = len(rows) - 1
    while place >= 0:
        found.append(rows[place])
        place = place - 1
    return found
