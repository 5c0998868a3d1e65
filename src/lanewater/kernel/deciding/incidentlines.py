"""Lines of an incident as they are kept: which speak against an end, and which are let go of."""

from typing import Any

from lanewater.kernel.deciding.incidentkinds import TEST_AFTER
from lanewater.kernel.deciding.incidentsteps import later_line

INCIDENT_LINES = 200


def against_end(row: dict[str, Any]) -> bool:
    """Tell whether a line speaks against an end: it happened again, or a step was taken back."""
    return row.get("what", "") == "again" or row.get("answer", "") == "not-done"


def done_anew(rows: list[dict[str, Any]], row: dict[str, Any]) -> bool:
    """Tell whether a line asks for another test: a step of TEST_AFTER that was done before too."""
    if row.get("step", "") not in TEST_AFTER or row["answer"] != "done":
        return False
    for other in rows:
        if other["step"] == row["step"] and other["answer"] == "done":
            return True
    return False


def may_let_go(rows: list[dict[str, Any]], row: dict[str, Any]) -> bool:
    """Tell whether a line is of no use: nothing against an end, or a later one says the same."""
    if not against_end(row):
        return True
    for other in rows:
        same = against_end(other) and other.get("step", "") == row.get("step", "")
        if same and later_line(other, row):
            return True
    return False


def lines_with(rows: list[dict[str, Any]], row: dict[str, Any]) -> list[dict[str, Any]]:
    """Give rows with one more, the oldest let go of where there are too many.

    What speaks against an end stays, for each step the last of it: to let go of it ends too soon.
    """
    placed = []
    for other in rows:
        placed.append(other)
    placed.append(row)
    over = len(placed) - INCIDENT_LINES
    found = []
    for place in range(len(placed)):
        if over > 0 and place < len(rows) and may_let_go(placed, placed[place]):
            over = over - 1
        else:
            found.append(placed[place])
    return found
