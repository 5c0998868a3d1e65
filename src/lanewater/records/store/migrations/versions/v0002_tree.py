"""The second form: the tree over the log, its stamps, and what stands beside them as proof."""

from __future__ import annotations

from alembic import op

from lanewater.records.store.growing import build_tree
from lanewater.records.store.migrations.words import run

revision = "0002"
down_revision = "0001"

TABLES = """
CREATE TABLE tree_node (
    site TEXT NOT NULL,
    level INTEGER NOT NULL CHECK (level >= 0),
    position INTEGER NOT NULL CHECK (position >= 0),
    hash BLOB NOT NULL CHECK (length(hash) = 32),
    PRIMARY KEY (site, level, position)
) STRICT, WITHOUT ROWID;
CREATE TABLE claimed (
    site TEXT NOT NULL,
    at_ms INTEGER NOT NULL,
    log_index INTEGER NOT NULL,
    stands_ms INTEGER NOT NULL,
    type TEXT NOT NULL,
    pool TEXT NOT NULL,
    about TEXT NOT NULL,
    PRIMARY KEY (site, at_ms, log_index)
) STRICT, WITHOUT ROWID;
CREATE INDEX claimed_of_pool ON claimed (site, pool, type, stands_ms, log_index);
CREATE INDEX claimed_about ON claimed (site, about, log_index);
CREATE TABLE resting (
    site TEXT NOT NULL,
    log_index INTEGER NOT NULL,
    form TEXT NOT NULL,
    kept BLOB NOT NULL,
    dev TEXT NOT NULL,
    sig BLOB NOT NULL CHECK (length(sig) = 64),
    PRIMARY KEY (site, log_index)
) STRICT, WITHOUT ROWID;
CREATE INDEX entry_by_type ON entry (site, type, log_index);
CREATE TABLE stamp (
    site TEXT NOT NULL,
    size INTEGER NOT NULL CHECK (size >= 1),
    root BLOB NOT NULL CHECK (length(root) = 32),
    text TEXT NOT NULL,
    made_at TEXT NOT NULL,
    PRIMARY KEY (site, size)
) STRICT, WITHOUT ROWID;
CREATE TABLE evidence (
    seq INTEGER PRIMARY KEY,
    received_at TEXT NOT NULL,
    dev TEXT NOT NULL,
    why TEXT NOT NULL,
    bytes BLOB NOT NULL,
    sig BLOB NOT NULL
) STRICT;
CREATE TABLE inspection_link (
    token_hash TEXT PRIMARY KEY NOT NULL,
    since TEXT NOT NULL,
    until TEXT NOT NULL,
    expires_ms INTEGER NOT NULL,
    made_by TEXT NOT NULL,
    made_ms INTEGER NOT NULL,
    ended_ms INTEGER NOT NULL
) STRICT;
"""


def upgrade() -> None:
    """Make the tables and the tree over the entries that are there already."""
    run(TABLES)
    build_tree(op.get_bind())
