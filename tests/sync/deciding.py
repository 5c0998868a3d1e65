"""How the pools stand by the lines of a copy: the kernel's word, from nothing but the lines."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from lanewater.kernel.deciding.openings import opening_of_all
from lanewater.service.clock import known_instant

KINDS = {"pool-opened": "opened", "everyone-out": "stop", "opening-settled": "settled"}


def items_of(lines: Sequence[Mapping[str, Any]]) -> dict[str, list[dict[str, Any]]]:
    """Give every word on each pool, in the order of the lines, as the kernel takes it."""
    items: dict[str, list[dict[str, Any]]] = {}
    for line in lines:
        if "entry" not in line:
            continue
        entry = json.loads(line["entry"])
        kind = KINDS.get(entry["type"], "")
        if entry["type"] == "pool-closed":
            kind = entry["body"]["kind"]
        if kind:
            item = item_of(entry, kind, line)
            items.setdefault(entry["body"]["pool"], []).append(item)
    return items


def decide(lines: Sequence[Mapping[str, Any]]) -> dict[str, tuple[str, int, str]]:
    """Give for each pool how it stands, how many contradictions wait, and by which entry."""
    found = {}
    for pool, known in sorted(items_of(lines).items()):
        told = opening_of_all(known)
        found[pool] = (told["status"], len(told["conflicts"]), told["entry"])
    return found


def conflicts_in(lines: Sequence[Mapping[str, Any]]) -> dict[str, list[str]]:
    """Give for each pool that is in dispute the entries that contradict each other."""
    found = {}
    for pool, known in items_of(lines).items():
        pairs = opening_of_all(known)["conflicts"]
        if pairs:
            found[pool] = sorted({side["id"] for pair in pairs for side in pair})
    return found


def unheard_closings(lines: Sequence[Mapping[str, Any]], pool: str) -> list[str]:
    """Give the closings of a pool that nobody knew of who opened it; written without the kernel."""
    known = items_of(lines).get(pool, [])
    openers = [one for one in known if one["kind"] == "opened" or settles_to(one, "open")]
    return [
        one["id"]
        for one in known
        if (one["kind"] in ("closed", "shut", "stop") or settles_to(one, "closed"))
        and not any(
            opener["index"] > one["index"]
            and (opener["device"] == one["device"] or opener["seen_size"] > one["index"])
            for opener in openers
        )
    ]


def settles_to(item: Mapping[str, Any], status: str) -> bool:
    """Tell whether an item settles a pool so, by somebody who was proved."""
    return item["kind"] == "settled" and item["proved"] and item["status"] == status


def item_of(entry: Mapping[str, Any], kind: str, line: Mapping[str, Any]) -> dict[str, Any]:
    """Give one word on a pool as the kernel takes it."""
    settled = kind == "settled"
    return {
        "index": line["index"],
        "id": entry["id"],
        "kind": kind,
        "device": entry["dev"],
        "seen_size": entry["seen"]["size"],
        "at": known_instant(min(entry["at"], line["received_at"])),
        "status": entry["body"]["status"] if settled else "",
        "names": entry["body"]["entries"] if settled else [],
        "proved": settled and entry["auth"]["method"] == "pin",
    }
