"""Faults that somebody could well build in; the histories must find every one of them."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from tests.sync.device import Device
from tests.sync.ledger import Ledger

from lanewater.records.entries import Entry
from lanewater.records.receiving import Ground, Sealed, Sender


class TakesTwice(Ledger):
    """A server that does not know again what it has taken."""

    def ground(self, sender: Sender, sealed: Sealed) -> Ground:
        """Give a ground on which everything is new and follows."""
        entry = json.loads(sealed.text)
        head = (entry["dseq"] - 1, entry["dprev"])
        return replace(super().ground(sender, sealed), bytes_of=lambda _id: None, head=head)


class AnswersFirst(Ledger):
    """A server that answers before it is on disk."""

    def push(self, device: str, batch: Sequence[tuple[str, str]], held: str) -> dict[str, Any]:
        """Answer, and lose it."""
        if self.kill != "before":
            return super().push(device, batch, held)
        before, self.kill = self.kept.copy(), ""
        answer = super().push(device, batch, held)
        self.kept = before
        return answer


class Asleep(Ledger):
    """A server that does not look at the stamps that devices hold."""

    def hold_to(self, text: str) -> None:
        """Look away."""


class HearsTheRevoked(Ledger):
    """A server that forgets that a device was revoked."""

    def take(self, sealed: Sealed, sender: Sender) -> dict[str, Any]:
        """Take from anybody."""
        return super().take(sealed, replace(sender, revoked=False))


class HearsAnything(Ledger):
    """A server that lets a device say anything."""

    def take(self, sealed: Sealed, sender: Sender) -> dict[str, Any]:
        """Take whatever it is, as if it were a thing that a device may say."""
        entry = Entry(**json.loads(sealed.text))
        if (
            entry.type == "rules-chosen"
            and entry.dseq == self.kept.heads.get(entry.dev, (0,))[0] + 1
        ):
            self.put(entry, sealed.text.encode(), bytes.fromhex(sealed.sig))
        return super().take(sealed, sender)


class BelievesAnyPin(Ledger):
    """A server that takes a device's word that it checked a PIN."""

    def ground(self, sender: Sender, sealed: Sealed) -> Ground:
        """Give a ground on which every grant holds."""
        return replace(super().ground(sender, sealed), proves=lambda _entry: True)


@dataclass
class ClearsTheQueue(Device):
    """A device that takes any acknowledgement for all it has."""

    cleared: set[str] = field(default_factory=set)

    def take_answer(self, answer: Mapping[str, Any], held_then: Any) -> None:
        """Drop what waits as soon as anything was taken."""
        super().take_answer(answer, held_then)
        if any(one["outcome"] != "refused" for one in answer["outcomes"]):
            self.cleared |= {one.entry.id for one in self.chain[self.done :]}

    @property
    def waiting(self) -> int:
        """Give how many facts it still thinks of."""
        return sum(one.entry.id not in self.cleared for one in self.chain[self.done :])

    def batch(self, most: int = 200) -> list[tuple[str, str]]:
        """Give what it still thinks of."""
        kept = [one for one in self.chain[self.done :] if one.entry.id not in self.cleared]
        return [(one.raw.decode(), one.sig.hex()) for one in kept[:most]]


class SeesNoLess(Device):
    """A device that says the same bytes for ever, whatever became of the history it saw."""

    def see_less(self, _fact: str) -> bool:
        """Insist."""
        return False


SERVERS = (TakesTwice, AnswersFirst, Asleep, HearsTheRevoked, HearsAnything, BelievesAnyPin)
DEVICES = (ClearsTheQueue,)
