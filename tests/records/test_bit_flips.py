"""A flipped bit anywhere in a bundle or a store is reported wherever it changes what is said."""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path

import pytest
from tests.baths import Baths, baths, template
from tests.records.flip_cases import (
    SILENT,
    UNCHANGED,
    Careless,
    bits_of,
    bundle_flip,
    careless_bundle_flip,
    said_by,
    small_record,
    store_flip,
)

from lanewater.records.verifying import answer_over_bundle
from lanewater.service.stamping import stamp
from lanewater.service.whole_record import answer_for_place

__all__ = ["baths", "template"]

SEED = 20261125
BUNDLE_FLIPS = 400
STORE_FLIPS = 150

FILES = small_record().files()


def drawn(count: int) -> list[int]:
    draw = random.Random(SEED)  # noqa: S311 - repeatable, no secret
    return [draw.randrange(2**40) for _ in range(count)]


@pytest.mark.parametrize("seal", [False, True])
def test_every_flipped_bit_of_a_bundle_is_reported(seal: bool) -> None:
    bits = list(bits_of(FILES))
    for number in drawn(BUNDLE_FLIPS):
        bit = bits[number % len(bits)]
        assert bundle_flip(FILES, bit, seal=seal) != SILENT, bit
    assert answer_over_bundle(FILES).complete


def test_a_checker_that_believes_the_manifest_alone_is_caught() -> None:
    bits = list(bits_of(FILES))
    told = [careless_bundle_flip(FILES, bits[number % len(bits)]) for number in drawn(50)]
    assert SILENT in told


@pytest.fixture
def closed(baths: Baths, tmp_path: Path) -> tuple[Path, str]:
    """A store's file with nothing beside it, and a stamp of it held elsewhere."""
    baths.round()
    note = stamp(baths.book)
    baths.book.connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
    baths.book.close()
    place = tmp_path / "flipped.db"
    place.write_bytes(baths.config.store.read_bytes())
    yield place, note
    baths.reopened()


def test_no_flipped_bit_of_a_store_changes_the_record_in_silence(closed: tuple[Path, str]) -> None:
    place, note = closed
    raw = place.read_bytes()
    assert answer_for_place(place, [note]).complete
    before = said_by(place)
    assert before is not None
    told = Counter(
        store_flip(place, raw, number % (len(raw) * 8), note, before)
        for number in drawn(STORE_FLIPS)
    )
    assert told[SILENT] == 0
    assert told[UNCHANGED] < STORE_FLIPS


@pytest.mark.parametrize(
    ("found", "wanted"),
    [
        (b"round-recorded", b"round-recordee"),
        (b'"value":"7.43"', b'"value":"7.53"'),
        (b'"value":"1.52"', b'"value":"1.50"'),
        (b"CREATE TABLE entry", b"CREATE TABLE entrx"),
    ],
)
def test_a_chosen_change_in_a_store_is_reported(
    closed: tuple[Path, str], found: bytes, wanted: bytes
) -> None:
    place, note = closed
    raw = place.read_bytes()
    assert found in raw
    place.write_bytes(raw.replace(found, wanted, 1))
    assert not answer_for_place(place, [note]).complete


def test_a_checker_that_only_counts_is_caught(closed: tuple[Path, str]) -> None:
    """The planted fault."""
    place, note = closed
    raw = place.read_bytes()
    before = said_by(place)
    assert before is not None
    at = raw.index(b'"value":"7.43"') * 8 + 80
    assert store_flip(place, raw, at, note, before, Careless) == SILENT
    assert store_flip(place, raw, at, note, before) != SILENT
