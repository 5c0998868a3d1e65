#!/usr/bin/env python3
"""Tell whether a record is complete: python3 verify.py BUNDLE [--stamp FILE]...

One file, written from record-format.md alone; it imports nothing of the program that made the
record. It needs Python 3.8 and, for signatures, the package cryptography or the command openssl
(3.0 or later, slower). Without either it says so and fails. Exit code: 0 complete, 4 not, 2 wrong
use. --json answers for programs; --accept-key HEX accepts a log key that a person answers for.
"""

# Python 3.8 is enough, so zip() has no strict= here.
# ruff: noqa: B905
from __future__ import annotations

import argparse
import base64
import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import unicodedata
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

MAX_NUMBER = 2**53 - 1
ORDER = [
    "another-record",
    "changed",
    "missing",
    "rolled-back",
    "device-gap",
    "file-changed",
    "not-checked",
]
NEEDED = ["events.jsonl", "stamps.txt", "keys.json"]
ID = r"[a-z0-9][a-z0-9._:-]{0,63}"
UUID7 = r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}"
INSTANT = (
    r"[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])"
    r"T([01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9]\.[0-9]{3}Z"
)
KEY_FORM = {"ed25519": "[0-9a-f]{64}", "ecdsa-p256": "04[0-9a-f]{128}"}
HEAD_TYPES = ["record-restored", "record-exported", "backup-made", "stamp-sent"]
NO_LINES = hashlib.sha256(b"").hexdigest()


def fits(pattern, value):
    """Whether a value is text of a pattern, all of it."""
    return isinstance(value, str) and re.fullmatch(pattern, value) is not None


def is_count(value, least=0):
    """Whether a value is a whole number that JSON can carry."""
    return type(value) is int and least <= value <= MAX_NUMBER


def sha(raw):
    """SHA-256 in hexadecimal digits."""
    return hashlib.sha256(raw).hexdigest()


# ---------------------------------------------------------------- canonical JSON, the profile


def read_canonical(raw):
    """The object that canonical bytes say; None for anything else."""
    try:
        text = raw.decode("utf-8")
        value = json.loads(text)
        # In the profile this is the canonical form: names are ASCII and numbers are whole.
        again = json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
        if type(value) is dict and again == text and in_profile(value, 1):
            return value
    except (ValueError, RecursionError):
        pass
    return None


def in_profile(value, depth):
    """Whether a value is of the profile: text, whole numbers, true, false, 6 deep at most."""
    kind = type(value)
    if kind is str:
        return value.isascii() or unicodedata.normalize("NFC", value) == value
    if kind is int:
        return abs(value) <= MAX_NUMBER
    if kind is bool:
        return True
    if depth > 6 or kind not in (list, dict):
        return False
    if kind is list:
        return all(in_profile(item, depth + 1) for item in value)
    return all(
        name != "" and name.isascii() and name.isprintable() and in_profile(item, depth + 1)
        for name, item in value.items()
    )


ENVELOPE = {
    "v": lambda value: type(value) is int and value == 1,
    "id": lambda value: fits(UUID7, value),
    "site": lambda value: fits(ID, value),
    "dev": lambda value: fits(ID, value),
    "dseq": lambda value: is_count(value, 1),
    "dprev": lambda value: fits("([0-9a-f]{64})?", value),
    "type": lambda value: fits("[a-z][a-z0-9-]{0,47}", value),
    "at": lambda value: fits(INSTANT, value),
    "rec": lambda value: fits(INSTANT, value),
    "off": lambda value: type(value) is int,
    "tz": lambda value: type(value) is str,
    "clk": lambda value: type(value) is dict,
    "seen": lambda value: (
        type(value) is dict
        and set(value) == {"size", "root"}
        and is_count(value["size"])
        and fits("([0-9a-f]{64})?", value["root"])
    ),
    "user": lambda value: fits(ID, value),
    "auth": lambda value: type(value) is dict,
    "body": lambda value: type(value) is dict,
}
OPTIONAL = {
    "rules": lambda _value: True,
    "amends": lambda value: fits(UUID7, value),
    "reason": lambda value: type(value) is str,
}


