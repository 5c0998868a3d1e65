"""How a pool stands where several devices wrote of it, some without knowing of each other.

An item is one entry on a pool's state: {"index", "id", "kind": opened, closed, shut, stop (a house
stop) or settled, "device", "seen_size": how many entries of the record its writer had seen, "at",
"status": open or closed of a settlement, else "", "names": ids that a settlement names,
"proved": whether the person who settles was proved}. Nothing is dropped, and whichever arrived
first decides nothing: a closing beats an opening that did not know of it until somebody settles it.
"""

from typing import Any

CLOSING_RANKS = {"closed": 0, "settled": 0, "shut": 1, "stop": 2}


def knows_of(later: dict[str, Any], earlier: dict[str, Any]) -> bool:
    """Tell whether the writer of an item knew of another that stands before it in the record."""
    if later["index"] <= earlier["index"]:
        return False
    return later["device"] == earlier["device"] or later["seen_size"] > earlier["index"]


def opens_pool(item: dict[str, Any]) -> bool:
    """Tell whether an item says that a pool is open; an unproved settlement says nothing."""
    if item["kind"] == "settled":
        return item["status"] == "open" and item["proved"] is True
    return item["kind"] == "opened"


def closes_pool(item: dict[str, Any]) -> bool:
    """Tell whether an item says that a pool is not open, for whatever cause."""
    if item["kind"] == "settled":
        return item["status"] == "closed"
    return item["kind"] in CLOSING_RANKS


def withdrawn_unaware(
    opened: dict[str, Any], closed: dict[str, Any], items: list[dict[str, Any]]
) -> bool:
    """Tell whether an opening was ended by a closing of its own side, which knew of no other.

    Then the closing that it did not know of contradicts nothing any more: both sides closed.
    """
    for item in items:
        if closes_pool(item) and knows_of(item, opened) and not knows_of(item, closed):
            return True
    return False


def settles_pair(item: dict[str, Any], opened: dict[str, Any], closed: dict[str, Any]) -> bool:
    """Tell whether an item settles an opening and a closing: it names both, and was proved."""
    if item["kind"] != "settled" or item["proved"] is not True:
        return False
    return opened["id"] in item["names"] and closed["id"] in item["names"]


def pairs_left(
    pairs: list[list[dict[str, Any]]], item: dict[str, Any]
) -> list[list[dict[str, Any]]]:
    """Give the pairs of an opening and a closing that an item leaves in conflict."""
    found = []
    for pair in pairs:
        opened, closed = pair[0], pair[1]
        if not settles_pair(item, opened, closed) and not withdrawn_unaware(opened, closed, [item]):
            found.append(pair)
    return found


def pairs_made(items: list[dict[str, Any]], item: dict[str, Any]) -> list[list[dict[str, Any]]]:
    """Give the pairs that an item makes with what its writer did not know of."""
    found: list[list[dict[str, Any]]] = []
    place = len(items) - 1
    while place >= 0 and items[place]["index"] >= item["seen_size"]:
        other = items[place]
        place = place - 1
        if knows_of(item, other):
            continue
        if opens_pool(item) and closes_pool(other):
            found.append([item, other])
        elif closes_pool(item) and opens_pool(other) and not withdrawn_unaware(other, item, items):
            found.append([other, item])
    return found


def front_after(front: list[dict[str, Any]], item: dict[str, Any]) -> list[dict[str, Any]]:
    """Give the items that no later one knew of, an item taken in.

    A house stop takes the place of openings only: why a pool was closed before is still so.
    """
    if not opens_pool(item) and not closes_pool(item):
        return front
    found = []
    for other in front:
        replaced = knows_of(item, other) and (item["kind"] != "stop" or opens_pool(other))
        if not replaced:
            found.append(other)
    found.append(item)
    return found


def comes_before(first: dict[str, Any], second: dict[str, Any]) -> bool:
    """Tell which of two closings is told first: by cause, then the earlier; never by arrival."""
    one = (CLOSING_RANKS[first["kind"]], first["at"])
    other = (CLOSING_RANKS[second["kind"]], second["at"])
    if one[0] != other[0]:
        return one[0] < other[0]
    if one[1] != other[1]:
        return one[1] < other[1]
    return first["id"] < second["id"]


def telling_closing(
    front: list[dict[str, Any]], pairs: list[list[dict[str, Any]]]
) -> dict[str, Any] | None:
    """Give the closing that a pool stands by, None where none does."""
    found: dict[str, Any] | None = None
    for item in front:
        if closes_pool(item) and (found is None or comes_before(item, found)):
            found = item
    if found is not None:
        return found
    for pair in pairs:
        if found is None or comes_before(pair[1], found):
            found = pair[1]
    return found


def telling_opening(front: list[dict[str, Any]]) -> dict[str, Any]:
    """Give the opening that a pool stands by: the latest; never by arrival."""
    found = front[0]
    for item in front:
        later = item["at"] > found["at"]
        if later or (item["at"] == found["at"] and item["id"] > found["id"]):
            found = item
    return found


def opening_after(
    known: dict[str, Any], items: list[dict[str, Any]], item: dict[str, Any]
) -> dict[str, Any]:
    """Give how a pool stands once one more item is taken in.

    Parameters
    ----------
    known : dict
        How it stood before, as this function gives it; at first as for no items.
    items : list of dict
        All items of the pool before this one, in the order of the record.
    item : dict
        The next one.

    Returns
    -------
    dict
        {"status": open, closed, shut or "", "entry": the id that it stands by, "front": items that
        no later one knew of, "conflicts": pairs [opening, closing] that nobody has settled}.
    """
    pairs = pairs_left(known["conflicts"], item)
    for pair in pairs_made(items, item):
        pairs.append(pair)
    front = front_after(known["front"], item)
    closing = telling_closing(front, pairs)
    status = ""
    entry = ""
    if closing is not None:
        status = "shut" if closing["kind"] == "shut" else "closed"
        entry = closing["id"]
    elif len(front) > 0:
        status = "open"
        entry = telling_opening(front)["id"]
    return {"status": status, "entry": entry, "front": front, "conflicts": pairs}


def opening_of_all(items: list[dict[str, Any]]) -> dict[str, Any]:
    """Give how a pool stands by all items on its state, in the order of the record."""
    known: dict[str, Any] = {"status": "", "entry": "", "front": [], "conflicts": []}
    before: list[dict[str, Any]] = []
    for item in items:
        known = opening_after(known, before, item)
        before.append(item)
    return known
