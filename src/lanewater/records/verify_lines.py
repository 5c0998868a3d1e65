"""The walk over a record's lines: what each must hold to, and what is known after it.

A line that fails still counts for those after it, so that one change is not told a thousand times.
The checks and their order are those of the record format, section "What a verifier checks".
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from lanewater.records import tree
from lanewater.records.bundle import SIGNATURE, Line, spelled
from lanewater.records.entries import (
    DIGEST,
    LARGEST,
    UUID7,
    digest,
    hold_to_profile,
    hold_to_size,
)
from lanewater.records.signing import SignatureError, check_signature, device_of
from lanewater.records.stamps import handover_holds
from lanewater.records.verify_state import Device, Finding, Restored, Walk
from lanewater.terms.errors import InputError
from lanewater.terms.jsontext import read_json
from lanewater.terms.shapes import Shape, anything, identity, instant, matching, whole

KEY_FORMS = {
    "ed25519": re.compile(r"[0-9a-f]{64}", re.ASCII),
    "ecdsa-p256": re.compile(r"04[0-9a-f]{128}", re.ASCII),
}
Changed = Callable[[str, str], Finding]
OWN_ENROLMENT = ("shell", "server")
TELLS_HEAD = ("record-restored", "record-exported", "backup-made", "stamp-sent")
HASH = re.compile(r"[0-9a-f]{64}", re.ASCII)
EMPTY_ROOTS = ("", tree.EMPTY.hex())


def a_text(value: Any, where: str) -> None:
    """Check for text of any kind."""
    if not isinstance(value, str):
        raise InputError(where, "must be text")


def an_object(value: Any, where: str) -> None:
    """Check for an object of any kind."""
    if not isinstance(value, Mapping):
        raise InputError(where, "must be an object")


# What is said is for people; a verifier knows of the body only what keys and heads need, so that
# a type made tomorrow does not fail today's verifier.
digest_or_empty = matching(DIGEST, "64 hexadecimal digits, or empty")
ENVELOPE = Shape(
    {
        "v": whole(1, 1),
        "id": matching(UUID7, "a version 7 UUID"),
        "site": identity,
        "dev": identity,
        "dseq": whole(1, LARGEST),
        "dprev": digest_or_empty,
        "type": matching(re.compile(r"[a-z][a-z0-9-]{0,47}", re.ASCII), "a type's name"),
        "at": instant,
        "rec": instant,
        "off": whole(-LARGEST, LARGEST),
        "tz": a_text,
        "clk": an_object,
        "seen": Shape({"size": whole(0, LARGEST), "root": digest_or_empty}),
        "user": identity,
        "auth": an_object,
        "body": an_object,
    },
    {"rules": anything, "amends": matching(UUID7, "a version 7 UUID"), "reason": a_text},
)


def take_line(walk: Walk, line: Line | None) -> None:
    """Walk over one line; None is a line that could not be read at all."""
    walk.lines += 1
    number = walk.lines
    if line is None:
        walk.find("changed", "form", f"line {number} cannot be read as it was written", line=number)
        walk.whole = False
        walk.index += 1
        return
    take_place(walk, line, number)
    entry = entry_of(line.raw)
    if number == 1 and entry is not None:
        walk.name = f"lanewater/{entry['site']}/{digest(line.raw)[:16]}"
    before = walk.size
    if walk.whole:
        put_in_tree(walk, line)
    if entry is None:
        says = f"line {number} is no entry in the form of the record"
        walk.find("changed", "form", says, line=number)
        return
    walk.site = walk.site or entry["site"]
    finding = next(failures(walk, line, entry, number, before), None)
    if finding is not None:
        walk.findings.append(finding)
    remember(walk, line, entry, number)


def take_place(walk: Walk, line: Line, number: int) -> None:
    """Hold a line to its place; behind one that is out of place the tree is not built."""
    if line.index > walk.index:
        says = f"{line.index - walk.index} missing after line {number - 1}"
        walk.find("missing", "place", says, line=number - 1)
    elif line.index < walk.index:
        walk.find("changed", "place", f"line {number} is out of its place", line=number)
    if line.index != walk.index:
        walk.whole = False
    walk.index = line.index + 1


def put_in_tree(walk: Walk, line: Line) -> None:
    """Grow the tree by a line."""
    data = tree.leaf_data(line.index, line.received_at, digest(line.raw), line.sig)
    for level, _position, value in tree.completed(walk.size, tree.leaf_hash(data), walk.node):
        if level == len(walk.levels):
            walk.levels.append([])
        walk.levels[level].append(value)


def entry_of(raw: bytes) -> dict[str, Any] | None:
    """Read an entry's bytes; None where they are not in the form of the record."""
    try:
        hold_to_size(raw)
        content = read_json(raw)
        hold_to_profile(content)
        ENVELOPE(content, "")
        return content if spelled(content) == raw else None
    except (InputError, ValueError, RecursionError):
        return None