def read_entry(raw):
    """The fields of an entry; None where its bytes are not in the form of the record."""
    entry = read_canonical(raw) if len(raw) <= 16 * 1024 else None
    if entry is None or not set(ENVELOPE) <= set(entry) <= set(ENVELOPE) | set(OPTIONAL):
        return None
    checks = {**ENVELOPE, **OPTIONAL}
    return entry if all(checks[name](entry[name]) for name in entry) else None


def read_event(raw):
    """(index, received_at, entry bytes, signature) of a line of events.jsonl, or None."""
    try:
        line = json.loads(raw.decode("utf-8")) if len(raw) <= 256 * 1024 else None
        if type(line) is not dict or set(line) != {"index", "received_at", "entry", "sig"}:
            return None
        index, received_at, entry, sig = (
            line[name] for name in ("index", "received_at", "entry", "sig")
        )
        if not (is_count(index) and fits(INSTANT, received_at) and fits("[0-9a-f]{128}", sig)):
            return None
        again = '{"entry":%s,"index":%d,"received_at":"%s","sig":"%s"}'
        text = again % (json.dumps(entry, ensure_ascii=False), index, received_at, sig)
        if type(entry) is not str or text.encode("utf-8") != raw:
            return None
        return index, received_at, entry.encode("utf-8"), sig
    except (ValueError, RecursionError):
        return None


# ---------------------------------------------------------------- the tree


class Tree:
    """RFC 6962: the heads of all beginnings of a list of leaves."""

    def __init__(self):
        self.size = 0
        self.full = {}  # (first leaf, number of leaves) -> hash, for complete subtrees

    def add(self, data):
        """Put one leaf on the end."""
        start, width = self.size, 1
        value = hashlib.sha256(b"\x00" + data).digest()
        self.full[start, 1] = value
        while start & width:
            start -= width
            value = hashlib.sha256(b"\x01" + self.full[start, width] + value).digest()
            width *= 2
            self.full[start, width] = value
        self.size += 1

    def head(self, size):
        """The head of the first `size` leaves, in hexadecimal digits."""
        if size == 0:
            return NO_LINES
        value, end = None, size
        while end:
            width = end & -end
            part = self.full[end - width, width]
            value = part if value is None else hashlib.sha256(b"\x01" + part + value).digest()
            end -= width
        return value.hex()


# ---------------------------------------------------------------- signatures

SPKI = {
    "ed25519": "302a300506032b6570032100",
    "ecdsa-p256": "3059301306072a8648ce3d020106082a8648ce3d030107034200",
}
P = 2**256 - 2**224 + 2**192 + 2**96 - 1
B = 0x5AC635D8AA3A93E7B3EBBD55769886BC651D06B0CC53B0F63BCE3C3E27D2604B
# Made with throw-away keys over the message "known"; a checker must tell them from broken ones.
KNOWN = {
    "ed25519": (
        "46db064c555f2abc87605885467635772d79536221cc41c15ad09de77d07ecac",
        "94dcd89d20cecd83f5152aaff5aceceaace2b5011abb4c180f0d46071f12a0e4225c9466b3bc8f68c4b82f36460d17d251fac83255e98c1b06c07d159f1ff00b",
    ),
    "ecdsa-p256": (
        "047e820ec82f676f3be882b7e7842137bdb9d168ad82ad0dfe9d11f51d85bee204863e8fe21b7d3e7c8b76d66c405b4434611c8b09be3820acaa008d3361e244ac",
        "0764542d3ee4b5155711dbd66875cb0f16a466f7b640301345d9539b2a9432457738f1e763378f1b384273eddf97cfcdbf44ef444daf3e674cdab521bdb46238",
    ),
}


