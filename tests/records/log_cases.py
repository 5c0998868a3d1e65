"""Whole records for tests: made honestly here, so that a test can do with them what a thief would.

Keys and ids follow from a seed, so that a record comes out the same, byte for byte, each time.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable
from copy import deepcopy
from dataclasses import dataclass, field
from functools import cache, lru_cache
from typing import Any

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from tests.records.tree_cases import Stored

from lanewater.records import bundle
from lanewater.records.signing import device_of, key_from, signed_message
from lanewater.records.stamps import Head, handover_word, make_stamp, origin_of
from lanewater.records.tree import leaf_data, leaf_hash
from lanewater.records.verifying import keys_of, walk_over

SITE = "baths"
CURVE_ORDER = 0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551


@dataclass(frozen=True)
class Signer:
    """A device's key, of either kind."""

    algorithm: str
    public_key: str
    sign: Callable[[bytes], bytes]

    @property
    def device(self) -> str:
        return device_of(self.public_key)


def secret(seed: str) -> bytes:
    return hashlib.sha256(seed.encode()).digest()


def edwards(seed: str) -> Signer:
    key = key_from(secret(seed))
    return Signer("ed25519", key.public_hex, key.private.sign)


def curved(seed: str) -> Signer:
    number = int.from_bytes(secret(seed)) % (CURVE_ORDER - 1) + 1
    key = ec.derive_private_key(number, ec.SECP256R1())
    point = key.public_key().public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)

    def sign(message: bytes) -> bytes:
        r, s = decode_dss_signature(
            key.sign(message, ec.ECDSA(SHA256(), deterministic_signing=True))
        )
        return r.to_bytes(32) + s.to_bytes(32)

    return Signer("ecdsa-p256", point.hex(), sign)


