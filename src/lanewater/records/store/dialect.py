"""What one kind of store does its own way; everything else is written once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from sqlalchemy import Connection

BUSY_SECONDS = 10.0
BUSY = "the record is being written by another program; nothing was saved, try again"
UNGUARDED = "the store: the triggers that keep the record append-only are not as they must be"


@dataclass(frozen=True, slots=True)
class Dialect:
    """The few things that differ between kinds of store.

    Attributes
    ----------
    begin : callable
        Opens a transaction and takes the single writer's place; RefusedError where another
        program kept it for longer than BUSY_SECONDS.
    commit : callable
        Ends it; what it acknowledges is on disk.
    roll_back : callable
        Undoes it; never raises where a fault has undone it already.
    mark : callable
        Gives a number that changes whenever another program has appended.
    mend : callable
        Brings a lost connection back, outside of every transaction.
    raise_ours : callable
        Raises our error for one of the driver's; does nothing for any other.
    """

    begin: Callable[[Connection], None]
    commit: Callable[[Connection], None]
    roll_back: Callable[[Connection], None]
    mark: Callable[[Connection], int]
    mend: Callable[[Connection], None]
    raise_ours: Callable[[BaseException, BaseException], None]