def by_cryptography():
    """A checker on the package cryptography, None where it is not installed."""
    try:
        # Looked for only here: the rest has to work without it.
        from cryptography.exceptions import InvalidSignature  # noqa: PLC0415
        from cryptography.hazmat.primitives.asymmetric import ec, ed25519, utils  # noqa: PLC0415
        from cryptography.hazmat.primitives.hashes import SHA256  # noqa: PLC0415
    except ImportError:
        return None

    def check(algorithm, key, message, signature):
        raw = bytes.fromhex(key)
        try:
            if algorithm == "ed25519":
                ed25519.Ed25519PublicKey.from_public_bytes(raw).verify(signature, message)
            else:
                numbers = [int.from_bytes(half, "big") for half in (signature[:32], signature[32:])]
                point = ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), raw)
                point.verify(utils.encode_dss_signature(*numbers), message, ec.ECDSA(SHA256()))
        except (InvalidSignature, ValueError):
            return False
        return True

    return check


def by_openssl(folder):
    """A checker on the command openssl, None where there is none; `folder` is for its files."""
    command = shutil.which("openssl")
    if command is None:
        return None

    def check(algorithm, key, message, signature):
        raw = bytes.fromhex(key)
        if algorithm == "ecdsa-p256":
            x, y = int.from_bytes(raw[1:33], "big"), int.from_bytes(raw[33:], "big")
            if max(x, y) >= P or (y * y - x**3 + 3 * x - B) % P:
                return False
            signature = der(signature)
        pem = base64.b64encode(bytes.fromhex(SPKI[algorithm]) + raw).decode()
        place = Path(tempfile.mkdtemp(dir=folder))
        names = [str(place / name) for name in ("key", "message", "signature")]
        key_file = f"-----BEGIN PUBLIC KEY-----\n{pem}\n-----END PUBLIC KEY-----\n"
        for name, content in zip(names, (key_file.encode(), message, signature)):
            Path(name).write_bytes(content)
        asked = [command, "pkeyutl", "-verify", "-pubin", "-inkey", names[0], "-rawin"]
        asked += ["-in", names[1], "-sigfile", names[2]]
        asked += ["-digest", "sha256"] if algorithm == "ecdsa-p256" else []
        done = subprocess.run(asked, capture_output=True, check=False)  # noqa: S603 - our own words
        shutil.rmtree(place)
        if done.returncode == 0:
            return True
        said = done.stdout + done.stderr
        return False if b"Signature Verification Failure" in said else None

    return check


def der(signature):
    """r and s as openssl reads them."""
    parts = b""
    for half in (signature[:32], signature[32:]):
        number = half.lstrip(b"\x00") or b"\x00"
        number = b"\x00" + number if number[0] & 0x80 else number
        parts += bytes([2, len(number)]) + number
    return bytes([0x30, len(parts)]) + parts


def works(check):
    """Whether a checker tells good signatures from broken ones, of both kinds."""
    for algorithm, (key, signature) in KNOWN.items():
        raw = bytes.fromhex(signature)
        broken = raw[:40] + bytes([raw[40] ^ 1]) + raw[41:]
        if check(algorithm, key, b"known", raw) is not True:
            return False
        if check(algorithm, key, b"known", broken) is not False:
            return False
    return True


class Signatures:
    """Answers for signatures; gathers them first where each one costs a process."""

    def __init__(self, check):
        self.check = check
        self.known = {}
        self.gathering = False
        self.unchecked = 0

    def hold(self, algorithm, key, message, signature):
        """Whether a signature fits; one that cannot be checked passes here and is counted."""
        asked = (algorithm, key, message, signature)
        if len(signature) != 64:
            return False
        if self.gathering:
            self.known.setdefault(asked, None)
            return True
        answer = self.known.get(asked, None)
        if asked not in self.known and self.check is not None:
            answer = self.check(*asked)
        if answer is None:
            self.unchecked += 1
            return True
        return answer

    def work(self):
        """Check all that was gathered, several at a time."""
        asked = list(self.known)
        with ThreadPoolExecutor(max_workers=2 * (os.cpu_count() or 1)) as pool:
            self.known = dict(zip(asked, pool.map(lambda one: self.check(*one), asked)))
        self.gathering = False