@dataclass
class Item:
    """One line before it is written: what is said, when it came, its signature."""

    content: dict[str, Any]
    received_at: str
    sig: str = ""

    @property
    def raw(self) -> bytes:
        """In the record's profile this is the canonical form, and ten times as quick to write."""
        text = json.dumps(self.content, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
        return text.encode()


@lru_cache(maxsize=100_000)
def leaf_of(index: int, received_at: str, raw: bytes, sig: str) -> bytes:
    return leaf_hash(leaf_data(index, received_at, hashlib.sha256(raw).hexdigest(), sig))


@dataclass
class Log:
    """A record and every key of it."""

    seed: str = "log"
    site: str = SITE
    items: list[Item] = field(default_factory=list)
    stamps: list[str] = field(default_factory=list)
    signers: dict[str, Signer] = field(default_factory=dict)
    log_seeds: list[str] = field(default_factory=list)
    held: dict[str, int] = field(default_factory=dict)
    epoch: int = 1

    def __post_init__(self) -> None:
        self.server = self.signer("server", edwards)
        self.log_seeds = self.log_seeds or [f"{self.seed}/log-key/1"]

    def signer(self, name: str, make: Callable[[str], Signer]) -> str:
        made = make(f"{self.seed}/{name}")
        self.signers[made.device] = made
        return made.device

    def copy(self) -> Log:
        return deepcopy(self)

    def tree(self) -> Stored:
        return Stored(
            leaf_of(index, item.received_at, item.raw, item.sig)
            for index, item in enumerate(self.items)
        )

    def add(self, dev: str, kind: str, body: dict[str, Any], **changes: Any) -> Item:
        """Put an honest entry on the end."""
        index = len(self.items)
        own = [item for item in self.items if item.content["dev"] == dev]
        size = index if dev == self.server else self.held.get(dev, 0)
        claimed = f"2026-07-01T{8 + index // 60:02}:{index % 60:02}:00.000Z"
        content = {
            "v": 1,
            "id": f"01a212e6-893f-7a4b-a9c7-{int(secret(self.seed).hex()[:6], 16):06x}{index:06x}",
            "site": self.site,
            "dev": dev,
            "dseq": len(own) + 1,
            "dprev": hashlib.sha256(own[-1].raw).hexdigest() if own else "",
            "type": kind,
            "at": claimed,
            "rec": claimed,
            "off": 0,
            "tz": "Europe/London",
            "clk": {"offset_ms": 0, "rtt_ms": 0, "age_s": 0},
            "seen": {"size": size, "root": self.tree().root(size).hex() if size else ""},
            "user": "p-1",
            "auth": {"method": "none", "verified": False},
            "body": body,
        }
        item = Item(content | changes, claimed.replace(":00.000Z", ":30.000Z"))
        self.sign(item)
        self.items.append(item)
        return item

    def sign(self, item: Item) -> None:
        item.sig = self.signers[item.content["dev"]].sign(signed_message(item.raw)).hex()

    def enrol(self, dev: str, kind: str = "shared", by: str | None = None) -> Item:
        signer = self.signers[dev]
        body = {
            "device": dev,
            "name": kind,
            "kind": kind,
            "algorithm": signer.algorithm,
            "public_key": signer.public_key,
        }
        return self.add(by or self.server, "device-enrolled", body)

    def name_log_key(self) -> Item:
        """Name the newest log key, with the word of the one before it."""
        keys = [key_from(secret(seed)) for seed in self.log_seeds]
        body: dict[str, Any] = {"algorithm": "ed25519", "public_key": keys[-1].public_hex}
        if len(keys) > 1:
            body["replaces"] = keys[-2].public_hex
            body["word"] = handover_word(keys[-2], keys[-1].public_hex)
        return self.add(self.server, "log-key-named", body)

    def note(self, size: int | None = None, *, epoch: int | None = None) -> str:
        """Give the stamp of the first `size` lines, as it is signed now."""
        size = len(self.items) if size is None else size
        first = hashlib.sha256(self.items[0].raw).hexdigest()
        origin = origin_of(self.site, first, self.epoch if epoch is None else epoch)
        head = Head(origin, size, self.tree().root(size))
        return make_stamp(head, key_from(secret(self.log_seeds[-1])))

    def stamp(self) -> None:
        """Stamp the record as it is and let every tablet see it."""
        self.stamps.append(self.note())
        self.held = {dev: len(self.items) for dev in self.signers if dev != self.server}

    def restamp(self) -> None:
        """Sign the stamps beside the record again, as whoever holds the log's key can."""
        self.stamps = [self.note(size_of(note)) for note in self.stamps]

    def rechain(self, *, resign: bool) -> None:
        """Make every device's count and chain fit again, with or without its key."""
        heads: dict[str, tuple[int, str]] = {}
        for item in self.items:
            dev = item.content["dev"]
            last, last_hash = heads.get(dev, (0, ""))
            fields = {"dseq": last + 1, "dprev": last_hash}
            if item.content | fields != item.content or resign:
                item.content |= fields
                if resign:
                    self.resee(item)
                    self.sign(item)
            heads[dev] = (last + 1, hashlib.sha256(item.raw).hexdigest())

    def resee(self, item: Item) -> None:
        """Make an entry name the head of the record as it is now."""
        size = item.content["seen"]["size"]
        if size:
            item.content["seen"] = {"size": size, "root": self.tree().root(size).hex()}

    def lines(self) -> Iterable[bundle.Line]:
        for index, item in enumerate(self.items):
            yield bundle.Line(index, item.received_at, item.raw, item.sig)

    def files(self) -> dict[str, bytes]:
        """Give the record as a bundle."""
        events = b"".join(
            bundle.events_line(line.index, line.received_at, line.raw, bytes.fromhex(line.sig))
            for line in self.lines()
        )
        return sealed(
            {
                bundle.EVENTS: events,
                bundle.STAMPS: bundle.stamps_text(self.stamps).encode(),
                bundle.KEYS: bundle.keys_text(keys_of(walk_over(self.lines()))),
            }
        )


def sealed(files: dict[str, bytes]) -> dict[str, bytes]:
    """Give files with a manifest that fits them."""
    rest = {name: content for name, content in files.items() if name != bundle.MANIFEST}
    return rest | {bundle.MANIFEST: bundle.manifest_text(rest)}


def size_of(note: str) -> int:
    return int(note.split("\n")[1])


def told(number: int) -> dict[str, Any]:
    """Give the body of a plain entry."""
    return {"pool": "main", "about": f"fact-{number}", "whom": "p-2"}


def make_log(count: int = 40, seed: str = "log", *, every: int = 10, second: Any = curved) -> Log:
    """Give a record as `made_log` makes it, to do with it what one likes."""
    return made_log(count, seed, every, second).copy()


@cache
def made_log(count: int, seed: str, every: int, second: Any) -> Log:
    """Make a record of two tablets and a server; a stamp after every so many lines and at the end.

    The first tablet signs with Ed25519, the second with ECDSA on P-256 unless said.
    """
    log = Log(seed)
    first = log.signer("tablet-1", edwards)
    other = log.signer("tablet-2", second)
    log.enrol(log.server, "server")
    log.name_log_key()
    log.enrol(first)
    log.enrol(other)
    while len(log.items) < count:
        dev = first if len(log.items) % 2 == 0 else other
        log.add(dev, "told", told(len(log.items)))
        if len(log.items) % every == 0:
            log.stamp()
    if not log.stamps or size_of(log.stamps[-1]) != count:
        log.stamp()
    return log


def parsed(files: dict[str, bytes]) -> list[dict[str, Any]]:
    """Give the lines of a bundle."""
    return [json.loads(line) for line in files[bundle.EVENTS].splitlines()]
