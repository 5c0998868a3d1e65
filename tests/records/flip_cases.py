"""Single flipped bits in files, and what a verifier says of each: reported, unchanged or silent."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import select
from tests.records.log_cases import Log, make_log, sealed

from lanewater.records import bundle
from lanewater.records.store.connection import close_store, open_store
from lanewater.records.store.schema import claimed, entry, stamp
from lanewater.records.verifying import answer_over_bundle
from lanewater.service.whole_record import answer_for_place

REPORTED, UNCHANGED, SILENT = "reported", "unchanged", "silent"


@dataclass(frozen=True)
class Bit:
    """One bit of one file."""

    file: str
    at: int


def flipped(raw: bytes, at: int) -> bytes:
    changed = bytearray(raw)
    changed[at // 8] ^= 1 << at % 8
    return bytes(changed)


# ---------------------------------------------------------------- a bundle


def small_record() -> Log:
    """Give the smallest record with both kinds of keys, stamps and an entry of each tablet."""
    return make_log(6, "small", every=3)


def bits_of(files: dict[str, bytes]) -> Iterable[Bit]:
    return (Bit(name, at) for name in sorted(files) for at in range(len(files[name]) * 8))


def bundle_flip(files: dict[str, bytes], bit: Bit, *, seal: bool) -> str:
    """Flip a bit of a bundle, with the manifest made to fit again where asked.

    Every file has one spelling only, so any other bytes say something else.
    """
    changed = files | {bit.file: flipped(files[bit.file], bit.at)}
    if seal:
        changed = sealed(changed)
    if changed == files:
        return UNCHANGED
    return SILENT if answer_over_bundle(changed).complete else REPORTED


def careless_bundle_flip(files: dict[str, bytes], bit: Bit) -> str:
    """The planted fault: a checker that believes the manifest alone."""
    changed = sealed(files | {bit.file: flipped(files[bit.file], bit.at)})
    if changed == files:
        return UNCHANGED
    fits = changed[bundle.MANIFEST] == sealed(changed)[bundle.MANIFEST]
    return SILENT if fits else REPORTED


# ---------------------------------------------------------------- a store's file

Reading = tuple[Any, ...]
# When a stamp was made is a note for when the next one is due: nobody signs it, nothing shows it.
SAID = (
    select(entry).order_by(entry.c.seq),
    select(claimed).order_by(*claimed.primary_key),
    select(stamp.c.site, stamp.c.size, stamp.c.root, stamp.c.text).order_by(stamp.c.size),
)


def said_by(path: Path) -> Reading | None:
    """Give all that a store's file says of the record; None where it cannot be read."""
    try:
        connection = open_store(path, create=False)
        try:
            return tuple(tuple(map(tuple, connection.execute(said))) for said in SAID)
        finally:
            close_store(connection)
    except Exception:  # whatever it is, nobody was told anything
        return None


def store_flip(
    place: Path,
    raw: bytes,
    at: int,
    note: str,
    before: Reading,
    answer: Callable[..., Any] = answer_for_place,
) -> str:
    """Flip a bit of a store's file and verify it against a stamp that was held elsewhere."""
    for beside in place.parent.glob(f"{place.name}-*"):
        beside.unlink()
    place.write_bytes(flipped(raw, at))
    if not answer(place, [note]).complete:
        return REPORTED
    return UNCHANGED if said_by(place) == before else SILENT


class Careless:
    """The planted fault: a checker that counts the lines and looks at nothing else."""

    def __init__(self, path: Path, _notes: list[str]) -> None:
        said = said_by(path)
        self.complete = said is not None
