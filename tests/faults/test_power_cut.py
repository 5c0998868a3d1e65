"""The power cut at any moment: what was acknowledged is found again, and the record opens."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest
from tests.faults.cutting import Disk
from tests.faults.recording import Change
from tests.faults.replaying import Recording, record, replay, replay_several
from tests.faults.tracing import Nursery

STATES = 5000
PLANTED_STATES = 250
SEED = 20261125


@pytest.fixture(scope="module")
def nursery() -> Iterator[Nursery]:
    """Give a nursery that ends with the module."""
    made = Nursery()
    yield made
    made.close()


def states(changes: list[Change], count: int = 400) -> list[dict[str, bytes | None]]:
    """Give drawn states of an empty disk after some changes."""
    disk = Disk()
    for change in changes:
        disk.take(change)
    draw = Random(SEED)  # noqa: S311 - repeatable cuts, no secrets
    return [disk.after_cut(draw) for _ in range(count)]


def test_the_record_outlives_power_cuts(template: Path, tmp_path: Path, nursery: Nursery) -> None:
    recordings: list[Recording] = [
        record(nursery, "many", tmp_path / "many", template),
        record(nursery, "first_start", tmp_path / "first", None),
    ]
    assert replay_several(recordings, STATES, SEED) == {"": STATES}


def test_a_writer_that_does_not_wait_for_the_disk_is_caught(
    template: Path, tmp_path: Path, nursery: Nursery
) -> None:
    found = replay(record(nursery, "at_ease", tmp_path, template), PLANTED_STATES, SEED)
    assert found["lost: 1 acknowledged"] > PLANTED_STATES * 0.05
    assert found[""] > PLANTED_STATES / 2


def test_what_was_flushed_is_always_found() -> None:
    made = [
        Change("create", "a"),
        Change("write", "a", 0, b"x" * 2000),
        Change("sync", "a"),
        Change("sync", "."),
    ]
    assert states(made, 50) == [{"a": b"x" * 2000}] * 50


def test_a_name_may_be_lost_until_its_folder_is_flushed() -> None:
    made = [Change("create", "a"), Change("write", "a", 0, b"x"), Change("sync", "a")]
    found = states(made)
    assert {} in found
    assert {"a": b"x"} in found


def test_a_write_that_was_not_flushed_may_be_whole_torn_garbage_or_gone() -> None:
    made = [Change("create", "a"), Change("sync", "."), Change("write", "a", 0, b"x" * 1024)]
    found = {state["a"] for state in states(made)}
    assert {b"", b"x" * 1024, b"x" * 512, bytes(512) + b"x" * 512} <= found
    assert any(one and set(one) - set(b"x\0") for one in found)


def test_writes_that_were_not_flushed_reach_the_disk_in_any_order() -> None:
    made = [Change("create", "a"), Change("sync", ".")]
    made += [Change("write", "a", 512 * place, b"%d" % place * 512) for place in range(2)]
    found = {state["a"] for state in states(made)}
    assert {b"0" * 512, bytes(512) + b"1" * 512} <= found


def test_a_rename_is_whole_or_has_not_happened() -> None:
    made = [Change("create", "new"), Change("write", "new", 0, b"n"), Change("sync", "new")]
    made += [Change("create", "old"), Change("sync", "."), Change("rename", "new", to="old")]
    found = states(made)
    assert {"old": b"n"} in found
    assert {"old": b"", "new": b"n"} in found
    assert len({tuple(sorted(state.items())) for state in found}) == 2
