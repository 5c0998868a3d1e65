"""The first form: one append-only log and the tables about people and devices beside it."""

from __future__ import annotations

from lanewater.records.store.migrations.words import run

revision = "0001"
down_revision = None

TABLES = """
CREATE TABLE entry (
    seq INTEGER PRIMARY KEY,
    site TEXT NOT NULL,
    log_index INTEGER NOT NULL CHECK (log_index >= 0),
    id TEXT NOT NULL UNIQUE,
    dev TEXT NOT NULL,
    dseq INTEGER NOT NULL CHECK (dseq >= 1),
    type TEXT NOT NULL,
    received_at TEXT NOT NULL,
    hash TEXT NOT NULL CHECK (length(hash) = 64),
    bytes BLOB NOT NULL,
    sig BLOB NOT NULL CHECK (length(sig) = 64),
    UNIQUE (site, log_index),
    UNIQUE (dev, dseq)
) STRICT;
CREATE TABLE person (
    id TEXT PRIMARY KEY NOT NULL,
    name TEXT NOT NULL,
    initials TEXT NOT NULL,
    phone TEXT NOT NULL,
    pin_hash TEXT NOT NULL
) STRICT;
CREATE TABLE pin_failure (
    device TEXT NOT NULL,
    person TEXT NOT NULL,
    count INTEGER NOT NULL,
    PRIMARY KEY (device, person)
) STRICT;
CREATE TABLE contact (
    id TEXT PRIMARY KEY NOT NULL,
    name TEXT NOT NULL,
    phone TEXT NOT NULL,
    kind TEXT NOT NULL,
    note TEXT NOT NULL
) STRICT;
CREATE TABLE device (
    id TEXT PRIMARY KEY NOT NULL,
    name TEXT NOT NULL,
    kind TEXT NOT NULL,
    token_hash TEXT NOT NULL UNIQUE,
    enrolled_ms INTEGER NOT NULL
) STRICT;
CREATE TABLE session (
    token_hash TEXT PRIMARY KEY NOT NULL,
    device TEXT NOT NULL REFERENCES device (id),
    person TEXT NOT NULL,
    started_ms INTEGER NOT NULL,
    used_ms INTEGER NOT NULL
) STRICT;
CREATE TABLE first_key (
    key_hash TEXT PRIMARY KEY NOT NULL,
    made_ms INTEGER NOT NULL,
    used_ms INTEGER NOT NULL
) STRICT;
"""


def upgrade() -> None:
    """Make the tables; the guards are made after the last step."""
    run(TABLES)
