"""How the pools stand by the lines of a copy: the kernel's word, from nothing but the lines."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from lanewater.kernel.deciding.openings import opening_of_all
from lanewater.service.clock import known_instant

KINDS = {"pool-opened": "opened", "everyone-out": "stop"}


def decide(lines: Sequence[Mapping[str, Any]]) -> dict[str, tuple[str, int, str]]:
    """Give for each pool how it stands, how many contradictions wait, and by which entry."""
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
    found = {}
    for pool, known in sorted(items.items()):
        told = opening_of_all(known)
        found[pool] = (told["status"], len(told["conflicts"]), told["entry"])
    return found


def item_of(entry: Mapping[str, Any], kind: str, line: Mapping[str, Any]) -> dict[str, Any]:
    """Give one word on a pool as the kernel takes it."""
    return {
        "index": line["index"],
        "id": entry["id"],
        "kind": kind,
        "device": entry["dev"],
        "seen_size": entry["seen"]["size"],
        "at": known_instant(min(entry["at"], line["received_at"])),
        "status": "",
        "names": [],
        "proved": False,
    }
