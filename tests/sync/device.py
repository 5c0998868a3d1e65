"""A device that signs for itself and sends later: the model that a tablet's program is held to.

It keeps every byte it ever signed, and believes nothing about its own sequence but what the server
says of its head. What the server has not taken is signed anew where its place changed; the id and
the times stay as they were when the fact was made. So does the head that was seen, unless a record
that was followed refuses it: then the fact claims only what the two histories begin with alike.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from typing import Any

from lanewater.records.entries import FIELDS, Entry, digest, signed_message
from lanewater.records.receiving import BY_PIN
from lanewater.records.signing import DeviceKey, ed25519_holds, sign
from lanewater.records.stamps import Head, read_stamp, receipt_holds, stamp_holds
from lanewater.records.tree import completed, leaf_data, leaf_hash, root
from lanewater.service.clock import instant_text

MOST_SENT = 200


# Every device looks at the same lines and stamps; each is worked out once.
@lru_cache(maxsize=4096)
def leaf_of(index: int, received_at: str, sha256: str, sig: str) -> bytes:
    """Give the leaf of a line."""
    return leaf_hash(leaf_data(index, received_at, sha256, sig))


@lru_cache(maxsize=4096)
def head_of(text: str, log_key: str) -> Head:
    """Read a stamp that the log's key signed."""
    stamp = read_stamp(text)
    if not stamp_holds(stamp, log_key, stamp.head.name):
        raise ValueError("a stamp that does not hold")
    return stamp.head


def written(entry: Entry) -> bytes:
    """Write an entry as a browser does: within the profile any sorter gives its one form.

    The server holds it to that form; nothing here does.
    """
    said = {name: getattr(entry, name) for name in FIELDS}
    kept = {name: value for name, value in said.items() if value is not None}
    text = json.dumps(kept, ensure_ascii=False, separators=(",", ":"), sort_keys=True)
    return text.encode()


@dataclass(frozen=True)
class Signed:
    """One fact with its place in the device's sequence."""

    entry: Entry
    raw: bytes
    sig: bytes
    sha256: str


@dataclass
class Replica:
    """A copy of the record's lines, with its tree."""

    lines: list[Mapping[str, Any]] = field(default_factory=list)
    nodes: dict[tuple[int, int], bytes] = field(default_factory=dict)

    def add(self, line: Mapping[str, Any]) -> None:
        """Put one line on the end."""
        index = len(self.lines)
        if line["index"] != index:
            raise ValueError(f"line {line['index']} where {index} is wanted")
        sha256 = line.get("sha256") or digest(line["entry"].encode())
        leaf = leaf_of(index, line["received_at"], sha256, line["sig"])
        for level, position, value in completed(index, leaf, self.node):
            self.nodes[level, position] = value
        self.lines.append(line)

    def node(self, level: int, position: int) -> bytes:
        """Give a node of the tree."""
        return self.nodes[level, position]

    def root(self, size: int | None = None) -> bytes:
        """Give the root over the first lines, or all."""
        return root(len(self.lines) if size is None else size, self.node)

    def alike(self, other: Replica) -> int:
        """Tell with how many lines both begin alike."""
        most = min(len(self.lines), len(other.lines))
        same = (self.node(0, index) == other.node(0, index) for index in range(most))
        return next((index for index, one in enumerate(same) if not one), most)


