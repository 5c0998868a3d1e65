"""What must hold after each workflow was killed, and what a person does then."""

from __future__ import annotations

import shutil
from pathlib import Path
from threading import Lock

from tests.faults.checking import goes_on, hold_record, rounds_on_record
from tests.faults.interfering import Check
from tests.faults.tracing import Ended
from tests.faults.workflows import clock

from lanewater.records.verifying import answer_over_bundle
from lanewater.service.actor import SHELL
from lanewater.service.backup import hold_backup, make_backup
from lanewater.service.book import open_book
from lanewater.service.bundle_read import read_bundle
from lanewater.service.config import Config
from lanewater.service.export import export_bundle
from lanewater.service.log_key import rotate_log_key
from lanewater.service.restore import restore_backup
from lanewater.service.set_up import add, new_site
from lanewater.service.stamping import signs, stamp
from lanewater.terms.errors import RefusedError

ONE_AT_A_TIME = Lock()  # what brings a store up to date is not made for threads


def after_rounds(folder: Path, ended: Ended) -> None:
    """Hold a site whose rounds were being recorded."""
    goes_on(folder, ended.saved("round"))


def after_first_start(folder: Path, ended: Ended) -> None:
    """Begin again where a first start was cut off."""
    command = {"name": "Harbour Baths", "timezone": "America/Toronto", "rules": "ca-qc"}
    again = True
    with ONE_AT_A_TIME:
        try:
            new_site(Config(folder), command, clock=clock)
        except RefusedError:
            again = False
    book = open_book(Config(folder), clock=clock)
    try:
        assert not (again and ended.said), "a site that was acknowledged is gone"
        assert ended.saved("site") in ([], [book.site])
        assert set(ended.saved("pool")) <= set(book.state.pools)
        facts = {"kind": "plunge", "location": "indoor", "disinfectant": "chlorine"}
        if "plunge" not in book.state.pools:
            add(book, SHELL, "pool", {"pool": "plunge", "name": "Plunge", "facts": facts})
    finally:
        book.close()
    goes_on(folder, ended.saved("round"))


def after_backup(folder: Path, ended: Ended) -> None:
    """A backup is there whole or not at all; another one can be made."""
    made = folder.parent / "backup"
    assert made.exists() >= bool(ended.saved("backup"))
    goes_on(folder, ended.saved("round"))
    if not made.exists():
        book = open_book(Config(folder), clock=clock)
        make_backup(book, Config(folder), SHELL, made)
        book.close()
    hold_backup(made)
    goes_on(made, ended.saved("round"), unsaid=2)


def after_export(folder: Path, ended: Ended) -> None:
    """A bundle is there whole or not at all; another one can be made."""
    made = folder.parent / "bundle"
    assert made.exists() >= bool(ended.saved("bundle"))
    goes_on(folder, ended.saved("round"))
    if not made.exists():
        book = open_book(Config(folder), clock=clock)
        export_bundle(book, SHELL, made)
        book.close()
    answer = answer_over_bundle(read_bundle(made))
    assert answer.complete, answer.findings


def after_rotate(folder: Path, ended: Ended) -> None:
    """The key that the record names is here, and the next change of it goes well."""
    book = open_book(Config(folder), clock=clock)
    try:
        named = [key.public_key for key in book.draft.log_keys]
        assert ended.saved("key") in ([], named[1:])
        assert len(named) <= 2
        rotate_log_key(book, SHELL)
        assert signs(book)
        stamp(book)
    finally:
        book.close()
    goes_on(folder, ended.saved("round"))


def after_restore(folder: Path, ended: Ended) -> None:
    """One of both records is in place, the newer is never lost; restoring again goes well."""
    config = Config(folder)
    backup_rounds = rounds_in(folder.parent / "backup")
    newer = newest(folder)
    assert len(newer) > len(backup_rounds), "the record that was to be moved aside is gone"
    assert newer[: len(backup_rounds)] == backup_rounds
    if ended.saved("restored"):
        assert rounds_in(folder) == backup_rounds
    restore_backup(config, folder.parent / "backup", now_ms=clock() + 1000, replace=True)
    assert rounds_in(folder) == backup_rounds
    assert newest(folder) == newer


def newest(folder: Path) -> list[str]:
    """Give the rounds of the newest record in a data folder, those moved aside among them."""
    places = [folder, *folder.glob("replaced-*")]
    return max((rounds_in(place) for place in places if is_record(place)), key=len, default=[])


def is_record(place: Path) -> bool:
    """Tell whether a record lies in a folder."""
    return (place / "lanewater.db").exists()


def rounds_in(place: Path) -> list[str]:
    """Give the rounds of a record, held to everything, without touching it."""
    copy = place.parent / f"{place.name}.look"
    shutil.copytree(place, copy)
    try:
        book = open_book(Config(copy), clock=clock)
        hold_record(book)
        found = rounds_on_record(book)
        book.close()
    finally:
        shutil.rmtree(copy)
    return found


CHECKS: dict[str, Check] = {
    "rounds": after_rounds,
    "first_start": after_first_start,
    "backup": after_backup,
    "export": after_export,
    "rotate": after_rotate,
    "restore": after_restore,
}
