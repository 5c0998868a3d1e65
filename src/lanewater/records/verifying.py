"""The answer over a whole record: is it complete, and if not, what does not hold and where.

One answer for the store and for a bundle. It fails closed: what could not be checked is a finding.
The words and their order are those of the record format, section "What a verifier checks".
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from lanewater.records.bundle import (
    EVENTS,
    KEYS,
    MANIFEST,
    REQUIRED,
    STAMPS,
    Line,
    keys_text,
    read_lines,
    read_manifest,
    read_stamps,
)
from lanewater.records.stamps import Stamp, read_stamp, stamp_holds
from lanewater.records.verify_lines import take_line
from lanewater.records.verify_state import Finding, Walk
from lanewater.terms.errors import InputError

COMPLETE = "complete"
# The gravest word is the outcome.
OUTCOMES = (
    "another-record",
    "changed",
    "missing",
    "rolled-back",
    "device-gap",
    "file-changed",
    "not-checked",
)
BESIDE, OUTSIDE = "stamp-beside", "stamp-outside"
MOST_TOLD = 100


@dataclass(frozen=True, slots=True)
class Answer:
    """What a verifier says of a record."""

    outcome: str
    lines: int
    root: str
    stamps_held: int
    restored: tuple[int, ...]
    findings: tuple[Finding, ...]

    @property
    def complete(self) -> bool:
        """Tell whether everything was checked and held."""
        return self.outcome == COMPLETE

    def fields(self) -> dict[str, Any]:
        """Give the answer for a program to read; at most a hundred findings are listed."""
        told = [finding.fields() for finding in self.findings[:MOST_TOLD]]
        return {
            "outcome": self.outcome,
            "lines": self.lines,
            "root": self.root,
            "stamps_held": self.stamps_held,
            "restored": list(self.restored),
            "findings": told,
            "more": len(self.findings) - len(told),
        }


def walk_over(lines: Iterable[Line | None], accepted: frozenset[str] = frozenset()) -> Walk:
    """Walk over the lines of a record, the first one first.

    Parameters
    ----------
    lines : iterable of Line or None
        None for one that cannot be read.
    accepted : frozenset of str
        Log keys that somebody answers for, so that they need no word of the key before them.
    """
    walk = Walk(accepted=accepted)
    for line in lines:
        take_line(walk, line)
    return walk


def keys_of(walk: Walk) -> dict[str, Any]:
    """Give what the lines say of the record's keys, as keys.json holds it."""
    devices = [
        {"device": name, "algorithm": known.algorithm, "line": known.line}
        | ({"public_key": known.public_key} if known.public_key else {})
        | ({"revoked_line": known.revoked_line} if known.revoked_line is not None else {})
        for name, known in walk.devices.items()
    ]
    return {
        "origin_name": walk.name or "",
        "log_keys": [
            {"algorithm": "ed25519", "line": line, "public_key": key} for line, key in walk.log_keys
        ],
        "devices": devices,
    }


def answer_over(
    walk: Walk,
    beside: Sequence[Stamp],
    outside: Sequence[Stamp | None] = (),
    *,
    others: Iterable[Finding] = (),
    covered: bool = True,
) -> Answer:
    """Answer for a record that was walked over.

    Parameters
    ----------
    walk : Walk
        From `walk_over`.
    beside : sequence of Stamp
        The stamps kept with the record.
    outside : sequence of Stamp or None
        Stamps that were held elsewhere; None for one that could not be read.
    others : iterable of Finding
        What was found in files and columns.
    covered : bool
        Whether the stamps beside must cover every line; not so between two stamps of a store.
    """
    findings = [*others, *walk.findings]
    held = hold_stamps(walk, beside, BESIDE, findings)
    if covered:
        findings += cover_findings(walk, held)
    hold_stamps(walk, outside, OUTSIDE, findings)
    words = {finding.what for finding in findings}
    return Answer(
        outcome=next((word for word in OUTCOMES if word in words), COMPLETE),
        lines=walk.lines,
        root=walk.root(walk.size).hex() if walk.whole else "",
        stamps_held=len(held),
        restored=tuple(restored.line for restored in walk.restored),
        findings=tuple(findings),
    )


def hold_stamps(
    walk: Walk, stamps: Sequence[Stamp | None], by: str, findings: list[Finding]
) -> list[int]:
    """Hold the record to stamps; give the sizes of those that hold."""
    held: list[int] = []
    against: list[Finding] = []
    for number, stamp in enumerate(stamps, start=1):
        finding = (
            Finding("not-checked", by, f"the stamp number {number} cannot be read", stamp=number)
            if stamp is None
            else stamp_finding(walk, stamp, by)
        )
        if finding is not None:
            against.append(finding)
        elif stamp is not None:
            held.append(stamp.head.size)
    findings += [narrowed(finding, held) for finding in against]
    return held


def stamp_finding(walk: Walk, stamp: Stamp, by: str) -> Finding | None:
    """Hold the record to one stamp; None where it holds."""
    size = stamp.head.size
    called = f"the stamp of size {size}"
    if walk.lines > 0 and walk.name is None:
        return Finding("not-checked", by, f"{called}: line 1 cannot be read", size=size)
    if walk.lines > 0 and stamp.head.name != walk.name:
        says = f"{called} is of another record: {stamp.head.name}"
        return Finding("another-record", by, says, size=size)
    if walk.lines > 0 and not signed(walk, stamp):
        what = "changed" if by == BESIDE else "not-checked"
        return Finding(what, by, f"{called} is not signed with this record's key", size=size)
    return head_finding(walk, stamp, by, called + own_word(walk, stamp))