def failures(
    walk: Walk, line: Line, entry: dict[str, Any], number: int, before: int
) -> Iterator[Finding]:
    """Give what does not hold of a line, in the order of the checks; the first is told."""

    def changed(by: str, says: str) -> Finding:
        return Finding("changed", by, f"line {number} {says}", line=number)

    if entry["site"] != walk.site:
        yield changed("form", "is of another site")
    if entry["id"] in walk.ids:
        yield changed("form", "repeats the id of an earlier line")
    yield from writer_failures(walk, line, entry, changed)
    yield from chain_failures(walk, entry, number, changed)
    if not seen_fits(walk, entry["seen"], before):
        yield changed("seen", "was written over another record than this")
    if entry["type"] in TELLS_HEAD and not head_fits(walk, entry["body"], before):
        yield changed("seen", "names a state that this record never had")
    yield from key_failures(walk, entry, number, changed)


def writer_failures(
    walk: Walk, line: Line, entry: dict[str, Any], changed: Changed
) -> Iterator[Finding]:
    """Give what does not hold of who wrote a line."""
    device = writer_of(walk, entry)
    if device is None:
        yield changed("device", f"is by {entry['dev']}, which is not enrolled to write it")
    elif device.revoked_line is not None:
        yield changed("device", f"is by {entry['dev']}, revoked in line {device.revoked_line}")
    elif not signature_fits(device, line):
        yield changed("signature", "does not carry the signature of its device")


def key_failures(
    walk: Walk, entry: dict[str, Any], number: int, changed: Changed
) -> Iterator[Finding]:
    """Give what does not hold of a line that says something of the record's keys."""
    body = entry["body"]
    if entry["type"] == "device-enrolled" and not may_enrol(walk, body):
        yield changed("device", "enrols a device in a way that cannot be")
    if entry["type"] == "device-revoked" and revoked(walk, body) is None:
        yield changed("device", "revokes a device that is not enrolled")
    if entry["type"] == "log-key-named":
        yield from log_key_failures(walk, body, number, changed)


def writer_of(walk: Walk, entry: dict[str, Any]) -> Device | None:
    """Give the device that wrote an entry: enrolled before, or a machine enrolling itself."""
    known = walk.devices.get(entry["dev"])
    body = entry["body"]
    if known is None and entry["type"] == "device-enrolled" and body.get("kind") in OWN_ENROLMENT:
        known = enrolment_of(body, 0) if body.get("device") == entry["dev"] else None
    return None if known is None or known.algorithm == "none" else known


def enrolment_of(body: dict[str, Any], number: int) -> Device | None:
    """Read an enrolment; None where the key is not one or the id does not follow from it."""
    device, algorithm = body.get("device"), body.get("algorithm")
    if algorithm == "none":
        free = isinstance(device, str) and body.get("public_key", "") == ""
        return Device("none", "", number) if free else None
    form, key = KEY_FORMS.get(str(algorithm)), body.get("public_key")
    if form is None or not isinstance(key, str) or not form.fullmatch(key):
        return None
    return Device(str(algorithm), key, number) if device == device_of(key) else None


def may_enrol(walk: Walk, body: dict[str, Any]) -> bool:
    """Tell whether an enrolment can be: whole, and of the same key where it is said again."""
    made = enrolment_of(body, 0)
    known = walk.devices.get(body["device"]) if made else None
    return made is not None and (
        known is None or (known.algorithm, known.public_key) == (made.algorithm, made.public_key)
    )


def revoked(walk: Walk, body: dict[str, Any]) -> Device | None:
    """Give the device that a line revokes, as it is known so far."""
    device = body.get("device")
    return walk.devices.get(device) if isinstance(device, str) else None


