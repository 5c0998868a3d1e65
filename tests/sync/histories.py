"""Histories of several devices and one server: everything that can happen to what they say.

One seed gives one history: facts are made, sent, lost, doubled, held up, answered and not answered;
the server is killed, its record is put back from an older copy, devices are revoked and forget.
Then the network heals, and what must hold is held: every fact stands exactly once, each device's
sequence has no gap, every copy of the record is the same, and nobody was told what is not so.
"""

from __future__ import annotations

import json
import random
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

from tests.sync.deciding import conflicts_in, unheard_closings
from tests.sync.device import Device
from tests.sync.ledger import OPENER, POOLS, Killed, RolledBack

from lanewater.records.entries import digest
from lanewater.records.receiving import BY_PIN, SENDABLE
from lanewater.records.stamps import Head

STEPS = (12, 50)
ROUNDS_TO_HEAL = 30
READINGS = (
    {"parameter": "free_chlorine", "value": "1.52"},
    {"parameter": "ph", "value": "7.43"},
    {"parameter": "clarity", "value": "visible"},
)
# What a run over many histories must have reached, or it proves nothing.
SOMETIMES = (
    "accepted",
    "adopted",
    "claims-less",
    "claims-proof",
    "conflict",
    "does-not-follow",
    "fork",
    "gap",
    "id-reused",
    "killed-after",
    "killed-before",
    "known",
    "lost-ack",
    "number-taken",
    "other-history-seen",
    "put-back",
    "recorded",
    "restoring-followed",
    "revoked",
    "rollback-seen",
    "rollback-proved",
    "rollback-noticed",
    "set-aside",
    "settled",
    "signed-anew",
    "two-tabs",
)


ALARMS = ("rollback-seen", "other-history-seen", "two-receipts")


class Fault(AssertionError):  # noqa: N818 - a finding, not an error of the program
    """Something that must hold does not."""


class Server(Protocol):
    """What a history needs of a server."""

    now_ms: int
    kill: str
    trouble: str
    log_key: str
    site: str
    granted: set[str]

    def push(self, device: str, batch: Any, held: str) -> dict[str, Any]: ...
    def lines(self, device: str, start: int) -> dict[str, Any]: ...
    def say(self, kind: str, body: Mapping[str, Any]) -> str: ...
    def new_id(self) -> str: ...
    def revoke(self, device: str) -> None: ...
    def backup(self) -> Any: ...
    def restore(self, copy: Any, *, whole: bool) -> None: ...
    def accept(self) -> None: ...
    def restart(self) -> None: ...
    def evidence(self) -> set[tuple[str, str, bytes]]: ...
    def on_record(self) -> list[Mapping[str, Any]]: ...
    def head(self) -> Head: ...
    def decided(self) -> Any: ...


@dataclass
class Message:
    """A question on its way, or its answer."""

    device: Device
    kind: str
    sent: Any
    held: str
    held_then: Head | None
    answer: dict[str, Any] | None = None