# ---------------------------------------------------------------- stamps


class Stamp:
    """A signed head, read and not yet checked."""

    def __init__(self, note):
        found = re.fullmatch(
            rf"(lanewater/{ID}/[0-9a-f]{{16}})/([1-9][0-9]{{0,8}})\n(0|[1-9][0-9]{{0,15}})\n"
            r"([A-Za-z0-9+/]{43}=)\n\n((?:— [!-*,-~]{1,128} [A-Za-z0-9+/]+={0,2}\n){1,16})",
            note,
        )
        if found is None or len(note) > 4096 or int(found[3]) > MAX_NUMBER:
            raise ValueError("no stamp")
        self.name, self.epoch, self.size = found[1], int(found[2]), int(found[3])
        self.root = unpacked(found[4]).hex()
        self.said = note[: note.index("\n\n") + 1].encode()
        self.signatures = []
        for line in found[5].splitlines():
            name, packed = line[2:].split(" ")
            raw = unpacked(packed)
            if len(raw) < 5:
                raise ValueError("no signature")
            self.signatures.append((name, raw[:4], raw[4:]))

    def signed_by(self, key, signatures):
        """Whether the stamp holds under a log key."""
        seed = self.name.encode() + b"\n\x01" + bytes.fromhex(key)
        wanted = (self.name, hashlib.sha256(seed).digest()[:4])
        mine = [raw for name, key_id, raw in self.signatures if (name, key_id) == wanted]
        return bool(mine) and all(signatures.hold("ed25519", key, self.said, raw) for raw in mine)


def unpacked(text):
    """Base64 in its one spelling."""
    raw = base64.b64decode(text, validate=True)
    if base64.b64encode(raw).decode() != text:
        raise ValueError("another spelling")
    return raw


def read_stamps(raw):
    """The stamps of stamps.txt; ValueError where it is not in its form."""
    text = raw.decode("utf-8")
    parts = text.split("\n\n") if text else []
    if len(parts) % 2:
        raise ValueError("cut short")
    notes = [parts[at] + "\n\n" + parts[at + 1] + "\n" for at in range(0, len(parts), 2)]
    if notes:
        notes[-1] = notes[-1][:-1]
    return [Stamp(note) for note in notes]


def stamps_in(text):
    """The stamps in a text that came by hand; None for each that cannot be read."""
    lines = [line.rstrip(" \t\r") for line in text.split("\n")]
    found = []
    for at, line in enumerate(lines):
        if line.startswith("lanewater/"):
            end = at + 4
            while end < len(lines) and lines[end].startswith("— "):
                end += 1
            try:
                found.append(Stamp("\n".join(lines[at:end]) + "\n"))
            except ValueError:
                found.append(None)
    return found or [None]


# ---------------------------------------------------------------- the check itself


