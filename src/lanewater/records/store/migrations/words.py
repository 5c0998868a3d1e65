"""Run a step's statements, written in SQLite's words, in those of the database at hand."""

from __future__ import annotations

import re

from alembic import op

POSTGRESQL = (
    (r"\) STRICT(, WITHOUT ROWID)?\s*$", ")"),
    (r"\bINTEGER\b", "BIGINT"),
    (r"\bBLOB\b", "BYTEA"),
)


def run(statements: str) -> None:
    """Run statements that are parted by semicolons.

    Parameters
    ----------
    statements : str
        Tables as SQLite is told of them; none of them may hold a semicolon of its own.
    """
    foreign = POSTGRESQL if op.get_bind().dialect.name == "postgresql" else ()
    for statement in filter(str.strip, statements.split(";")):
        said = statement
        for pattern, other in foreign:
            said = re.sub(pattern, other, said)
        op.execute(said)
