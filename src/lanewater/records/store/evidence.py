"""What was refused and is kept, as it was sent: it may be needed as proof."""

from __future__ import annotations

from sqlalchemy import Connection, bindparam, func, insert, select

from lanewater.records.store.schema import evidence as table

# A device that is lost or broken sends without end; what it shows is shown by then.
MOST_KEPT = 1000

KEPT = select(func.count()).where(table.c.dev == bindparam("dev"))
SAME = select(table.c.seq).where(
    table.c.dev == bindparam("dev"),
    table.c.why == bindparam("why"),
    table.c.bytes == bindparam("raw"),
)
LAST = select(func.coalesce(func.max(table.c.seq), 0))
ADD = insert(table)


def keep(
    connection: Connection, received_at: str, device: str, why: str, sent: tuple[bytes, bytes]
) -> bool:
    """Keep what a device sent, once for each cause.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    received_at : str
        When it came.
    device : str
        Who sent it, as authenticated.
    why : str
        A word of records.receiving.CAUSES.
    sent : tuple
        The bytes of the entry and of the signature.

    Returns
    -------
    bool
        Whether it is kept, now or from before; not beyond a thousand of one device.
    """
    raw, sig = sent
    named = {"dev": device, "why": why, "raw": raw}
    if connection.execute(SAME, named).first() is not None:
        return True
    if connection.execute(KEPT, {"dev": device}).scalar_one() >= MOST_KEPT:
        return False
    row = {"received_at": received_at, "dev": device, "why": why, "bytes": raw, "sig": sig}
    connection.execute(ADD, row | {"seq": connection.execute(LAST).scalar_one() + 1})
    return True


def rows(connection: Connection) -> list[tuple[str, str, str, bytes, bytes]]:
    """Give what is kept, oldest first: (received_at, device, why, bytes, signature)."""
    found = connection.execute(select(table).order_by(table.c.seq))
    return [(row.received_at, row.dev, row.why, row.bytes, row.sig) for row in found]