def signature_fits(device: Device, line: Line) -> bool:
    """Tell whether a line carries its device's signature."""
    try:
        check_signature(device.algorithm, device.public_key, line.raw, bytes.fromhex(line.sig))
    except SignatureError:
        return False
    return True


def chain_failures(
    walk: Walk, entry: dict[str, Any], number: int, changed: Changed
) -> Iterator[Finding]:
    """Give what does not hold of a device's own count and chain."""
    last, last_hash = walk.heads.get(entry["dev"], (0, ""))
    if entry["dseq"] > last + 1:
        says = f"device {entry['dev']} misses its entry {last + 1}, before line {number}"
        yield Finding("device-gap", "chain", says, line=number, device=entry["dev"], entry=last + 1)
    elif entry["dseq"] != last + 1 or entry["dprev"] != last_hash:
        yield changed("chain", "does not follow its device's previous entry")


def seen_fits(walk: Walk, seen: dict[str, Any], before: int) -> bool:
    """Tell whether the head that a line's device held is one of this record.

    After a restore a device may still hold a head of what was lost; that is on record, so such a
    head passes.
    """
    size, root = seen["size"], seen["root"]
    if size == 0:
        return root in EMPTY_ROOTS
    return is_head(walk, size, root, before) or any(
        may_be_lost(size, root, restored) for restored in walk.restored
    )


def may_be_lost(size: int, root: str, restored: Restored) -> bool:
    """Tell whether a head may lie in what a restore lost.

    Only the head that was held then can be compared. There is no lower bound: a record may have
    gone on from an older copy for a while before anybody could see that it was one.
    """
    return root == restored.held_root if size == restored.held_size else size < restored.held_size


def head_fits(walk: Walk, body: dict[str, Any], before: int) -> bool:
    """Tell whether the state that a line names is one of this record."""
    size, root = body.get("size"), body.get("root")
    if not tree.is_size(size) or not isinstance(size, int):
        return False
    if not isinstance(root, str) or not HASH.fullmatch(root):
        return False
    return is_head(walk, size, root, before)


def is_head(walk: Walk, size: int, root: str, before: int) -> bool:
    """Tell whether the first `size` lines have a head; unknown behind a line out of place."""
    if size > before:
        return not walk.whole
    return walk.root(size).hex() == root


def log_key_failures(
    walk: Walk, body: dict[str, Any], number: int, changed: Changed
) -> Iterator[Finding]:
    """Give what does not hold of a line that names the log's key."""
    key, word = str(body.get("public_key")), body.get("word")
    if body.get("algorithm") != "ed25519" or not is_log_key(key):
        yield changed("log-key", "names a log key that is none")
    elif walk.log_keys:
        current = walk.log_keys[-1][1]
        signed = isinstance(word, str) and SIGNATURE.fullmatch(word) is not None
        given = signed and handover_holds(str(word), current, key)
        if key not in walk.accepted and (body.get("replaces") != current or not given):
            says = f"line {number} names a new log key without the word of the one before"
            yield Finding("not-checked", "log-key", says, line=number)


def is_log_key(value: Any) -> bool:
    """Tell whether a value is an Ed25519 public key in hexadecimal digits."""
    return isinstance(value, str) and KEY_FORMS["ed25519"].fullmatch(value) is not None


def remember(walk: Walk, line: Line, entry: dict[str, Any], number: int) -> None:
    """Keep what the lines after this one are held to."""
    walk.ids.add(entry["id"])
    walk.heads[entry["dev"]] = (entry["dseq"], digest(line.raw))
    body, kind = entry["body"], entry["type"]
    if kind == "device-enrolled" and (made := enrolment_of(body, number)) is not None:
        walk.devices.setdefault(body["device"], made)
    elif kind == "device-revoked" and (known := revoked(walk, body)) is not None:
        if known.revoked_line is None:
            walk.devices[body["device"]] = replace(known, revoked_line=number)
    elif kind == "log-key-named" and is_log_key(body.get("public_key")):
        walk.log_keys.append((number, body["public_key"]))
    elif kind == "record-restored":
        sizes = (body.get("size"), body.get("held_size"))
        if all(tree.is_size(size) for size in sizes):
            walk.restored.append(Restored(number, *sizes, str(body.get("held_root"))))
