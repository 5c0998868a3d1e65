"""What a sheet of the record is: what is gathered for it, and the rows in words it comes to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from lanewater.records.entries import Entry


@dataclass(frozen=True, slots=True)
class Line:
    """One entry with its own bytes and what the record says of it.

    Attributes
    ----------
    known_from_ms : int or None
        When the newest line that its device knew came on record; None where it knew none.
    timing : str
        One of `records.timing.TIMINGS`.
    """

    index: int
    at_ms: int
    received_ms: int
    known_from_ms: int | None
    timing: str
    entry: Entry
    raw: bytes
    sig: bytes


@dataclass(frozen=True, slots=True)
class Plan:
    """When a pool had to be tested, from one set-up of it to the next.

    Attributes
    ----------
    from_ms : int
        From when on. [UTC ms]
    hours : list of dict, or None
        As `kernel.deciding.due` takes them; None where not stated.
    every_ms : int
        The shorter of what rules and plan ask for; 0 where neither says.
    before_ms : int
        How long before opening a test counts for the opening; 0 where not asked for.
    why : str
        Whose interval it is: the clause, or "site plan".
    closed_days : tuple of int
        Days, counted from 1970-01-01, on which nothing opens.
    schedules : tuple of dict
        What else rules and site ask for, as `kernel.deciding.schedules` takes it.
    """

    from_ms: int
    hours: list[dict[str, int]] | None
    every_ms: int
    before_ms: int
    why: str
    closed_days: tuple[int, ...] = ()
    schedules: tuple[dict[str, Any], ...] = ()


@dataclass(frozen=True, slots=True)
class PoolPart:
    """What is gathered of one pool; the status and the last round are those before the period.

    `owed` is what comes by the calendar and is overdue at the time of printing.
    """

    id: str
    name: str
    bromine: bool
    plans: tuple[Plan, ...]
    status: str = ""
    status_ms: int = 0
    last_round_ms: int | None = None
    owed: tuple[Mapping[str, Any], ...] = ()


@dataclass(frozen=True, slots=True)
class Material:
    """Everything a sheet is made of, in UTC milliseconds; nothing in it is worded yet.

    Attributes
    ----------
    lines : tuple of Line
        What lies in the period by its claimed time, and whatever is about such a line.
    offsets : sequence of dict
        The site's offsets from UTC over the period, as `kernel.deciding.due` takes them.
    names : mapping
        {"name", "initials"} by person id, as they are known at the time of printing.
    named : mapping
        Names of products, kits and devices by id.
    stamp : str
        The three lines and the signature of the record's newest stamp; "" where there is none.
    size : int
        How many lines the record has.
    recorded_ms : int
        When its newest line came on record.
    now_ms : int
        The time of printing: gaps are looked for up to here.
    unauthorised : frozenset of str
        Entries that devices sent of what the record gave nobody the authority for.
    """

    site: str
    site_id: str
    timezone: str
    demo: bool
    us_paper: bool
    title: str
    since_ms: int
    until_ms: int
    now_ms: int
    pools: tuple[PoolPart, ...]
    lines: tuple[Line, ...]
    offsets: Sequence[dict[str, int]]
    names: Mapping[str, Mapping[str, str]]
    named: Mapping[str, str]
    devices: Mapping[str, Mapping[str, Any]]
    stamp: str
    size: int
    recorded_ms: int
    unauthorised: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Value:
    """A reading in a row: as it stands, and what stood there before, oldest first."""

    text: str
    was: tuple[str, ...] = ()
    computed: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a sheet, in words.

    Attributes
    ----------
    kind : str
        A key of `words.KINDS`.
    at_ms, at : int, str
        When, as claimed; the site's own time as 2026-11-03 05:51.
    on_record, known_from_ms, received_ms : str, int, int
        Between which times it came on record; empty for a row that is no line of the record.
    timing : str
        One of `records.timing.TIMINGS`, "" for a row that is no line.
    values : mapping
        The readings by parameter.
    overall, outcome : str
        Against the rules: in a few words, and with the clause of what is not met.
    text : str
        What happened, what was done, by whom.
    flags : tuple of str
        Late, from paper, corrected, not signed in.
    line : int or None
        Its index in the record.
    first : bool
        False for the further points of a round.
    fails : bool
        Whether it is a round that does not meet its rules, or nothing could be said of.
    """

    kind: str
    pool: str
    at_ms: int
    at: str
    on_record: str = ""
    timing: str = ""
    point: str = ""
    by: str = ""
    values: Mapping[str, tuple[Value, ...]] = field(default_factory=dict)
    bathers: str = ""
    overall: str = ""
    outcome: str = ""
    text: str = ""
    flags: tuple[str, ...] = ()
    known_from_ms: int | None = None
    received_ms: int | None = None
    line: int | None = None
    entry: str = ""
    first: bool = True
    fails: bool = False
    missed: int = 0


@dataclass(frozen=True, slots=True)
class PoolSheet:
    """One pool's rows in order of time, with what stands above them."""

    id: str
    name: str
    bromine: bool
    counts: Mapping[str, int]
    intervals: tuple[str, ...]
    rules: tuple[str, ...]
    limits: tuple[str, ...]
    rows: tuple[Row, ...]
    failures: tuple[tuple[Row, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet in words; what is the same for every form it is written in.

    Attributes
    ----------
    left_out : str
        What an overview leaves out and where it stands; "" for a whole sheet.
    events : bytes
        The lines it is made of, as a bundle's events.jsonl has them.
    """

    site: str
    site_id: str
    timezone: str
    demo: bool
    us_paper: bool
    title: str
    period: str
    as_of: str
    recorded_ms: int
    size: int
    pools: tuple[PoolSheet, ...]
    people: tuple[tuple[str, str], ...]
    devices: tuple[tuple[str, str, str], ...]
    kits: tuple[tuple[str, str], ...]
    others: tuple[Row, ...]
    stamp: str
    events: bytes
    left_out: str = ""
