"""The third form: which PINs somebody had before, as tags, so that a grant of then still proves."""

from __future__ import annotations

from lanewater.records.store.migrations.words import run

revision = "0003"
down_revision = "0002"

TABLES = """
CREATE TABLE pin_before (
    person TEXT NOT NULL,
    tag TEXT NOT NULL,
    until_ms INTEGER NOT NULL,
    PRIMARY KEY (person, tag)
) STRICT, WITHOUT ROWID;
"""


def upgrade() -> None:
    """Make the table; it is empty: no grants were given before it."""
    run(TABLES)