@dataclass
class History:
    """One history while it happens."""

    seed: int
    server: Server
    devices: list[Device]
    rng: random.Random
    decide: Callable[[list[Mapping[str, Any]]], Any] | None = None
    net: list[Message] = field(default_factory=list)
    reached: Counter[str] = field(default_factory=Counter)
    late: list[Message] = field(default_factory=list)
    trace: list[str] = field(default_factory=list)
    copy: Any = None
    copy_size: int = 0
    newer: Any = None
    behind: bool = False
    rolled: bool = False
    ended: set[str] = field(default_factory=set)
    shown: set[tuple[str, bytes]] = field(default_factory=set)
    forgotten: set[str] = field(default_factory=set)
    skew: dict[str, int] = field(default_factory=dict)

    def run(self) -> Counter[str]:
        """Let it happen, heal the network and hold what must hold."""
        acts = self.acts()
        names, weights = [act.__name__ for act in acts], list(acts.values())
        self.skew = {d.device: self.rng.choice((0, 0, -90, 400)) * 60_000 for d in self.devices}
        chosen = list(acts)
        for _ in range(self.rng.randint(*STEPS)):
            act = self.rng.choices(chosen, weights)[0]
            self.trace.append(names[chosen.index(act)])
            act()
        self.heal()
        self.hold()
        for device in self.devices:
            self.reached.update(device.events)
        return self.reached

    def acts(self) -> dict[Callable[[], None], float]:
        """Give what may happen in this history, and how often: each has faults of its own."""
        often: dict[Callable[[], None], float] = {
            self.write: 10,
            self.open_or_close: 4,
            self.settle: 2,
            self.push: 9,
            self.pull: 4,
            self.deliver: 22,
            self.office: 2,
            self.tick: 1,
        }
        seldom: dict[Callable[[], None], float] = {
            self.drop: 4,
            self.double: 4,
            self.hold_up: 3,
            self.kill: 2,
            self.revoke: 0.7,
            self.back_up: 3,
            self.put_back: 3,
            self.decide_restoring: 2,
            self.forget: 2,
            self.say_wrong: 1,
        }
        chosen = {act: weight for act, weight in seldom.items() if self.rng.random() < 0.5}
        if self.put_back in chosen:
            chosen |= {act: seldom[act] for act in (self.back_up, self.decide_restoring)}
        if self.say_wrong in chosen:
            chosen |= {self.hold_up: 6}
        if self.say_wrong in chosen:
            often[self.push] += 6
        return often | chosen

    def some(self) -> Device:
        """Give one of the devices."""
        return self.rng.choice(self.devices)

    def write(self) -> None:
        """Somebody says something at a device."""
        device = self.some()
        pool = self.rng.choice(POOLS)
        who = {"user": OPENER} if self.rng.random() < 0.5 else {}
        tester = {"person": OPENER} if who else {"unlisted": True}
        readings = list(READINGS)
        kind, body = self.rng.choice(
            (
                ("told", {"pool": pool, "about": "x", "whom": "y"}),
                ("everyone-out", {"pool": pool, "stop": "glass"}),
                (
                    "round-recorded",
                    {"pool": pool, "source": "direct", "tester": tester, "readings": readings},
                ),
            )
        )
        self.make(device, kind, body, **who)

    def make(self, device: Device, kind: str, body: Mapping[str, Any], **more: Any) -> None:
        """Make a fact at a device, by its own clock."""
        at_ms = self.server.now_ms + self.skew[device.device]
        device.write(self.server.new_id(), kind, body, at_ms, **more)

    def open_or_close(self) -> None:
        """Somebody opens or closes a pool at a device that knows what it knows."""
        device, pool = self.some(), self.rng.choice(POOLS)
        if self.rng.random() < 0.5:
            self.make(device, "pool-opened", {"pool": pool}, user=OPENER)
        else:
            kind = self.rng.choice(("closed", "shut"))
            self.make(device, "pool-closed", {"pool": pool, "kind": kind}, user=OPENER)

    def settle(self) -> None:
        """Somebody settles at a device what its copy shows in conflict."""
        device = self.some()
        if device.trouble or device.recopy:
            return
        for pool, known in conflicts_in(device.replica.lines).items():
            status = self.rng.choice(("open", "closed"))
            body = {"pool": pool, "status": status, "entries": known}
            self.make(device, "opening-settled", body, user=OPENER, reason="I went to look")
            self.reached["settled"] += 1

    def say_wrong(self) -> None:
        """A device says what it may not say by itself, and then what it may."""
        device = self.some()
        if self.rng.random() < 0.5:
            self.make(device, "pool-opened", {"pool": "main"})
        else:
            self.make(device, "rules-chosen", {"rules": "none"}, user=OPENER)
        self.make(device, "told", {"pool": "main", "about": "x", "whom": "y"})

    def push(self) -> None:
        """A tab of a device sends what waits."""
        device = self.some()
        if device.revoked and self.rng.random() < 0.8:
            return
        if any(one.device is device and one.kind == "push" for one in self.net):
            self.reached["two-tabs"] += 1
        batch = device.batch(self.rng.choice((1, 2, 200)))
        self.net.append(Message(device, "push", batch, device.held_text, device.held))

    def pull(self) -> None:
        """A tab of a device asks for lines."""
        device = self.some()
        self.net.append(
            Message(device, "pull", device.wanted_from(), device.held_text, device.held)
        )

    def deliver(self) -> None:
        """A message arrives, whichever."""
        if self.net:
            message = self.net.pop(self.rng.randrange(len(self.net)))
            if message.answer is None:
                self.ask(message)
            else:
                self.take(message)

    def ask(self, message: Message) -> None:
        """A question arrives at the server."""
        device = message.device
        try:
            if message.kind == "push":
                before = self.server.trouble
                message.answer = self.server.push(device.device, message.sent, message.held)
                if device.device in self.ended:
                    self.shown |= {(device.device, text.encode()) for text, _ in message.sent}
            else:
                message.answer = self.server.lines(device.device, message.sent)
        except RolledBack:
            if message.kind == "push" and not before:
                self.reached["rollback-proved"] += 1
            return
        except Killed:
            self.server.restart()
            return
        self.net.append(message)

    def take(self, message: Message) -> None:
        """An answer arrives at its device."""
        assert message.answer is not None
        if message.kind == "push":
            message.device.take_answer(message.answer, message.held_then)
        else:
            message.device.take_lines(message.sent, message.answer, message.held_then)

    def drop(self) -> None:
        """A message is lost."""
        if self.net:
            message = self.net.pop(self.rng.randrange(len(self.net)))
            if message.answer is not None and message.kind == "push":
                self.reached["lost-ack"] += 1

    def double(self) -> None:
        """A message arrives, and will arrive again."""
        if self.net:
            message = self.rng.choice(self.net)
            twin = Message(
                message.device,
                message.kind,
                message.sent,
                message.held,
                message.held_then,
                message.answer,
            )
            if message.answer is None:
                self.ask(twin)
            else:
                self.take(twin)

    def hold_up(self) -> None:
        """A push is held up on its way, sent again in the meantime, and arrives much later."""
        waiting = [one for one in self.net if one.kind == "push" and one.answer is None]
        if waiting:
            self.late.append(self.rng.choice(waiting))

    def kill(self) -> None:
        """The next push kills the server, before or after it is on disk."""
        self.server.kill = self.rng.choice(("before", "after"))
        self.reached[f"killed-{self.server.kill}"] += 1

    def office(self) -> None:
        """Somebody at the server opens or closes a pool."""
        if not self.server.trouble:
            pool = self.rng.choice(POOLS)
            if self.rng.random() < 0.5:
                self.server.say("pool-opened", {"pool": pool})
            else:
                self.server.say("pool-closed", {"pool": pool, "kind": "closed"})

    def tick(self) -> None:
        """Time passes."""
        self.server.now_ms += self.rng.choice((1_000, 60_000, 3_600_000))

    def revoke(self) -> None:
        """A device is lost and revoked; at least one is left."""
        left = [d for d in self.devices if d.device not in self.ended]
        if len(left) > 1 and not self.server.trouble:
            device = self.rng.choice(left)
            self.server.revoke(device.device)
            self.ended.add(device.device)

    def back_up(self) -> None:
        """A copy of the record is made."""
        if not self.server.trouble and self.newer is None:
            self.copy, self.copy_size = self.server.backup(), len(self.server.on_record())

    def put_back(self) -> None:
        """The copy is put back in the place of the record."""
        if self.copy is None or self.server.trouble or self.newer is not None:
            return
        whole, self.behind = self.rng.random() < 0.5, True
        newer = self.server.backup()
        self.server.restore(self.copy, whole=whole)
        if self.server.trouble:
            self.newer = newer
            self.reached["rollback-noticed"] += 1
        else:
            self.rolled = True
            self.reached["fork"] += whole
            self.again()
            for act in (self.office, self.pull, self.deliver):
                for _ in range(self.rng.randint(0, 5)):
                    act()

    def decide_restoring(self) -> None:
        """Somebody decides what to do with a record that was rolled back."""
        if not self.server.trouble:
            return
        if self.newer is not None and self.rng.random() < 0.3:
            self.server.restore(self.newer, whole=False)
            self.reached["put-back"] += 1
        if self.server.trouble:
            self.server.accept()
            self.rolled = True
            self.reached["accepted"] += 1
            self.again()
        self.newer = None

    def again(self) -> None:
        """Revocations that the copy does not know are said again."""
        if not self.server.trouble:
            for device in sorted(self.ended):
                self.server.revoke(device)

    def forget(self) -> None:
        """A device is put back to an older copy of itself."""
        device = self.rng.choice([d for d in self.devices if d.done] or self.devices)
        gone = device.forget(self.rng.randint(1, 3))
        self.forgotten |= set(gone)
        for _ in range(self.rng.randint(0, 2) if gone else 0):
            self.make(device, "told", {"pool": "main", "about": "x", "whom": "y"})

    def heal(self) -> None:
        """The network is whole, and everybody sends and asks until nothing changes."""
        self.server.kill = ""
        for message in self.late:
            twin = Message(message.device, "push", message.sent, message.held, message.held_then)
            self.ask(twin)
            if twin.answer is not None and self.rng.random() < 0.5:
                self.take(twin)
        self.net = []
        for _ in range(ROUNDS_TO_HEAL):
            for device in self.devices:
                self.send_and_ask(device)
            if self.server.trouble:
                self.decide_restoring()
            elif all(self.is_even(device) for device in self.devices):
                return
        state = [(d.waiting, d.trouble, d.recopy, len(d.replica.lines)) for d in self.devices]
        raise Fault(f"they do not come together: {state}, record {len(self.server.on_record())}")

    def send_and_ask(self, device: Device) -> None:
        """A device sends what waits and asks for what is new."""
        for kind in ("push", "pull"):
            if kind == "push" and device.revoked and not device.trouble:
                continue
            # Revoked or not, the stamp that a device holds proves what the server did.
            sent = device.wanted_from() if kind == "pull" else device.batch()
            message = Message(device, kind, sent, device.held_text, device.held)
            self.ask(message)
            if message.answer is not None:
                self.net.clear()
                self.take(message)

    def is_even(self, device: Device) -> bool:
        """Tell whether a device has sent all and has all."""
        sent = device.waiting == 0 or device.revoked
        held = device.held
        head = self.server.head()
        same = held is not None and (held.size, held.root) == (head.size, head.root)
        return sent and same and not device.trouble and not device.recopy

    def hold(self) -> None:
        """Hold what must hold."""
        lines = self.server.on_record()
        entries = [json.loads(line["entry"]) for line in lines]
        times = Counter(entry["id"] for entry in entries)
        if max(times.values()) > 1:
            raise Fault("a fact stands twice")
        self.hold_sequences(lines, entries)
        self.hold_deeds(entries)
        alarms = self.reached["accepted"] + sum(
            d.events[one] for d in self.devices for one in ALARMS
        )
        if alarms and not self.behind:
            raise Fault("a rollback is told that never was")
        for device in self.devices:
            self.hold_device(device, times)
        kept = {(device, raw) for device, _, raw in self.server.evidence()}
        known = {line["entry"].encode() for line in lines}
        if not self.rolled and any(one not in kept and one[1] not in known for one in self.shown):
            raise Fault("what a revoked device sent is neither on record nor kept")
        if self.decide is not None:
            self.hold_decisions()

    def hold_sequences(
        self, lines: list[Mapping[str, Any]], entries: list[Mapping[str, Any]]
    ) -> None:
        """Hold each device's sequence to have no gap and to name the one before."""
        heads: dict[str, tuple[int, str]] = {}
        for line, entry in zip(lines, entries, strict=True):
            number, sha256 = heads.get(entry["dev"], (0, ""))
            if (entry["dseq"], entry["dprev"]) != (number + 1, sha256):
                raise Fault(f"{entry['dev']} has a gap at {entry['dseq']}")
            heads[entry["dev"]] = (entry["dseq"], digest(line["entry"].encode()))

    def hold_deeds(self, entries: list[Mapping[str, Any]]) -> None:
        """Hold that devices said what they may, and that nobody heard one after its end."""
        own = {device.device for device in self.devices}
        ended: set[str] = set()
        for entry in entries:
            if entry["dev"] in ended:
                raise Fault("a revoked device is heard")
            if entry["dev"] in own and entry["type"] not in SENDABLE:
                raise Fault("a device said what it may not")
            checked = entry["auth"]["method"] == "pin"
            if entry["dev"] in own and checked and entry["dev"] not in self.server.granted:
                raise Fault("a PIN is believed that nobody proved")
            if entry["dev"] in own and entry["type"] in BY_PIN and not checked:
                raise Fault("a decision by nobody stands")
            if entry["type"] == "device-revoked":
                ended.add(entry["body"]["device"])

    def hold_device(self, device: Device, times: Mapping[str, int]) -> None:
        """Hold that nothing a device said is lost, and that its copy is the record."""
        if device.replica.root() != self.server.head().root:
            raise Fault("a copy differs from the record")
        for identity in device.facts:
            if times.get(identity, 0) == 0 and identity not in device.aside:
                if device.device not in self.ended:
                    raise Fault(f"{identity} is lost")
                if identity in device.receipts and not self.rolled:
                    raise Fault(f"{identity} was acknowledged and is lost")
        if device.aside:
            self.reached["set-aside"] += 1
        kept = {raw for name, _, raw in self.server.evidence() if name == device.device}
        for identity in device.aside:
            shown = any(f'"id":"{identity}"'.encode() in raw for raw in kept)
            if not shown and not self.rolled:
                raise Fault(f"{identity} was refused for good and is not kept")
        gone = [one for one in self.forgotten if times.get(one, 0) == 0]
        if gone and not self.rolled:
            raise Fault(f"{gone[0]} was on record and is lost")

    def hold_decisions(self) -> None:
        """Hold every copy to the decisions of the server."""
        assert self.decide is not None
        made = [self.decide(device.replica.lines) for device in self.devices]
        if any(one != made[0] for one in made):
            raise Fault("two devices decide differently")
        told = self.server.decided()
        if told is not None and told != made[0]:
            raise Fault("the server decides differently from its own record")
        if any(pool[1] for pool in made[0].values()):
            self.reached["conflict"] += 1
        lines = self.server.on_record()
        opened = {pool for pool, told in made[0].items() if told[0] == "open"}
        for pool in opened:
            if unheard_closings(lines, pool):
                raise Fault(f"{pool} is open against a closing that nobody who opened knew of")


def run_history(
    seed: int, server: Server, devices: list[Device], decide: Any = None
) -> Counter[str]:
    """Run one history; a Fault says what did not hold, and with which seed."""
    history = History(seed, server, devices, random.Random(seed), decide)  # noqa: S311 - replayed
    try:
        return history.run()
    except Fault as fault:
        raise Fault(f"seed {seed}: {fault}; {' '.join(history.trace)}") from None
    except (KeyError, ValueError, AssertionError, IndexError) as error:
        raise Fault(f"seed {seed}: {error!r}; {' '.join(history.trace)}") from error
