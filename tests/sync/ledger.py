"""A server in memory: the rules of receiving, the tree and the stamps, without a store.

It stands in for the book where very many histories are tried; `shelf.py` drives the book itself.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from tests.sync.device import Replica, written

from lanewater.records.entries import Entry, digest
from lanewater.records.receiving import Ground, Restored, Sealed, Sender, Weighed, weigh
from lanewater.records.signing import ALGORITHM, DeviceKey, sign
from lanewater.records.stamps import Head, make_receipt, make_stamp, origin_of, read_stamp
from lanewater.service.clock import instant_text
from lanewater.service.witness import goes_on_from

POOLS = ("main", "teaching")
# Whose PIN was once proved on every device but the second.
OPENER = "p-opener"


class Killed(Exception):  # noqa: N818 - not an error of the server
    """The server was killed: nobody answers."""


class RolledBack(Exception):  # noqa: N818 - an answer
    """The server says that it was rolled back and takes nothing."""


@dataclass
class Kept:
    """What is on the server's disk."""

    tree: Replica = field(default_factory=Replica)
    heads: dict[str, tuple[int, str]] = field(default_factory=dict)
    raws: dict[str, tuple[int, bytes]] = field(default_factory=dict)
    senders: dict[str, Sender] = field(default_factory=dict)
    evidence: set[tuple[str, str, bytes]] = field(default_factory=set)
    restored: tuple[Restored, ...] = ()

    @property
    def epoch(self) -> int:
        """Give the epoch."""
        return 1 + len(self.restored)

    def copy(self) -> Kept:
        """Give a copy, as a backup is one."""
        tree = Replica(list(self.tree.lines), dict(self.tree.nodes))
        return Kept(
            tree,
            dict(self.heads),
            dict(self.raws),
            dict(self.senders),
            set(self.evidence),
            self.restored,
        )


SET_UP: dict[tuple[str, int], Kept] = {}


