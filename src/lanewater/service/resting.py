"""Resting points: the folded state kept in the store, so that a book of ten years opens at once.

A resting point is worked out of the record and proves nothing. It is taken where the shell or the
server signed it, this very program made it, and the line that it stands on is still the same; else
the whole record is folded. The last rounds are not in it: they are read from the record itself.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, bindparam, delete, insert, select

from lanewater.people import authority, competence
from lanewater.records.entries import digest, read
from lanewater.records.signing import DeviceKey, ed25519_holds
from lanewater.records.store import finding, log
from lanewater.records.store.schema import resting as table
from lanewater.service import fold, retests, rules_known, state
from lanewater.service.fold import letting_go
from lanewater.service.fold.draft import Draft
from lanewater.service.fold.kept import as_bytes, keep, unkeep
from lanewater.service.fold.reading_back import rounds_at

# What the fold asks of the kernel; their text is looked at, nothing of them is called here.
ASKED_OF_KERNEL = (
    "lanewater.kernel.deciding.openings",
    "lanewater.kernel.deciding.retesting",
    "lanewater.kernel.deciding.closuresafter",
    "lanewater.kernel.deciding.deadlines",
    "lanewater.kernel.deciding.reopening",
)
REST_EVERY = 512
SIGNED_PREFIX = b"lanewater/resting/v1\n"
OWN_KINDS = ("shell", "server")
ROUND = "round-recorded"

NEWEST = (
    select(table)
    .where(table.c.site == bindparam("site"))
    .order_by(table.c.log_index.desc())
    .limit(1)
)
ADD = insert(table)
DROP = delete(table).where(table.c.site == bindparam("whose"))


@cache
def form() -> str:
    """Give what a resting point hangs on: the text of what folds."""
    files = sorted(Path(str(fold.__file__)).parent.glob("*.py"))
    asked = (
        state,
        rules_known,
        retests,
        authority,
        competence,
        *map(import_module, ASKED_OF_KERNEL),
    )
    files += [Path(str(module.__file__)) for module in asked]
    found = hashlib.sha256()
    for path in files:
        found.update(path.read_bytes())
    return found.hexdigest()


def rest(
    connection: Connection, site: str, draft: Draft, heads: Mapping[str, str], key: DeviceKey
) -> None:
    """Keep the folded state in the store, in place of what was kept before.

    Parameters
    ----------
    connection : Connection
        Inside the transaction that appended the last entry.
    site : str
        The site's id.
    draft : Draft
        The state with that entry in it.
    heads : mapping
        The hash of each device's last entry.
    key : DeviceKey
        Of the shell or the server.
    """
    raw = as_bytes(
        {
            "draft": keep(draft),
            "heads": dict(heads),
            "hash": hash_at(connection, site, draft.index),
            "unfinished": unfinished(draft),
        }
    )
    row = {
        "site": site,
        "log_index": draft.index,
        "form": form(),
        "kept": raw,
        "dev": key.device,
        "sig": key.private.sign(SIGNED_PREFIX + raw),
    }
    connection.execute(DROP, {"whose": site})
    connection.execute(ADD, row)


def unfinished(draft: Draft) -> list[str]:
    """Give the rounds that are held although they are none of the last ones."""
    return [
        found.id
        for rounds in draft.in_order.values()
        for found in rounds[: -letting_go.HELD.rounds]
        if found.id not in draft.verdicts or found is letting_go.last_of(rounds)
    ]


def hash_at(connection: Connection, site: str, index: int) -> str:
    """Give the hash of the bytes at a place, "" where there are none or they do not fit it."""
    for row in finding.rows_at(connection, site, [index]):
        return row.hash if row.hash == digest(row.raw) else ""
    return ""


def resume(connection: Connection, site: str) -> tuple[Draft, dict[str, str]] | None:
    """Give the state and the devices' last hashes at the newest resting point that can be taken.

    Parameters
    ----------
    connection : Connection
        The open store.
    site : str
        The site's id.

    Returns
    -------
    tuple or None
        None where the record is to be folded from its first line.
    """
    row = connection.execute(NEWEST, {"site": site}).first()
    if row is None or row.form != form() or not vouched_for(connection, site, row):
        return None
    content = json.loads(row.kept)
    if not content["hash"] or content["hash"] != hash_at(connection, site, row.log_index):
        return None
    draft = unkeep(content["draft"])
    for pool in draft.pools:
        put_rounds(connection, site, draft, pool)
    put_unfinished(connection, site, draft, content["unfinished"])
    return draft, content["heads"]


def vouched_for(connection: Connection, site: str, row: Any) -> bool:
    """Tell whether the shell or the server of the record signed a resting point."""
    key = ""
    for known in log.rows_of_types(connection, site, ("device-enrolled", "device-revoked")):
        entry = read(known.raw)
        if entry.body["device"] == row.dev:
            enrolled = entry.type == "device-enrolled" and entry.body["kind"] in OWN_KINDS
            key = entry.body["public_key"] if enrolled else ""
    return bool(key) and ed25519_holds(key, SIGNED_PREFIX + row.kept, row.sig)


def put_rounds(connection: Connection, site: str, draft: Draft, pool: str) -> None:
    """Put a pool's last rounds, as they were at the draft's place, into the draft."""
    upto = draft.index
    places = finding.last_of(connection, site, pool, ROUND, letting_go.HELD.rounds, upto=upto)
    past = rounds_at(connection, site, places, upto)
    for found in past.rounds:
        draft.put_round(found)
    draft.verdicts.update(past.verdicts)
    if len(places) == letting_go.HELD.rounds:
        since = past.rounds[0].at_ms + 1
        draft.whole_from[pool] = max(draft.whole_from.get(pool, 0), since)


def put_unfinished(connection: Connection, site: str, draft: Draft, ids: list[str]) -> None:
    """Put older rounds that are held for a reason into the draft."""
    rows = [log.row_by_id(connection, identity) for identity in ids]
    past = rounds_at(connection, site, [row.log_index for row in rows if row], draft.index)
    for found in past.rounds:
        draft.put_round(found)
    draft.verdicts.update(past.verdicts)
