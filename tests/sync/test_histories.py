"""Whatever happens on the way, what devices say stands once, and nobody is told otherwise."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.sync.device import Device
from tests.sync.histories import SOMETIMES, Fault
from tests.sync.ledger import Ledger
from tests.sync.planted import DEVICES, SERVERS
from tests.sync.running import in_memory, over_the_book
from tests.sync.shelf import make_template

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


def test_a_seed_replays_its_history() -> None:
    with pytest.raises(Fault) as first:
        in_memory(range(ENOUGH_FOR_A_FAULT), SERVERS[0])
    with pytest.raises(Fault) as again:
        in_memory(range(ENOUGH_FOR_A_FAULT), SERVERS[0])
    assert str(first.value) == str(again.value)
