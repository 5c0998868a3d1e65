"""Histories of a pool's openings and closings, and a second way to say how the pool stands.

The second way sees a whole history at once, through who knew of whom; it shares no code with the
kernel, which goes through it item by item.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from random import Random
from typing import Any

Item = dict[str, Any]
KINDS = ("opened", "closed", "shut", "stop", "settled-open", "settled-closed", "settled-unproved")
SERVER = "server"
DEVICES = (SERVER, "tablet-a", "tablet-b")


def item(
    index: int, kind: str, device: str, seen: int, at: int = 0, names: tuple[str, ...] = ()
) -> Item:
    """Make one item; the server has always seen all that stands before."""
    kind, _, status = kind.partition("-")
    return {
        "index": index,
        "id": f"e{index}",
        "kind": kind,
        "device": device,
        "seen_size": index if device == SERVER else seen,
        "at": at,
        "status": "open" if status == "unproved" else status,
        "names": list(names) if kind == "settled" else [],
        "proved": status in ("open", "closed"),
    }


def every_history(length: int) -> Iterator[list[Item]]:
    """Give every history of a length: each kind by each device at each state of knowledge."""
    places = [
        [
            (kind, device, seen)
            for kind in KINDS
            for device in DEVICES
            for seen in (range(index + 1) if device != SERVER else (index,))
        ]
        for index in range(length)
    ]
    for row in product(*places):
        yield [
            item(index, kind, device, seen, names=tuple(f"e{n}" for n in range(index)))
            for index, (kind, device, seen) in enumerate(row)
        ]


def random_history(draw: Random, most: int = 12) -> list[Item]:
    """Give a history by the server and four tablets, of any knowledge and any claimed times."""
    found: list[Item] = []
    for index in range(draw.randint(1, most)):
        device = draw.choice([*DEVICES, "tablet-c", "tablet-d"])
        kind = draw.choice(KINDS)
        named = tuple(each["id"] for each in found if draw.random() < 0.7)
        made = item(index, kind, device, draw.randint(0, index), draw.randint(0, 5), named)
        found.append(made)
    return found


def knew(later: Item, earlier: Item) -> bool:
    """Tell whether the later of two knew of the earlier."""
    seen = later["device"] == earlier["device"] or earlier["index"] < later["seen_size"]
    return bool(later["index"] > earlier["index"] and seen)


def says(given: Item) -> str:
    """Give what an item says of the pool: open, closed or nothing."""
    if given["kind"] == "settled":
        return "" if given["status"] == "open" and not given["proved"] else str(given["status"])
    return "open" if given["kind"] == "opened" else "closed"


def conflicts_of(history: list[Item]) -> set[tuple[str, str]]:
    """Give the openings and closings that knew nothing of each other and nobody settled."""
    closings = [each for each in history if says(each) == "closed"]
    found = set()
    for opened, closed in product(history, closings):
        if says(opened) != "open" or knew(opened, closed) or knew(closed, opened):
            continue
        withdrawn = any(knew(other, opened) and not knew(other, closed) for other in closings)
        settled = any(
            other["kind"] == "settled"
            and other["proved"]
            and {opened["id"], closed["id"]} <= set(other["names"])
            for other in history
        )
        if not withdrawn and not settled:
            found.add((opened["id"], closed["id"]))
    return found


def front_of(history: list[Item]) -> list[Item]:
    """Give what no later item knew of; a house stop leaves closings where they are."""
    said = [each for each in history if says(each)]
    return [
        each
        for each in said
        if not any(
            knew(other, each) and not (other["kind"] == "stop" and says(each) == "closed")
            for other in said
        )
    ]


def is_open(history: list[Item]) -> bool:
    """Tell whether a pool is open: all that stands says so, and nothing contradicts it."""
    front = front_of(history)
    return bool(front) and all(map(opens, front)) and not conflicts_of(history)


def opens(given: Item) -> bool:
    """Tell whether an item says open."""
    return says(given) == "open"


def faults_of(standing: Any, history: list[Item]) -> list[str]:
    """Give what is wrong with how a function says that a pool stands."""
    said = standing(history)
    found = []
    if (said["status"] == "open") != is_open(history):
        found.append(f"says {said['status']!r}")
    pairs = {(opened["id"], closed["id"]) for opened, closed in said["conflicts"]}
    if pairs != conflicts_of(history):
        found.append(f"conflicts {sorted(pairs)}")
    if {each["id"] for each in said["front"]} != {each["id"] for each in front_of(history)}:
        found.append("front")
    if bool(said["status"]) != any(says(each) for each in history):
        found.append("a word where nothing was said, or none where something was")
    return found


def swapped(history: list[Item], place: int) -> list[Item] | None:
    """Give a history with two neighbours in the other order; None where that says another thing.

    They may not know of each other or name each other, and nobody after them may know of one alone.
    """
    first, second = history[place], history[place + 1]
    known_alone = any(each["seen_size"] == second["index"] for each in history[place + 2 :])
    if knew(second, first) or first["id"] in second["names"] or known_alone:
        return None
    return exchange(history, place)


def exchange(history: list[Item], place: int) -> list[Item]:
    """Put two neighbours in the other order; each keeps what it knew and what it is called."""
    first, second = history[place], history[place + 1]
    return [
        *history[:place],
        second | {"index": first["index"]},
        first | {"index": second["index"]},
        *history[place + 2 :],
    ]
