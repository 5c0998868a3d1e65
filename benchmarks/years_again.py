"""Lengthen a record by living its first year again and again: ten years of lines in minutes.

Run with: .venv/bin/python benchmarks/years_again.py FOLDER [--years 10]

The first year is made by the real commands (ten_years.py --years 1). Each further year says the
same again 364 days later, with new ids, signed anew, chained and grown on the tree; what judged was
judged in the first year. The rows go into the store in bulk, under its guards; hold the result to
the verifier before anything is measured on it.
"""

from __future__ import annotations

import argparse
import json
import sqlite3
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from lanewater.records.entries import Entry, canonical, digest, read
from lanewater.records.signing import DeviceKey, key_from, sign
from lanewater.records.stamps import Head, make_stamp, origin_of
from lanewater.records.store.growing import place_of
from lanewater.records.tree import completed, leaf_data, leaf_hash, root
from lanewater.service.book import new_id
from lanewater.service.clock import DAY_MS, instant_text, known_instant
from lanewater.service.stamping import STAMP_EVERY_MS

YEAR_MS = 364 * DAY_MS
AT_ONCE = 2000
NOT_AGAIN = (
    "site-set-up",
    "rules-chosen",
    "pool-set-up",
    "circuit-set-up",
    "kit-registered",
    "person-added",
    "device-enrolled",
    "log-key-named",
)
DAYS = ("expires_on", "on", "until", "from")
NAMES = ("round", "about", "addition", "advice")
CHECKED = 500


@dataclass(slots=True)
class Growing:
    """The end of the record as it grows.

    Attributes
    ----------
    keys : dict
        The device keys, by device.
    heads : dict
        The last (dseq, hash) of each device.
    nodes : dict
        The tree's hashes by (level, position).
    size : int
        How many lines.
    """

    site: str
    origin: str
    log_key: DeviceKey
    keys: dict[str, DeviceKey]
    heads: dict[str, tuple[int, str]]
    nodes: dict[tuple[int, int], bytes]
    size: int
    stamped_ms: int = 0
    rows: dict[str, list[tuple[Any, ...]]] = field(default_factory=dict)

    def node(self, level: int, position: int) -> bytes:
        """Give a node of the tree."""
        return self.nodes[level, position]

    def put(self, table: str, row: Sequence[Any]) -> None:
        """Keep a row until the next writing."""
        self.rows.setdefault(table, []).append(tuple(row))


def bytes_of(entry: Entry, number: int) -> bytes:
    """Write an entry; now and then by the program's own writer, to be the same to the byte."""
    content = {
        name: getattr(entry, name) for name in Entry.__slots__ if getattr(entry, name) is not None
    }
    raw = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()
    if number % CHECKED == 0 and raw != canonical(entry):
        raise ValueError(f"line {number} is not written in its one form")
    return raw


def append(growing: Growing, entry: Entry, received_ms: int) -> None:
    """Put an entry on the end, as the store does."""
    dseq, dprev = growing.heads[entry.dev]
    seen = {"size": growing.size, "root": root(growing.size, growing.node).hex()}
    entry = replace(entry, dseq=dseq + 1, dprev=dprev, seen=seen)
    raw = bytes_of(entry, growing.size)
    signature = sign(growing.keys[entry.dev], raw)
    sha256, received_at = digest(raw), instant_text(received_ms)
    row = (growing.size + 1, growing.site, growing.size, entry.id, entry.dev, entry.dseq)
    growing.put("entry", (*row, entry.type, received_at, sha256, raw, signature))
    place = place_of(entry, growing.size, received_at)
    growing.put("claimed", place.values())
    leaf = leaf_hash(leaf_data(growing.size, received_at, sha256, signature.hex()))
    for level, position, value in completed(growing.size, leaf, growing.node):
        growing.nodes[level, position] = value
        growing.put("tree_node", (growing.site, level, position, value))
    growing.heads[entry.dev] = (entry.dseq, sha256)
    growing.size += 1
    if received_ms - growing.stamped_ms >= STAMP_EVERY_MS:
        head = Head(growing.origin, growing.size, root(growing.size, growing.node))
        text = make_stamp(head, growing.log_key)
        growing.put("stamp", (growing.site, head.size, head.root, text, received_at))
        growing.stamped_ms = received_ms


