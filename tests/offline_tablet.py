"""A tablet that was offline: it signs by itself, and what it wrote arrives when the test says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from tests.baths import GOOD

from lanewater.records.entries import Entry, canonical, digest
from lanewater.records.signing import DeviceKey, make_key, sign
from lanewater.records.tree import root
from lanewater.service.actor import SHELL
from lanewater.service.book import Book, new_id
from lanewater.service.clock import instant_text, offset_minutes
from lanewater.service.rounds import judge_round


@dataclass
class OfflineTablet:
    """A tablet with a key of its own.

    Attributes
    ----------
    book : Book
        The book that its entries arrive in.
    name : str
        What people call it.
    seen_size : int
        How many lines of the record it held when it was last in reach.
    """

    book: Book
    name: str
    key: DeviceKey = field(default_factory=make_key)
    seen_size: int = 0
    dseq: int = 0
    dprev: str = ""

    def enrol(self) -> OfflineTablet:
        """Put the tablet on record and let it see everything so far."""
        body = {
            "device": self.key.device,
            "name": self.name,
            "kind": "shared",
            "algorithm": "ed25519",
            "public_key": self.key.public_hex,
        }
        with self.book.writing() as writing:
            writing.append("device-enrolled", body, SHELL)
        return self.hear()

    def hear(self) -> OfflineTablet:
        """Let the tablet see everything that is on record."""
        self.seen_size = self.book.state.index + 1
        return self

    def write(
        self,
        kind: str,
        body: Mapping[str, Any],
        *,
        user: str = "p-tester",
        at_ms: int | None = None,
        pin: bool = False,
        reason: str | None = None,
    ) -> str:
        """Have what the tablet wrote unaware arrive; give its id.

        `pin` says that the tablet checked the user's PIN; the grant that shows it is taken to hold.
        """
        book = self.book
        now = book.clock()
        claimed = now if at_ms is None else at_ms
        with book.writing() as writing:
            head = root(self.seen_size, writing.node).hex() if self.seen_size else ""
            entry = Entry(
                id=new_id(now),
                site=writing.site,
                dev=self.key.device,
                dseq=self.dseq + 1,
                dprev=self.dprev,
                type=kind,
                at=instant_text(claimed),
                rec=instant_text(claimed),
                off=offset_minutes(writing.timezone, claimed),
                tz=writing.timezone,
                clk={"offset_ms": 0, "rtt_ms": 0, "age_s": 0},
                seen={"size": self.seen_size, "root": head},
                user=user,
                auth={"method": "pin" if pin else "none", "verified": False},
                body=body,
                reason=reason,
            )
            raw = canonical(entry)
            writing.take_in(entry, raw, sign(self.key, raw), instant_text(now))
        self.dseq, self.dprev = entry.dseq, digest(raw)
        if kind == "round-recorded":
            judge_round(book, entry.id)
        return entry.id

    def round(self, pool: str = "main", *, pin: bool = False, **changes: str) -> str:
        """Have a good round with changes to its readings arrive; give its id."""
        rows = (GOOD | changes).items()
        readings = [{"parameter": key, "value": value} for key, value in rows]
        body = {"pool": pool, "source": "direct", "tester": {"person": "p-tester"}}
        return self.write("round-recorded", body | {"readings": readings}, pin=pin)
