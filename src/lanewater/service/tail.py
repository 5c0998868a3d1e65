"""What is looked at when a record is opened: its last entries, its newest stamp."""

from __future__ import annotations

from lanewater.records.entries import parse
from lanewater.records.errors import BrokenPromiseError
from lanewater.records.signing import SignatureError, check_signature
from lanewater.records.stamps import read_stamp, stamp_holds
from lanewater.records.store import log
from lanewater.records.store.growing import nodes_of
from lanewater.records.tree import leaf_data, leaf_hash, root
from lanewater.service.fold.draft import Draft
from lanewater.service.folded import Folded
from lanewater.service.stamping import latest
from lanewater.terms.errors import InputError

# A command of the shell looks at fewer: it starts often and must start fast.
LOOKED_AT = {"server": 1000, "shell": 100}


def hold_tail(folded: Folded, count: int) -> None:
    """Hold the last entries to their form, signature and leaf, and the newest stamp to the tree.

    Parameters
    ----------
    folded : Folded
        The record, caught up with and held still.
    count : int
        How many entries, from the end.

    Raises
    ------
    BrokenPromiseError
        Naming the first line that is not as it was written.
    """
    connection, site = folded.connection, folded.site
    size = log.size(connection, site)
    node = nodes_of(connection, site)
    for row in log.rows_from(connection, site, max(0, size - count)):
        hold_row(folded.draft, row)
        leaf = leaf_hash(leaf_data(row.log_index, row.received_at, row.hash, row.sig.hex()))
        if leaf != node(0, row.log_index):
            raise changed(row.log_index, "its leaf in the tree is another")
    known = latest(connection, site)
    if known is not None:
        hold_stamp(folded.draft, known[2], size)
        if root(known[0], node) != known[1]:
            raise changed(known[0] - 1, "the tree no longer fits the newest stamp")


def hold_row(draft: Draft, row: log.Row) -> None:
    """Hold one entry to its form and its device's signature."""
    try:
        entry = parse(row.raw)
    except InputError as error:
        raise changed(row.log_index, str(error)) from None
    device = draft.devices.get(entry.dev)
    if device is None:
        raise changed(row.log_index, f"{entry.dev} is not on record")
    try:
        check_signature(device.algorithm, device.public_key, row.raw, row.sig)
    except SignatureError as error:
        raise changed(row.log_index, str(error)) from None


def hold_stamp(draft: Draft, text: str, size: int) -> None:
    """Hold the newest stamp to a key of the log and to the record's length."""
    stamp = read_stamp(text)
    if stamp.head.size > size:
        raise changed(size, f"lines are missing: a stamp of {stamp.head.size} is kept")
    keys = draft.log_keys
    if not any(stamp_holds(stamp, key.public_key, stamp.head.name) for key in keys):
        raise changed(stamp.head.size - 1, "its stamp is signed by no key of the log")


def changed(index: int, why: str) -> BrokenPromiseError:
    """Make the error about a line."""
    return BrokenPromiseError(
        f"the record: line {index} is not as it was written ({why}); "
        "the record was changed outside Lanewater"
    )
