"""Entries for tests."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.records.entries import Entry, canonical, digest
from lanewater.records.signing import DeviceKey, make_key, sign

KEY = make_key()
BODY = {"pool": "main", "about": "x", "whom": "y"}


def entry(
    kind: str = "told",
    body: Mapping[str, Any] = BODY,
    *,
    number: int = 1,
    dprev: str = "",
    key: DeviceKey = KEY,
    **changes: Any,
) -> Entry:
    """Give an entry of a device, the first one unless said."""
    fields: dict[str, Any] = {
        "id": f"01a212e6-893f-7a4b-a9c7-{number:012x}",
        "site": "baths",
        "dev": key.device,
        "dseq": number,
        "dprev": dprev,
        "type": kind,
        "at": "2026-07-01T09:51:00.000Z",
        "rec": "2026-07-01T09:51:00.000Z",
        "off": -240,
        "tz": "America/Toronto",
        "clk": {"offset_ms": 0, "rtt_ms": 0, "age_s": 0},
        "seen": {"size": 0, "root": ""},
        "user": "p-1",
        "auth": {"method": "pin", "verified": True},
        "body": body,
    }
    return Entry(**(fields | changes))


def chain(length: int, key: DeviceKey = KEY) -> list[tuple[Entry, bytes, bytes]]:
    """Give a device's first entries with their bytes and signatures."""
    found: list[tuple[Entry, bytes, bytes]] = []
    dprev = ""
    for number in range(1, length + 1):
        made = entry(number=number, dprev=dprev, key=key)
        raw = canonical(made)
        found.append((made, raw, sign(key, raw)))
        dprev = digest(raw)
    return found
