"""What a verifier knows on its way over a record, and what it finds."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from lanewater.records import tree


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that does not hold: what it is, what showed it, where it is."""

    what: str
    by: str
    says: str
    line: int | None = None
    until: int | None = None
    device: str | None = None
    entry: int | None = None
    size: int | None = None
    stamp: int | None = None
    file: str | None = None

    def fields(self) -> dict[str, Any]:
        """Give the finding for a program to read, without what does not apply."""
        named = ((name, getattr(self, name)) for name in Finding.__slots__)
        return {name: value for name, value in named if value is not None}


@dataclass(frozen=True, slots=True)
class Device:
    """A device as the line that enrolled it says."""

    algorithm: str
    public_key: str
    line: int
    revoked_line: int | None = None


@dataclass(frozen=True, slots=True)
class Restored:
    """A line that says that the record was put back to an older state."""

    line: int
    size: int
    held_size: int
    held_root: str


@dataclass(slots=True)
class Walk:
    """What is known after the lines walked so far."""

    lines: int = 0
    index: int = 0
    site: str | None = None
    name: str | None = None
    devices: dict[str, Device] = field(default_factory=dict)
    heads: dict[str, tuple[int, str]] = field(default_factory=dict)
    ids: set[str] = field(default_factory=set)
    log_keys: list[tuple[int, str]] = field(default_factory=list)
    restored: list[Restored] = field(default_factory=list)
    levels: list[list[bytes]] = field(default_factory=list)
    whole: bool = True
    accepted: frozenset[str] = frozenset()
    findings: list[Finding] = field(default_factory=list)

    @property
    def size(self) -> int:
        """Give how many lines the tree holds."""
        return len(self.levels[0]) if self.levels else 0

    def root(self, size: int) -> bytes:
        """Give the head over the first lines, at most as many as the tree holds."""
        return tree.root(size, self.node)

    def node(self, level: int, position: int) -> bytes:
        """Give a node of the tree."""
        return self.levels[level][position]

    def find(self, what: str, by: str, says: str, **where: Any) -> None:
        """Note something that does not hold."""
        self.findings.append(Finding(what, by, says, **where))