def again(entry: Entry, ids: dict[str, str], later_ms: int) -> Entry:
    """Say the same later, about the new ones."""
    at_ms, rec_ms = known_instant(entry.at) + later_ms, known_instant(entry.rec) + later_ms
    body = {
        key: ids.get(value, value) if key in NAMES else later(key, value, later_ms)
        for key, value in entry.body.items()
    }
    ids[entry.id] = new_id(rec_ms)
    amends = ids.get(entry.amends, entry.amends) if entry.amends else None
    times = {"at": instant_text(at_ms), "rec": instant_text(rec_ms)}
    return replace(entry, id=ids[entry.id], body=body, amends=amends, **times)


def later(key: str, value: Any, later_ms: int) -> Any:
    """Put off the days until which something holds."""
    if isinstance(value, dict):
        return {name: later(name, item, later_ms) for name, item in value.items()}
    if isinstance(value, list):
        return [later(key, item, later_ms) for item in value]
    if key in DAYS:
        return (date.fromisoformat(value) + timedelta(milliseconds=later_ms)).isoformat()
    return value


def source(store: sqlite3.Connection) -> Iterator[tuple[int, Entry]]:
    """Give what is said again, each with when it was received: the first year's own lines."""
    rows = store.execute("SELECT received_at, bytes FROM entry ORDER BY seq").fetchall()
    first_ms = known_instant(rows[0][0])
    for received_at, raw in rows:
        entry = read(raw)
        received_ms = known_instant(received_at)
        if entry.type not in NOT_AGAIN and received_ms < first_ms + YEAR_MS:
            yield received_ms, entry


def begin(store: sqlite3.Connection, folder: Path) -> Growing:
    """Read the end of the record."""
    site, first_hash = store.execute("SELECT site, hash FROM entry WHERE log_index = 0").fetchone()
    heads = {
        dev: (dseq, sha256)
        for dev, dseq, sha256 in store.execute(
            "SELECT dev, max(dseq), hash FROM entry GROUP BY dev"
        )
    }
    keys = {path.stem: key_from(path.read_bytes()) for path in (folder / "keys").glob("*.key")}
    nodes = {
        (level, position): value
        for level, position, value in store.execute("SELECT level, position, hash FROM tree_node")
    }
    size = store.execute("SELECT count(*) FROM entry").fetchone()[0]
    devices = {key.device: key for key in keys.values()}
    origin = origin_of(site, first_hash, 1)
    return Growing(site, origin, keys["log"], devices, heads, nodes, size)


def write(store: sqlite3.Connection, growing: Growing) -> None:
    """Write what is kept, in one transaction."""
    store.execute("BEGIN IMMEDIATE")
    for table, rows in growing.rows.items():
        marks = ",".join("?" * len(rows[0]))
        store.executemany(f"INSERT INTO {table} VALUES ({marks})", rows)  # noqa: S608 - own names
    store.execute("COMMIT")
    growing.rows.clear()


def lengthen(folder: Path, years: float) -> dict[str, int]:
    """Lengthen the record in a folder; give how many lines and rounds it has then."""
    store = sqlite3.connect(folder / "lanewater.db", isolation_level=None)
    growing = begin(store, folder)
    lines = list(source(store))
    first_ms = known_instant(store.execute("SELECT received_at FROM entry").fetchone()[0])
    held = store.execute("SELECT max(received_at) FROM entry").fetchone()[0]
    end_ms, turn = first_ms + round(years * 365) * DAY_MS, 0
    while turn == 0 or first_ms + turn * YEAR_MS < end_ms:
        turn += 1
        ids: dict[str, str] = {}
        for received_ms, entry in lines:
            moved_ms = received_ms + turn * YEAR_MS
            if known_instant(held) < moved_ms < end_ms:
                append(growing, again(entry, ids, turn * YEAR_MS), moved_ms)
            if len(growing.rows.get("entry", ())) >= AT_ONCE:
                write(store, growing)
    if growing.rows:
        write(store, growing)
    rounds = store.execute("SELECT count(*) FROM entry WHERE type = 'round-recorded'").fetchone()[0]
    store.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
    store.close()
    (folder / "seen.txt").unlink(missing_ok=True)
    return {"lines": growing.size, "rounds": rounds}


def main() -> None:
    """Lengthen it and say how long it is."""
    parser = argparse.ArgumentParser(description="Live the first year again and again.")
    parser.add_argument("folder", type=Path, nargs="?", help="nothing is done where left out")
    parser.add_argument("--years", type=float, default=10)
    given = parser.parse_args()
    if given.folder is None:
        parser.print_usage()
        return
    start = time.process_time()
    made = lengthen(given.folder, given.years)
    sys.stdout.write(json.dumps(made | {"cpu_s": round(time.process_time() - start, 1)}) + "\n")


if __name__ == "__main__":
    main()