def head_finding(walk: Walk, stamp: Stamp, by: str, called: str) -> Finding | None:
    """Hold the record's heads to a signed one."""
    size = stamp.head.size
    if size > walk.lines:
        if by == BESIDE:
            says = f"missing after line {walk.lines}: {called} says so"
            return Finding("missing", by, says, line=walk.lines, size=size)
        says = f"rolled back against {called}"
        return Finding("rolled-back", by, says, line=walk.lines, size=size)
    if size > walk.size:
        return Finding("not-checked", by, f"{called}: a line before cannot be read", size=size)
    if walk.root(size) != stamp.head.root:
        return Finding("changed", by, f"against {called}", line=1, until=size, size=size)
    if stamp.head.epoch != epoch_at(walk, size):
        return Finding("changed", by, f"{called} is of another epoch", size=size)
    return None


def signed(walk: Walk, stamp: Stamp) -> bool:
    """Tell whether a stamp carries the log key that was in force at its size."""
    keys = [key for line, key in walk.log_keys if line <= stamp.head.size]
    return len(keys) > 0 and stamp_holds(stamp, keys[-1], stamp.head.name)


def epoch_at(walk: Walk, size: int) -> int:
    """Give the epoch of the first `size` lines."""
    return 1 + sum(restored.line <= size for restored in walk.restored)


def own_word(walk: Walk, stamp: Stamp) -> str:
    """Say where the record itself tells that it was put back behind a stamp."""
    epoch = stamp.head.epoch
    if epoch > len(walk.restored) or stamp.head.size <= walk.restored[epoch - 1].size:
        return ""
    return f" (restored in line {walk.restored[epoch - 1].line}, as the record itself says)"


def narrowed(finding: Finding, held: Sequence[int]) -> Finding:
    """Say between which lines a record was changed: an older stamp that holds covers the rest."""
    if finding.what != "changed" or finding.until is None or finding.size is None:
        return finding
    first = 1 + max((size for size in held if size < finding.size), default=0)
    says = f"changed between line {first} and line {finding.until}, {finding.says}"
    return replace(finding, line=first, says=says)


def cover_findings(walk: Walk, held: Sequence[int]) -> list[Finding]:
    """Give the lines that no stamp beside the record covers."""
    newest = max(held, default=0)
    if walk.lines == 0:
        return [Finding("not-checked", BESIDE, "nothing is on record", line=0)]
    if newest >= walk.lines:
        return []
    says = f"no stamp covers line {newest + 1} to line {walk.lines}"
    return [Finding("not-checked", BESIDE, says, line=newest + 1, until=walk.lines)]


def answer_over_bundle(
    files: Mapping[str, bytes],
    outside: Iterable[str] = (),
    accepted: frozenset[str] = frozenset(),
) -> Answer:
    """Answer for a bundle.

    Parameters
    ----------
    files : mapping
        From name to content; a file that the manifest does not name is passed over.
    outside : iterable of str
        Texts that hold stamps from elsewhere, one or several each.
    accepted : frozenset of str
        As in `walk_over`.
    """
    walk = walk_over(read_lines(files.get(EVENTS, b"")), accepted)
    others = file_findings(files)
    beside: list[Stamp] = []
    try:
        beside = read_stamps(files.get(STAMPS, b"").decode())
    except (InputError, UnicodeDecodeError):
        others.append(Finding("file-changed", "file", f"{STAMPS} cannot be read", file=STAMPS))
    if KEYS in files and files[KEYS] != keys_text(keys_of(walk)):
        says = f"{KEYS} does not say what the lines say"
        others.append(Finding("file-changed", "file", says, file=KEYS))
    held_elsewhere = [stamp for text in outside for stamp in stamps_in(text)]
    return answer_over(walk, beside, held_elsewhere, others=others)


def stamps_in(text: str) -> list[Stamp | None]:
    """Find the stamps in a text that came by hand, such as an e-mail; None for a broken one.

    A stamp begins at each line that begins with lanewater/; blanks at the ends of lines and what
    stands around are no matter. A text without any gives one that cannot be read.
    """
    lines = [line.rstrip(" \t\r") for line in text.split("\n")]
    starts = [number for number, line in enumerate(lines) if line.startswith("lanewater/")]
    return [stamp_at(lines, start) for start in starts] or [None]


def stamp_at(lines: Sequence[str], start: int) -> Stamp | None:
    """Read the stamp that begins at a line."""
    end = start + 4
    while end < len(lines) and lines[end].startswith("— "):
        end += 1
    try:
        return read_stamp("\n".join(lines[start:end]) + "\n")
    except InputError:
        return None


def file_findings(files: Mapping[str, bytes]) -> list[Finding]:
    """Hold a bundle's files to its manifest."""

    def found(what: str, file: str, says: str) -> Finding:
        return Finding(what, "file", f"{file} {says}", file=file)

    missing = [found("file-changed", name, "is missing") for name in REQUIRED if name not in files]
    if MANIFEST not in files:
        return [*missing, found("not-checked", MANIFEST, "is missing")]
    listed = read_manifest(files[MANIFEST])
    if listed is None:
        return [*missing, found("file-changed", MANIFEST, "cannot be read")]
    findings = missing
    for name in sorted({*REQUIRED, *listed}):
        if name not in listed:
            findings.append(found("not-checked", name, f"is not in {MANIFEST}"))
        elif name not in files:
            findings += [] if name in REQUIRED else [found("file-changed", name, "is missing")]
        elif hashlib.sha256(files[name]).hexdigest() != listed[name]:
            findings.append(found("file-changed", name, f"is not the one in {MANIFEST}"))
    return findings
