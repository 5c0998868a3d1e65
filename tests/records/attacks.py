"""What a thief does to a record, as functions from an honest record to what is found of it.

The first fourteen are those that every layer is measured by; the outside stamp is at line 30 of 40.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tests.records.log_cases import Item, Log, make_log, told

from lanewater.records import bundle

OUTSIDE_AT = 30
LAYERS = ("chain", "signature", "beside", "outside")


@dataclass(frozen=True)
class Found:
    """What a verifier is given."""

    files: dict[str, bytes]
    outside: tuple[str, ...]


Attack = Callable[[Log], dict[str, bytes]]


def edit(log: Log, at: int) -> None:
    log.items[at].content["body"] = log.items[at].content["body"] | {"about": "another-fact"}


def edited_in_place(log: Log) -> dict[str, bytes]:
    files = log.files()
    edit(log, 14)
    return files | {bundle.EVENTS: log.files()[bundle.EVENTS]}


def edited_with_its_hash(log: Log) -> dict[str, bytes]:
    edit(log, 14)
    return log.files()


def edited_and_chained(log: Log) -> dict[str, bytes]:
    edit(log, 14)
    log.rechain(resign=False)
    return log.files()


def middle_deleted(log: Log) -> dict[str, bytes]:
    del log.items[14]
    log.rechain(resign=False)
    return log.files()


def two_swapped(log: Log) -> dict[str, bytes]:
    log.items[14], log.items[15] = log.items[15], log.items[14]
    return log.files()


def back_dated_inserted(log: Log) -> dict[str, bytes]:
    like = log.items[14]
    content = like.content | {"id": like.content["id"][:-4] + "ffff", "body": told(999)}
    log.items.insert(14, Item(content, like.received_at, like.sig))
    log.rechain(resign=False)
    return log.files()


def last_five_dropped(log: Log) -> dict[str, bytes]:
    del log.items[-5:]
    return log.files()


def last_fifteen_dropped(log: Log) -> dict[str, bytes]:
    del log.items[-15:]
    return log.files()


def older_backup(log: Log) -> dict[str, bytes]:
    del log.items[20:]
    del log.stamps[2:]
    return log.files()


def another_sites_record(log: Log) -> dict[str, bytes]:
    other = make_log(40, "other-site")
    other.stamps = log.stamps
    return other.files()


def server_key_stolen(log: Log) -> dict[str, bytes]:
    edit(log, 14)
    log.rechain(resign=False)
    log.restamp()
    return log.files()


def all_keys_stolen(log: Log) -> dict[str, bytes]:
    edit(log, 14)
    log.rechain(resign=True)
    log.restamp()
    return log.files()


def all_keys_stolen_late(log: Log) -> dict[str, bytes]:
    edit(log, 34)
    log.rechain(resign=True)
    log.restamp()
    return log.files()


def false_value_typed(log: Log) -> dict[str, bytes]:
    return log.files()


# Attack, and which layer sees it. Source: the attack table of the reliability facts, section 3.4.
TABLE: dict[str, tuple[Attack, str]] = {
    "edit a value in place": (edited_in_place, "yes yes yes yes"),
    "edit and fix that row's hash": (edited_with_its_hash, "yes yes yes yes"),
    "edit and recompute all hashes": (edited_and_chained, "no yes yes yes"),
    "delete a middle row and recompute": (middle_deleted, "no yes yes yes"),
    "swap two rows of different devices and recompute": (two_swapped, "no no yes yes"),
    "insert a back-dated row without the device's key": (back_dated_inserted, "no yes yes yes"),
    "drop the last 5": (last_five_dropped, "no no yes no"),
    "drop the last 15": (last_fifteen_dropped, "no no yes yes"),
    "restore an older backup with its own stamp": (older_backup, "no no no yes"),
    "put another site's record in place": (another_sites_record, "no no yes yes"),
    "server key stolen: edit, rehash, sign again": (server_key_stolen, "no yes no yes"),
    "all keys stolen, rebuild history": (all_keys_stolen, "no no no yes"),
    "all keys stolen, change only after the outside stamp": (all_keys_stolen_late, "no no no no"),
    "a false value typed honestly": (false_value_typed, "no no no no"),
}


def attacked(name: str, honest: Log) -> Found:
    """Give what is found after an attack, and the stamp that was kept elsewhere before it."""
    return Found(TABLE[name][0](honest.copy()), (honest.note(OUTSIDE_AT),))
