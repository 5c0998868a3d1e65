"""Whatever happens on the way, what devices say stands once, and nobody is told otherwise."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.sync.device import Device
from tests.sync.histories import SOMETIMES, Fault, run_history
from tests.sync.ledger import Ledger
from tests.sync.planted import DEVICES, SERVERS, SeesNoLess
from tests.sync.running import how_many, in_memory, keys, over_the_book
from tests.sync.shelf import make_template

HISTORIES = 3000
OVER_THE_BOOK = 40
ENOUGH_FOR_A_FAULT = 600
# A fact saw 7 lines; a restoring owned up to them, and was itself lost to an older copy of 3 lines.
LOST_TWICE = 84591


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


def test_a_fact_of_a_history_lost_twice_is_taken_and_claims_only_what_is_shared() -> None:
    used = keys()[: how_many(LOST_TWICE)]
    made = Ledger(used, keys()[-2], keys()[-1])
    devices = [Device(key, made.site, made.log_key) for key in used]
    assert run_history(LOST_TWICE, made, devices)
    assert sum(device.events["saw-less"] for device in devices) == 1
    on_record = [json.loads(line["entry"]) for line in made.on_record()]
    writer = next(device for device in devices if device.events["saw-less"])
    seen = [entry["seen"] for entry in on_record if entry["dev"] == writer.device]
    assert seen == [{"size": 0, "root": ""}, {"size": 3, "root": made.kept.tree.root(3).hex()}]


def test_a_fact_of_a_history_lost_twice_is_taken_by_the_book(memory_folder: Path) -> None:
    template = make_template(memory_folder / "template")
    assert over_the_book([LOST_TWICE], template, memory_folder)["saw-less"]


def test_a_device_that_insists_on_a_history_lost_twice_is_stuck_with_its_fact() -> None:
    with pytest.raises(Fault, match="do not come together"):
        in_memory([LOST_TWICE], kind=SeesNoLess)


def test_a_seed_replays_its_history() -> None:
    with pytest.raises(Fault) as first:
        in_memory(range(ENOUGH_FOR_A_FAULT), SERVERS[0])
    with pytest.raises(Fault) as again:
        in_memory(range(ENOUGH_FOR_A_FAULT), SERVERS[0])
    assert str(first.value) == str(again.value)
