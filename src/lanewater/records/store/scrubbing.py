"""Leave nothing behind of what was deleted, in any file of the store."""

from __future__ import annotations

from sqlalchemy import Connection


def scrub(connection: Connection) -> bool:
    """Rewrite the store's file without what was deleted and empty what was written ahead.

    A deleted row's bytes stay in the file's free space and in the write-ahead log until both
    are written anew. Outside any transaction; needs as much free disk as the file is large.

    Returns
    -------
    bool
        Whether nothing is left: False where another program reads just now, or where the store
        is a server's, whose owner cleans it.
    """
    if connection.dialect.name != "sqlite":
        return False
    connection.exec_driver_sql("VACUUM")
    busy = connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)").one()[0]
    return int(busy) == 0
