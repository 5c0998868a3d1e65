"""The tables of the record as they are now, and the guards that keep the log append-only."""

from __future__ import annotations

from sqlalchemy import Column, Integer, LargeBinary, MetaData, Table, Text

REVISION = "0001"

metadata = MetaData()

entry = Table(
    "entry",
    metadata,
    Column("seq", Integer, primary_key=True),
    Column("site", Text, nullable=False),
    Column("log_index", Integer, nullable=False),
    Column("id", Text, nullable=False, unique=True),
    Column("dev", Text, nullable=False),
    Column("dseq", Integer, nullable=False),
    Column("type", Text, nullable=False),
    Column("received_at", Text, nullable=False),
    Column("hash", Text, nullable=False),
    Column("bytes", LargeBinary, nullable=False),
    Column("sig", LargeBinary, nullable=False),
)
person = Table(
    "person",
    metadata,
    Column("id", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("initials", Text, nullable=False),
    Column("phone", Text, nullable=False),
    Column("pin_hash", Text, nullable=False),
)
pin_failure = Table(
    "pin_failure",
    metadata,
    Column("device", Text, primary_key=True),
    Column("person", Text, primary_key=True),
    Column("count", Integer, nullable=False),
)
contact = Table(
    "contact",
    metadata,
    Column("id", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("phone", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("note", Text, nullable=False),
)
device = Table(
    "device",
    metadata,
    Column("id", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("token_hash", Text, nullable=False, unique=True),
    Column("enrolled_ms", Integer, nullable=False),
)
session = Table(
    "session",
    metadata,
    Column("token_hash", Text, primary_key=True),
    Column("device", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("started_ms", Integer, nullable=False),
    Column("used_ms", Integer, nullable=False),
)
first_key = Table(
    "first_key",
    metadata,
    Column("key_hash", Text, primary_key=True),
    Column("made_ms", Integer, nullable=False),
    Column("used_ms", Integer, nullable=False),
)

# Dropped in silence by a table rebuild, so every migration ends by making them again.
GUARDS = {
    "entry_is_never_changed": (
        "CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry "
        "BEGIN SELECT RAISE(ABORT, 'the record refuses to change'); END"
    ),
    "entry_is_never_deleted": (
        "CREATE TRIGGER entry_is_never_deleted BEFORE DELETE ON entry "
        "BEGIN SELECT RAISE(ABORT, 'the record refuses to forget'); END"
    ),
    # INSERT OR REPLACE deletes without the trigger above; a row may only go to the very end.
    "entry_goes_to_the_end": (
        "CREATE TRIGGER entry_goes_to_the_end BEFORE INSERT ON entry WHEN "
        "NEW.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM entry) "
        "OR NEW.log_index IS NOT "
        "(SELECT coalesce(max(log_index) + 1, 0) FROM entry WHERE site = NEW.site) "
        "OR NEW.dseq IS NOT (SELECT coalesce(max(dseq), 0) + 1 FROM entry WHERE dev = NEW.dev) "
        "OR EXISTS (SELECT 1 FROM entry WHERE id = NEW.id) "
        "BEGIN SELECT RAISE(ABORT, 'an entry goes to the end of the record or nowhere'); END"
    ),
}