class Ledger:
    """The server with its disk, its keys and its clock."""

    def __init__(self, keys: Sequence[DeviceKey], own: DeviceKey, log_key: DeviceKey) -> None:
        self.own = own
        self.device = own.device
        self.key = log_key
        self.stamped: dict[Head, str] = {}
        self.log_key = log_key.public_hex
        self.site = "baths"
        self.kept = Kept()
        self.seen = ""
        self.now_ms = 1_782_899_460_000
        self.kill = ""
        self.trouble = ""
        self.made = 0
        self.first = ""
        self.granted = {key.device for key in keys[:1] + keys[2:]}
        self.set_up(keys)

    def set_up(self, keys: Sequence[DeviceKey]) -> None:
        """Set the site up with its devices; what the same keys made before is taken over."""
        known = SET_UP.get((self.log_key, len(keys)))
        if known is None:
            self.say("site-set-up", {"name": "Baths", "timezone": "America/Toronto"})
            for number, key in enumerate(keys):
                self.kept.senders[key.device] = Sender(key.device, ALGORITHM, key.public_hex)
                body = {"device": key.device, "name": f"T{number}", "kind": "shared"}
                named = {"algorithm": ALGORITHM, "public_key": key.public_hex}
                self.say("device-enrolled", body | named)
            known = SET_UP[self.log_key, len(keys)] = self.kept
        self.kept, self.made = known.copy(), len(known.tree.lines)
        self.first = digest(self.kept.tree.lines[0]["entry"].encode())

    def new_id(self) -> str:
        """Make an id that no other run makes otherwise."""
        self.made += 1
        return f"01a212e6-893f-7a4b-a9c7-{self.made:012x}"

    def head(self) -> Head:
        """Give the head of the log."""
        lines = self.kept.tree.lines
        first = digest(lines[0]["entry"].encode())
        return Head(origin_of(self.site, first, self.kept.epoch), len(lines), self.kept.tree.root())

    def stamp(self) -> str:
        """Stamp the log, and remember the stamp beside it."""
        head = self.head()
        if head not in self.stamped:
            self.stamped[head] = make_stamp(head, self.key)
        self.seen = self.stamped[head]
        return self.seen

    def say(self, kind: str, body: Mapping[str, Any]) -> str:
        """Put an entry of the server's own on record."""
        last, dprev = self.kept.heads.get(self.device, (0, ""))
        size = len(self.kept.tree.lines)
        now = instant_text(self.now_ms)
        entry = Entry(
            id=self.new_id(),
            site=self.site,
            dev=self.device,
            dseq=last + 1,
            dprev=dprev,
            type=kind,
            at=now,
            rec=now,
            off=-240,
            tz="America/Toronto",
            clk={"offset_ms": 0, "rtt_ms": 0, "age_s": 0},
            seen={"size": size, "root": self.kept.tree.root().hex() if size else ""},
            user="unlisted",
            auth={"method": "shell", "verified": False},
            body=body,
        )
        raw = written(entry)
        self.put(entry, raw, sign(self.own, raw))
        return entry.id

    def put(self, entry: Entry, raw: bytes, sig: bytes) -> None:
        """Put an entry on the end of the log."""
        line = {
            "index": len(self.kept.tree.lines),
            "received_at": instant_text(self.now_ms),
            "entry": raw.decode(),
            "sig": sig.hex(),
        }
        self.kept.raws[entry.id] = (line["index"], raw)
        self.kept.tree.add(line)
        self.kept.heads[entry.dev] = (entry.dseq, digest(raw))

    def push(self, device: str, batch: Sequence[tuple[str, str]], held: str) -> dict[str, Any]:
        """Take what a device sends, as service.sync does."""
        if held:
            self.hold_to(held)
        if self.trouble:
            raise RolledBack
        before = self.kept.copy() if self.kill == "before" else None
        outcomes = [self.take(Sealed(*one), self.kept.senders[device]) for one in batch]
        text = self.stamp()
        if before is not None:
            self.kept, self.kill = before, ""
            raise Killed
        if self.kill == "after":
            self.kill = ""
            raise Killed
        number, sha256 = self.kept.heads.get(device, (0, ""))
        return {"outcomes": outcomes, "head": {"dseq": number, "sha256": sha256}, "stamp": text}

    def ground(self, sender: Sender, _sealed: Sealed) -> Ground:
        """Give what an entry is held against."""

        def bytes_of(entry_id: str) -> bytes | None:
            known = self.kept.raws.get(entry_id)
            return None if known is None else known[1]

        return Ground(
            site=self.site,
            size=len(self.kept.tree.lines),
            root_at=lambda size: self.kept.tree.root(size).hex(),
            restored=self.kept.restored,
            head=self.kept.heads.get(sender.device, (0, "")),
            bytes_of=bytes_of,
            object_to=lambda _entry: None,
            proves=lambda entry: entry.dev in self.granted and entry.user == OPENER,
        )

    def take(self, sealed: Sealed, sender: Sender) -> dict[str, Any]:
        """Weigh one entry and do what is to be done with it."""
        found = weigh(sealed, sender, self.ground(sender, sealed))
        if found.outcome == "refused":
            return self.refuse(found, sender.device)
        assert found.entry is not None
        if found.outcome == "record":
            self.put(found.entry, found.raw, found.sig)
        index = self.kept.raws[found.id][0]
        body = {
            "origin": self.head().origin,
            "index": index,
            "leaf": self.kept.tree.node(0, index).hex(),
            "id": found.id,
            "received_at": self.kept.tree.lines[index]["received_at"],
        }
        outcome = "recorded" if found.outcome == "record" else "known"
        receipt = make_receipt(self.key, body)
        return {"id": found.id, "sha256": found.sha256, "outcome": outcome, "receipt": receipt}

    def refuse(self, found: Weighed, device: str) -> dict[str, Any]:
        """Refuse an entry, and keep what may be needed as proof."""
        on_record = self.kept.raws.get(found.id, (0, b""))[1] == found.raw
        if found.cause.kept and not on_record:
            self.kept.evidence.add((device, found.why, found.raw))
        told = {"id": found.id, "sha256": found.sha256, "outcome": "refused", "why": found.why}
        return told | {"again": found.cause.again, "send_from": found.send_from}

    def hold_to(self, text: str) -> None:
        """Hold the log to a stamp that a device holds."""
        head = read_stamp(text).head
        if self.goes_on(head):
            return
        held = read_stamp(self.seen).head if self.seen else None
        if held is None or self.goes_on(held) or held.size < head.size:
            self.seen = text
        self.trouble = "rolled back"

    def goes_on(self, head: Head) -> bool:
        """Tell whether the log goes on from a head."""
        kept = self.kept
        return goes_on_from(head, kept.epoch, kept.restored, len(kept.tree.lines), kept.tree.root)

    def lines(self, _device: str, start: int) -> dict[str, Any]:
        """Give the lines from an index on."""
        if self.trouble:
            raise RolledBack
        return {"stamp": self.stamp(), "lines": self.kept.tree.lines[start:]}

    def revoke(self, device: str) -> None:
        """Revoke a device."""
        key = self.kept.senders[device]
        self.kept.senders[device] = Sender(device, ALGORITHM, key.public_key, revoked=True)
        self.say("device-revoked", {"device": device})

    def backup(self) -> Any:
        """Copy what is on disk, and the stamp beside it."""
        return self.kept.copy(), self.seen

    def restore(self, copy: Any, *, whole: bool) -> None:
        """Put a copy back; whole: with the stamp that lay beside it, so that nothing is noticed."""
        self.kept, seen = copy[0].copy(), copy[1]
        if whole:
            self.seen = seen
        self.trouble = ""
        if self.seen and not self.goes_on(read_stamp(self.seen).head):
            self.trouble = "rolled back"

    def accept(self) -> None:
        """Go on from the older copy, owning up to what was seen."""
        held = read_stamp(self.seen).head
        size, root = len(self.kept.tree.lines), self.kept.tree.root().hex()
        body = {"size": size, "root": root, "held_size": held.size, "held_root": held.root.hex()}
        self.say("record-restored", body)
        known = Restored(size, held.size, held.root.hex())
        self.kept.restored = (*self.kept.restored, known)
        self.trouble = ""
        self.stamp()

    def restart(self) -> None:
        """Start again from disk."""

    def evidence(self) -> set[tuple[str, str, bytes]]:
        """Give what was refused and kept."""
        return self.kept.evidence

    def on_record(self) -> list[Mapping[str, Any]]:
        """Give every line."""
        return self.kept.tree.lines

    def decided(self) -> Any:
        """Give what the server itself makes of the record; nothing here."""
        return None

    def close(self) -> None:
        """Give back what it holds."""