class Check:
    """One walk over a record."""

    def __init__(self, signatures, accepted):
        self.signatures, self.accepted = signatures, accepted
        self.findings, self.tree, self.whole = [], Tree(), True
        self.lines = self.place = 0
        self.site = self.name = None
        self.devices, self.last, self.ids = {}, {}, set()
        self.log_keys, self.restored, self.held = [], [], []

    def find(self, what, by, says, **where):
        """Note a finding."""
        self.findings.append({"what": what, "by": by, "says": says, **where})

    def line(self, raw):
        """Check one line of events.jsonl; None where it was cut short."""
        self.lines += 1
        number = self.lines
        event = None if raw is None else read_event(raw)
        if event is None:
            self.find("changed", "form", f"line {number} cannot be read", line=number)
            self.whole = False
            self.place += 1
            return
        index, received_at, entry_bytes, sig = event
        if index > self.place:
            says = f"{index - self.place} missing after line {number - 1}"
            self.find("missing", "place", says, line=number - 1)
        elif index < self.place:
            self.find("changed", "place", f"line {number} is out of its place", line=number)
        self.whole = self.whole and index == self.place
        self.place = index + 1
        before = self.tree.size
        if self.whole:
            leaf = '{"i":%d,"received_at":"%s","sha256":"%s","sig":"%s"}'
            self.tree.add((leaf % (index, received_at, sha(entry_bytes), sig)).encode())
        entry = read_entry(entry_bytes)
        if entry is None:
            says = f"line {number} is no entry in the form of the record"
            self.find("changed", "form", says, line=number)
            return
        if number == 1:
            self.name = f"lanewater/{entry['site']}/{sha(entry_bytes)[:16]}"
        self.site = self.site or entry["site"]
        for what, by, says, where in self.faults(entry, entry_bytes, sig, number, before):
            self.find(what, by, says, line=number, **where)
            break
        self.learn(entry, entry_bytes, number)

    def faults(self, entry, entry_bytes, sig, number, before):
        """What does not hold of an entry, in order."""
        dev, body, kind, line = entry["dev"], entry["body"], entry["type"], f"line {number} "
        if entry["site"] != self.site:
            yield "changed", "form", line + "is of another site", {}
        if entry["id"] in self.ids:
            yield "changed", "form", line + "repeats an id", {}
        yield from self.writer_faults(entry, entry_bytes, sig, line)
        count, previous = self.last.get(dev, (0, ""))
        if entry["dseq"] > count + 1:
            says = f"device {dev} misses its entry {count + 1}, before line {number}"
            yield "device-gap", "chain", says, {"device": dev, "entry": count + 1}
        elif entry["dseq"] <= count or entry["dprev"] != previous:
            yield "changed", "chain", line + "does not follow its device's previous entry", {}
        if not self.saw(entry["seen"], before):
            yield "changed", "seen", line + "was written over another record", {}
        if kind in HEAD_TYPES and not (
            is_count(body.get("size"))
            and fits("[0-9a-f]{64}", body.get("root"))
            and self.had(body["size"], body["root"], before)
        ):
            yield "changed", "seen", line + "names a head that never was", {}
        yield from self.key_faults(kind, body, line)

    def writer_faults(self, entry, entry_bytes, sig, line):
        """What does not hold of who wrote an entry."""
        dev, body = entry["dev"], entry["body"]
        device = self.devices.get(dev)
        if device is None and entry["type"] == "device-enrolled" and body.get("device") == dev:
            device = enrolled(body) if body.get("kind") in ("shell", "server") else None
        message = b"lanewater/entry/v1\n" + entry_bytes
        if device is None or device["algorithm"] == "none":
            yield "changed", "device", line + f"is by {dev}, not enrolled to write", {}
        elif "revoked_line" in device:
            yield "changed", "device", line + f"is by {dev}, which was revoked", {}
        elif not self.signatures.hold(
            device["algorithm"], device["public_key"], message, bytes.fromhex(sig)
        ):
            yield "changed", "signature", line + "does not carry its device's signature", {}

    def key_faults(self, kind, body, line):
        """What does not hold of a line that says something of the record's keys."""
        if kind == "device-enrolled":
            made = enrolled(body)
            known = self.devices.get(body["device"]) if made else None
            if not made or (known and any(known.get(part) != made.get(part) for part in PARTS)):
                yield "changed", "device", line + "enrols a device as cannot be", {}
        if kind == "device-revoked" and not self.known(body):
            yield "changed", "device", line + "revokes a device that is not enrolled", {}
        if kind == "log-key-named":
            yield from self.log_key_faults(body, line)

    def log_key_faults(self, body, line):
        """What does not hold of a line that names the log's key."""
        key, word = body.get("public_key"), body.get("word")
        if body.get("algorithm") != "ed25519" or not fits(KEY_FORM["ed25519"], key):
            yield "changed", "log-key", line + "names a log key that is none", {}
        elif self.log_keys and key not in self.accepted:
            before = self.log_keys[-1][1]
            given = fits("[0-9a-f]{128}", word) and self.signatures.hold(
                "ed25519",
                before,
                b"lanewater/log-key/v1\n" + bytes.fromhex(key),
                bytes.fromhex(word),
            )
            if body.get("replaces") != before or not given:
                says = line + "names a log key without the word of the one before"
                yield "not-checked", "log-key", says, {}

    def saw(self, seen, before):
        """Whether a device's newest head is one of this record, or of what was lost."""
        if seen["size"] == 0:
            return seen["root"] in ("", NO_LINES)
        return self.had(seen["size"], seen["root"], before) or any(
            seen["root"] == root if seen["size"] == size else seen["size"] < size
            for size, root in self.held
        )

    def had(self, size, root, before):
        """Whether the record had a head; unknown behind the end of a tree that ended early."""
        return not self.whole if size > before else self.tree.head(size) == root

    def known(self, body):
        """The device that a revocation names."""
        return self.devices.get(body["device"]) if type(body.get("device")) is str else None

    def learn(self, entry, entry_bytes, number):
        """Keep what later lines are held to."""
        body, kind = entry["body"], entry["type"]
        self.ids.add(entry["id"])
        self.last[entry["dev"]] = (entry["dseq"], sha(entry_bytes))
        if kind == "device-enrolled" and enrolled(body):
            self.devices.setdefault(body["device"], {**enrolled(body), "line": number})
        elif kind == "device-revoked" and self.known(body):
            self.known(body).setdefault("revoked_line", number)
        elif kind == "log-key-named" and fits(KEY_FORM["ed25519"], body.get("public_key")):
            self.log_keys.append((number, body["public_key"]))
        elif kind == "record-restored" and all(
            is_count(body.get(name)) for name in ("size", "held_size")
        ):
            self.restored.append((number, body["size"]))
            self.held.append((body["held_size"], body.get("held_root")))

    def keys_json(self):
        """What keys.json has to be."""
        keys = {
            "origin_name": self.name or "",
            "log_keys": [
                {"algorithm": "ed25519", "line": line, "public_key": key}
                for line, key in self.log_keys
            ],
            "devices": list(self.devices.values()),
        }
        text = json.dumps(keys, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
        return (text + "\n").encode("utf-8", "surrogatepass")

    def stamps(self, stamps, by):
        """Hold the record to stamps; the sizes of those that hold."""
        told, held = [], []
        for number, stamp in enumerate(stamps, 1):
            if stamp is None:
                says = f"stamp number {number} cannot be read"
                told.append({"what": "not-checked", "by": by, "says": says, "stamp": number})
                continue
            fault = self.stamp_fault(stamp, by == "stamp-beside")
            if fault is None:
                held.append(stamp.size)
            else:
                what, says, where = fault
                told.append({"what": what, "by": by, "says": says, "size": stamp.size, **where})
        for finding in told:
            if "until" in finding:
                below = [size for size in held if size < finding["size"]]
                finding["line"] = 1 + max(below, default=0)
                lines = f"line {finding['line']} and line {finding['until']}"
                finding["says"] = f"changed between {lines}, against {finding['says']}"
        self.findings += told
        return held

    def stamp_fault(self, stamp, beside):
        """What does not hold between the record and a stamp."""
        size, called = stamp.size, f"the stamp of size {stamp.size}"
        if self.lines and self.name is None:
            return "not-checked", called + ": line 1 cannot be read", {}
        if self.lines and stamp.name != self.name:
            return "another-record", f"{called} is of another record: {stamp.name}", {}
        keys = [key for line, key in self.log_keys if line <= size]
        if self.lines and not (keys and stamp.signed_by(keys[-1], self.signatures)):
            what = "changed" if beside else "not-checked"
            return what, called + " is not signed with this record's key", {}
        if stamp.epoch <= len(self.restored) and size > self.restored[stamp.epoch - 1][1]:
            line = self.restored[stamp.epoch - 1][0]
            called += f" (restored in line {line}, as the record itself says)"
        if size > self.lines and beside:
            says = f"missing after line {self.lines}: {called} says so"
            return "missing", says, {"line": self.lines}
        if size > self.lines:
            return "rolled-back", "rolled back against " + called, {"line": self.lines}
        if size > self.tree.size:
            return "not-checked", called + ": a line before cannot be read", {}
        if self.tree.head(size) != stamp.root:
            return "changed", called, {"until": size}
        if stamp.epoch != 1 + sum(line <= size for line, _ in self.restored):
            return "changed", called + " is of another epoch", {}
        return None

    def cover(self, held):
        """Find the lines that no stamp beside the record covers."""
        newest = max(held, default=0)
        if not self.lines:
            self.find("not-checked", "stamp-beside", "nothing is on record", line=0)
        elif newest < self.lines:
            says = f"no stamp covers line {newest + 1} to line {self.lines}"
            self.find("not-checked", "stamp-beside", says, line=newest + 1, until=self.lines)


PARTS = ("algorithm", "public_key")


def enrolled(body):
    """The device that an enrolment makes known; None where it cannot be."""
    device, algorithm, key = (body.get(name) for name in ("device", "algorithm", "public_key"))
    if algorithm == "none" and type(device) is str and body.get("public_key", "") == "":
        return {"device": device, "algorithm": "none"}
    if type(algorithm) is not str or not fits(KEY_FORM.get(algorithm, "(?!)"), key):
        return None
    if device != "dev-" + sha(bytes.fromhex(key))[:20]:
        return None
    return {"device": device, "algorithm": algorithm, "public_key": key}


def manifest_of(raw):
    """From name to hash as the manifest says; None where it is not in its form."""
    listed = {}
    last = ""
    for line in raw.decode("latin-1").split("\n")[:-1]:
        found = re.fullmatch(r"([0-9a-f]{64})  ([a-z0-9][a-z0-9._-]{0,63})", line)
        if found is None or found[2] <= last or found[2] == "manifest.sha256":
            return None
        last = found[2]
        listed[found[2]] = found[1]
    return listed if raw == b"" or raw.endswith(b"\n") else None


def check_files(files):
    """The findings about a bundle's files."""
    found = []

    def find(what, name, says):
        found.append({"what": what, "by": "file", "says": name + " " + says, "file": name})

    for name in NEEDED:
        if name not in files:
            find("file-changed", name, "is missing")
    if "manifest.sha256" not in files:
        find("not-checked", "manifest.sha256", "is missing")
        return found
    listed = manifest_of(files["manifest.sha256"])
    if listed is None:
        find("file-changed", "manifest.sha256", "cannot be read")
        return found
    for name in sorted(set(NEEDED) | set(listed)):
        if name not in listed:
            find("not-checked", name, "is not in manifest.sha256")
        elif name in files and sha(files[name]) != listed[name]:
            find("file-changed", name, "is not the one in manifest.sha256")
        elif name not in files and name not in NEEDED:
            find("file-changed", name, "is missing")
    return found


def verify(files, outside=(), accepted=(), signatures=None):
    """Answer for a bundle.

    files: {name: bytes}; outside: texts that hold stamps from elsewhere; accepted: log keys that a
    person answers for; signatures: a Signatures, made from what is installed where left out.
    """
    if signatures is None:
        return verify_with_what_is_here(files, outside, accepted)
    if signatures.gathering:
        answer(files, outside, accepted, signatures)
        signatures.work()
    return answer(files, outside, accepted, signatures)


def verify_with_what_is_here(files, outside, accepted):
    """Answer with cryptography, else openssl, else without signatures, which is never complete."""
    check = by_cryptography()
    if check is not None and works(check):
        return answer(files, outside, accepted, Signatures(check))
    with tempfile.TemporaryDirectory() as folder:
        check = by_openssl(folder)
        if check is None or not works(check):
            return answer(files, outside, accepted, Signatures(None))
        signatures = Signatures(check)
        signatures.gathering = True
        return verify(files, outside, accepted, signatures)


def answer(files, outside, accepted, signatures):
    """One walk over a bundle and its stamps."""
    check = Check(signatures, frozenset(accepted))
    check.findings = check_files(files)
    lines = files.get("events.jsonl", b"").split(b"\n")
    from_files = len(check.findings)
    for raw in lines[:-1]:
        check.line(raw)
    if lines[-1]:
        check.line(None)
    beside, late = [], []
    try:
        beside = read_stamps(files.get("stamps.txt", b""))
    except ValueError:
        late.append(("stamps.txt", "stamps.txt cannot be read"))
    if "keys.json" in files and files["keys.json"] != check.keys_json():
        late.append(("keys.json", "keys.json does not say what the lines say"))
    check.findings[from_files:from_files] = [
        {"what": "file-changed", "by": "file", "says": says, "file": name} for name, says in late
    ]
    held = check.stamps(beside, "stamp-beside")
    check.cover(held)
    check.stamps([stamp for text in outside for stamp in stamps_in(text)], "stamp-outside")
    if signatures.unchecked:
        says = "%d signatures: this machine has neither cryptography nor a fitting openssl"
        check.find("not-checked", "signature", says % signatures.unchecked)
    words = {finding["what"] for finding in check.findings}
    return {
        "outcome": next((word for word in ORDER if word in words), "complete"),
        "lines": check.lines,
        "root": check.tree.head(check.tree.size) if check.whole else "",
        "stamps_held": len(held),
        "restored": [line for line, _ in check.restored],
        "findings": check.findings[:100],
        "more": max(0, len(check.findings) - 100),
    }


# ---------------------------------------------------------------- the command


def read_file(path):
    """A file's bytes; None where it cannot be read."""
    try:
        return Path(path).read_bytes()
    except OSError:
        return None


def read_folder(folder):
    """The files of a bundle: those it must have and those that its manifest names."""
    manifest = read_file(Path(folder) / "manifest.sha256")
    names = {*NEEDED, *((manifest_of(manifest) or {}) if manifest is not None else {})}
    found = {name: read_file(Path(folder) / name) for name in names}
    found["manifest.sha256"] = manifest
    return {name: content for name, content in found.items() if content is not None}


def in_words(told, outside):
    """The answer for people."""
    lines = [f"{told['outcome']}: {told['lines']} lines"]
    lines += ["  " + finding["says"] for finding in told["findings"]]
    if told["more"]:
        lines.append(f"  and {told['more']} more")
    lines += [f"  restored in line {at}, as the record itself says" for at in told["restored"]]
    if told["outcome"] == "complete":
        lines.append("  every line as it was received; head " + told["root"])
        lines.append(
            f"  {told['stamps_held']} stamps beside it hold, {outside} texts from elsewhere"
        )
        if not outside:
            lines.append("  no stamp from elsewhere was given: a record put back whole to an")
            lines.append("  older state, or made anew with its keys, would look the same")
        lines.append("  whether what was typed was true, no check can tell")
    return "\n".join(lines) + "\n"


def main():
    """Run the command and give its exit code."""
    parser = argparse.ArgumentParser(description="Tell whether a record is complete.")
    parser.add_argument("bundle", help="the folder of the bundle")
    parser.add_argument("--stamp", action="append", default=[], metavar="FILE")
    parser.add_argument("--accept-key", action="append", default=[], metavar="HEX")
    parser.add_argument("--json", action="store_true")
    asked = parser.parse_args()
    if not Path(asked.bundle).is_dir():
        parser.error(f"{asked.bundle} is no folder")
    if not all(fits("[0-9a-f]{64}", key) for key in asked.accept_key):
        parser.error("--accept-key must be 64 hexadecimal digits")
    texts = []
    for name in asked.stamp:
        raw = read_file(name)
        if raw is None:
            parser.error(f"{name} cannot be read")
        texts.append(raw.decode("utf-8-sig", "replace"))
    told = verify(read_folder(asked.bundle), texts, asked.accept_key)
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(encoding="utf-8", errors="backslashreplace")
    sys.stdout.write(json.dumps(told) + "\n" if asked.json else in_words(told, len(texts)))
    return 0 if told["outcome"] == "complete" else 4


if __name__ == "__main__":
    sys.exit(main())
