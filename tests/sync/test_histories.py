"""Whatever happens on the way, what devices say stands once, and nobody is told otherwise."""

from __future__ import annotations

import json
import random
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.sync.deciding import decide
from tests.sync.device import Device
from tests.sync.histories import SOMETIMES, Fault, History, Message
from tests.sync.ledger import Ledger
from tests.sync.planted import DEVICES, SERVERS, SeesNoLess
from tests.sync.running import in_memory, keys, over_the_book
from tests.sync.shelf import Shelf, make_template

HISTORIES = 3000
OVER_THE_BOOK = 40
ENOUGH_FOR_A_FAULT = 600


@pytest.fixture
def memory_folder() -> Iterator[Path]:
    """Give a folder in memory where there is one: what is tried here is no disk."""
    shared = Path("/dev/shm")  # noqa: S108 - a place, not a file that others could guess
    with tempfile.TemporaryDirectory(dir=shared if shared.is_dir() else None) as folder:
        yield Path(folder)


def test_in_three_thousand_histories_everything_stands_once_and_all_copies_are_equal() -> None:
    reached = in_memory(range(HISTORIES))
    assert [name for name in SOMETIMES if not reached[name]] == []


def test_histories_over_the_book_itself_hold_and_its_record_verifies(memory_folder: Path) -> None:
    template = make_template(memory_folder / "template")
    reached = over_the_book(range(OVER_THE_BOOK), template, memory_folder)
    wanted = ("recorded", "known", "gap", "killed-before", "killed-after", "revoked", "accepted")
    assert [name for name in wanted if not reached[name]] == []


@pytest.mark.parametrize("server", SERVERS)
def test_a_fault_planted_in_the_server_is_found(server: type[Ledger]) -> None:
    with pytest.raises(Fault, match="seed"):
        in_memory(range(ENOUGH_FOR_A_FAULT), server)


@pytest.mark.parametrize("kind", DEVICES)
def test_a_fault_planted_in_a_device_is_found(kind: type[Device]) -> None:
    with pytest.raises(Fault, match="is lost"):
        in_memory(range(ENOUGH_FOR_A_FAULT), kind=kind)


def lose_twice(server: Any, devices: list[Device]) -> History:
    """Have a fact see lines; a restoring own up to them, and be itself lost to an older copy."""
    history = History(0, server, devices, random.Random(0), decide)  # noqa: S311 - replayed
    history.behind = history.rolled = True
    history.skew = {device.device: 0 for device in devices}
    writer = devices[0]
    older = server.backup()
    for _ in range(4):
        server.say("pool-opened", {"pool": "main"})
    history.send_and_ask(writer)
    history.make(writer, "everyone-out", {"pool": "main", "stop": "glass"})
    server.restore(older, whole=False)
    server.accept()
    for _ in range(2):
        message = Message(writer, "pull", writer.wanted_from(), writer.held_text, writer.held)
        history.ask(message)
        history.take(message)
    server.restore(older, whole=True)
    server.say("pool-closed", {"pool": "main", "kind": "shut"})
    history.heal()
    history.hold()
    return history


def test_a_fact_of_a_history_lost_twice_is_taken_and_claims_only_what_is_shared() -> None:
    used = keys()[:2]
    made = Ledger(used, keys()[-2], keys()[-1])
    size = len(made.on_record())
    devices = [Device(key, made.site, made.log_key) for key in used]
    lose_twice(made, devices)
    assert devices[0].events["saw-less"] == 1
    on_record = [json.loads(line["entry"]) for line in made.on_record()]
    seen = [entry["seen"] for entry in on_record if entry["dev"] == devices[0].device]
    assert seen == [{"size": size, "root": made.kept.tree.root(size).hex()}]


def test_a_fact_of_a_history_lost_twice_is_taken_by_the_book(memory_folder: Path) -> None:
    template = make_template(memory_folder / "template")
    made: Any = Shelf(template, memory_folder / "twice")
    devices = [Device(key, made.site, made.log_key) for key in template.keys[:2]]
    lose_twice(made, devices)
    made.close()
    assert devices[0].events["saw-less"] == 1


def test_a_device_that_insists_on_a_history_lost_twice_is_stuck_with_its_fact() -> None:
    used = keys()[:2]
    made = Ledger(used, keys()[-2], keys()[-1])
    with pytest.raises(Fault, match="do not come together"):
        lose_twice(made, [SeesNoLess(key, made.site, made.log_key) for key in used])


# Each of these once left a device with lines of a lost history that it could not let go of, or
# without a fact of its own that it had forgotten, read again in such lines and not sent again.
@pytest.mark.parametrize("seed", [27332, 31858, 44648, 58076])
def test_a_history_in_which_a_device_was_once_stuck_heals(seed: int) -> None:
    assert in_memory([seed])


def test_a_seed_replays_its_history() -> None:
    with pytest.raises(Fault) as first:
        in_memory(range(ENOUGH_FOR_A_FAULT), SERVERS[0])
    with pytest.raises(Fault) as again:
        in_memory(range(ENOUGH_FOR_A_FAULT), SERVERS[0])
    assert str(first.value) == str(again.value)