@dataclass
class Device:
    """One device with what it keeps."""

    key: DeviceKey
    site: str
    log_key: str
    events: Counter[str] = field(default_factory=Counter)
    facts: dict[str, Entry] = field(default_factory=dict)
    chain: list[Signed] = field(default_factory=list)
    versions: dict[str, Signed] = field(default_factory=dict)
    done: int = 0
    receipts: dict[str, Mapping[str, Any]] = field(default_factory=dict)
    aside: dict[str, str] = field(default_factory=dict)
    replica: Replica = field(default_factory=Replica)
    lost: list[Mapping[str, Any]] = field(default_factory=list)
    shared: dict[str, int] = field(default_factory=dict)
    held: Head | None = None
    held_text: str = ""
    trouble: str = ""
    revoked: bool = False
    recopy: bool = False
    unknown_head: str = ""

    @cached_property
    def device(self) -> str:
        """Give its id."""
        return self.key.device

    def write(
        self, entry_id: str, kind: str, body: Mapping[str, Any], at_ms: int, **more: Any
    ) -> Entry:
        """Make a fact and sign it at the end of the sequence; it is durable when this returns.

        By nobody in particular, unless `user` is given: then this device checked their PIN. Made
        when it happened, unless `rec_ms` says later.
        """
        rec_ms = more.pop("rec_ms", at_ms)
        held = self.held
        by_pin = {"method": "pin", "verified": False, "through": self.device}
        said = {"auth": by_pin if "user" in more else {"method": "device", "verified": False}}
        clock = {"offset_ms": 0, "rtt_ms": 0, "age_s": 0}
        said |= {"user": "unlisted", "clk": clock} | more
        fact = Entry(
            id=entry_id,
            site=self.site,
            dev=self.device,
            dseq=1,
            dprev="",
            type=kind,
            at=instant_text(at_ms),
            rec=instant_text(rec_ms),
            off=-240,
            tz="America/Toronto",
            seen={"size": held.size, "root": held.root.hex()} if held else {"size": 0, "root": ""},
            body=body,
            **said,
        )
        self.facts[entry_id] = fact
        self.sign_next(fact)
        return fact

    def sign_next(self, fact: Entry) -> None:
        """Sign a fact right after the last one."""
        last = self.chain[-1] if self.chain else None
        placed = replace(fact, dseq=len(self.chain) + 1, dprev=last.sha256 if last else "")
        raw = written(placed)
        made = Signed(placed, raw, sign(self.key, raw), digest(raw))
        self.versions[made.sha256] = made
        self.chain.append(made)

    def batch(self, most: int = MOST_SENT) -> list[tuple[str, str]]:
        """Give what is to be sent next; a device that knows that it is revoked sends nothing."""
        waiting = [] if self.revoked else self.chain[self.done : self.done + most]
        return [(one.raw.decode(), one.sig.hex()) for one in waiting]

    @property
    def waiting(self) -> int:
        """Give how many facts the server has not taken."""
        return len(self.chain) - self.done

    def take_answer(self, answer: Mapping[str, Any], held_then: Head | None) -> None:
        """Take in the answer to a push that was sent while a head was held."""
        if not self.stamp_goes_on(answer["stamp"], held_then):
            return
        refused = False
        for outcome in answer["outcomes"]:
            refused = self.take_outcome(outcome) or refused
        self.follow(answer["head"], refused)

    def take_outcome(self, outcome: Mapping[str, Any]) -> bool:
        """Take in what came of one entry; tell whether it stands aside for good now."""
        known = self.versions.get(outcome["sha256"])
        if known is None:  # of before this device was put back to an older copy of itself
            self.events["forgotten-answer"] += 1
            return False
        fact = known.entry.id
        if outcome["outcome"] != "refused":
            self.events[outcome["outcome"]] += 1
            self.keep_receipt(fact, outcome["receipt"])
            return False
        why = outcome["why"]
        self.events[why] += 1
        if why == "revoked":
            self.revoked = True
        elif why in ("ahead", "other-history"):
            if self.see_less(fact):
                return True
            self.trouble = why
        elif why == "claims-proof" and self.claim_less(fact):
            return True
        elif why in ("kind", "claims-proof", "does-not-fit") and fact not in self.receipts:
            self.aside[fact] = why
            return True
        return False

    def claim_less(self, fact: str) -> bool:
        """Say a fact without the proof that did not hold; a decision is none without it."""
        entry = self.facts.get(fact)
        if entry is None or fact in self.receipts or entry.type in BY_PIN:
            return False
        if entry.auth["method"] != "pin":
            return False
        self.facts[fact] = replace(entry, auth={"method": "none", "verified": False})
        self.events["claims-less"] += 1
        return True

    def see_less(self, fact: str) -> bool:
        """Claim to have seen only what the followed record begins with; tell if that is less."""
        entry, size = self.facts.get(fact), self.shared.get(fact)
        if entry is None or size is None or self.recopy or entry.seen["size"] <= size:
            return False
        seen = {"size": size, "root": self.replica.root(size).hex() if size else ""}
        self.facts[fact] = replace(entry, seen=seen)
        self.events["saw-less"] += 1
        return True

    def keep_receipt(self, fact: str, receipt: Mapping[str, Any]) -> None:
        """Keep a receipt; the same entry never stands in two places of one epoch."""
        before = self.receipts.get(fact)
        if before is None or before["origin"] != receipt["origin"]:
            if not receipt_holds(receipt, self.log_key):
                raise ValueError("a receipt that does not hold")
            self.receipts[fact] = receipt
        elif before != receipt:
            self.trouble = "two receipts for one entry: rolled back"
            self.events["two-receipts"] += 1

    def follow(self, head: Mapping[str, Any], refused: bool) -> None:
        """Follow the server's word on where this device's own sequence stands."""
        number, sha256 = head["dseq"], head["sha256"]
        if number and sha256 not in self.versions:
            self.unknown_head = sha256
            return
        self.unknown_head = ""
        taken: list[Signed] = []
        while sha256:
            one = self.versions[sha256]
            taken.append(one)
            sha256 = one.entry.dprev
        taken.reverse()
        known = {one.entry.id for one in taken}
        for fact in known & set(self.aside):
            del self.aside[fact]
        if self.chain[: len(taken)] == taken and not refused:
            taken = self.chain
            known = {one.entry.id for one in taken}
        self.done = head["dseq"]
        self.chain = taken
        for identity, fact in self.facts.items():
            if identity not in known and identity not in self.aside:
                self.sign_next(fact)
                self.events["signed-anew"] += 1

    def stamp_goes_on(self, text: str, held_then: Head | None) -> bool:
        """Hold a stamp to what was held when it was asked for; none may be behind that."""
        head = head_of(text, self.log_key)
        if self.held is None:
            self.held, self.held_text = head, text
        if held_then is None or head.epoch > held_then.epoch:
            self.recopy = self.recopy or head.epoch > self.held.epoch
            return True
        behind = (head.epoch, head.size) < (held_then.epoch, held_then.size)
        other = (head.epoch, head.size) == (held_then.epoch, held_then.size)
        if behind or (other and head.root != held_then.root):
            self.trouble = "rolled back"
            self.events["rollback-seen"] += 1
            return False
        return True

    def wanted_from(self) -> int:
        """Give the line from which to ask."""
        return 0 if self.recopy else len(self.replica.lines)

    def take_lines(self, start: int, answer: Mapping[str, Any], held_then: Head | None) -> None:
        """Take in lines that were asked for while a head was held."""
        if not self.stamp_goes_on(answer["stamp"], held_then):
            return
        head = head_of(answer["stamp"], self.log_key)
        if start == 0 and self.recopy:
            self.take_whole(answer["lines"], head, answer["stamp"])
            return
        if start != len(self.replica.lines) or (self.held and head.epoch != self.held.epoch):
            return
        for line in answer["lines"]:
            self.replica.add(line)
        if not self.hold(head, answer["stamp"]):
            # Lines that no held head covers may be of a history that was lost: ask for all again.
            proved = self.held is not None and self.held.size <= start
            kept = self.replica.lines[:start] if proved else []
            self.replica = Replica()
            for line in kept:
                self.replica.add(line)

    def hold(self, head: Head, text: str) -> bool:
        """Hold a newer head, once the lines are there and go on from the one held so far."""
        if head.size > len(self.replica.lines):
            return True
        held = self.held
        goes_on = held is None or held.size > head.size
        goes_on = goes_on or self.replica.root(held.size if held else 0) == (held or head).root
        if not goes_on or self.replica.root(head.size) != head.root:
            self.trouble = "other history"
            self.events["other-history-seen"] += 1
            return False
        if held is None or (head.epoch, head.size) >= (held.epoch, held.size):
            self.held, self.held_text, self.trouble = head, text, ""
        self.adopt()
        return True

    def take_whole(self, lines: Sequence[Mapping[str, Any]], head: Head, text: str) -> None:
        """Take a record that says of itself that it was restored, if it owns up to our head."""
        fresh = Replica()
        for line in lines:
            fresh.add(line)
        if self.held is None or head.size > len(fresh.lines) or fresh.root(head.size) != head.root:
            return
        held = self.held
        begins_so = held.size <= head.size and fresh.root(held.size) == held.root
        said = (json.loads(line["entry"]) for line in lines if "entry" in line)
        if not begins_so and not any(self.owned_up(entry) for entry in said):
            self.trouble = "restored without owning up"
            self.events["not-owned-up"] += 1
            return
        alike = self.replica.alike(fresh)
        for identity, fact in self.facts.items():
            self.shared[identity] = min(self.shared.get(identity, fact.seen["size"]), alike)
        self.lost += self.replica.lines
        self.replica, self.recopy, self.trouble = fresh, False, ""
        self.held, self.held_text = head, text
        self.events["restoring-followed"] += 1
        self.adopt()

    def owned_up(self, entry: Mapping[str, Any]) -> bool:
        """Tell whether an entry says that a head as far as ours was held before the restoring."""
        if entry["type"] != "record-restored" or self.held is None:
            return False
        body, held = entry["body"], self.held
        if body["held_size"] == held.size:
            return bool(body["held_root"] == held.root.hex())
        return bool(body["held_size"] > held.size)

    def adopt(self) -> None:
        """Know own entries on record that this device has forgotten, by its own signature."""
        if not self.unknown_head:
            return
        for line in self.replica.lines:
            if "entry" not in line or f'"dev":"{self.device}"' not in line["entry"]:
                continue
            raw, sig = line["entry"].encode(), bytes.fromhex(line["sig"])
            sha256 = digest(raw)
            if sha256 in self.versions:
                continue
            if not ed25519_holds(self.key.public_hex, signed_message(raw), sig):
                raise ValueError("a line of this device that it never signed")
            entry = Entry(**json.loads(raw))
            self.versions[sha256] = Signed(entry, raw, sig, sha256)
            self.facts.setdefault(entry.id, entry)
            self.events["adopted"] += 1

    def forget(self, count: int) -> list[str]:
        """Lose the newest facts that the server has, as a tablet put back to an older copy does."""
        count = min(count, self.done)
        if self.waiting or not count:
            return []
        gone = self.chain[-count:]
        for one in gone:
            del self.versions[one.sha256]
            self.facts.pop(one.entry.id, None)
            self.receipts.pop(one.entry.id, None)
        self.chain = self.chain[:-count]
        self.done = len(self.chain)
        return [one.entry.id for one in gone]
