"""Make a site's store from a bundle, line by line as it was, after holding it to its stamps."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from sqlalchemy import Connection

from lanewater.records.bundle import EVENTS, STAMPS, read_lines, read_stamps
from lanewater.records.entries import parse
from lanewater.records.errors import BrokenPromiseError
from lanewater.records.stamps import Stamp, note_of
from lanewater.records.store import log
from lanewater.records.store import people as store
from lanewater.records.store.connection import close_store, is_there, open_store, writing
from lanewater.records.store.growing import Hashes
from lanewater.records.verifying import answer_over_bundle
from lanewater.service.bundle_read import read_bundle
from lanewater.service.config import Config
from lanewater.service.export import NAMES
from lanewater.service.stamping import keep_stamp
from lanewater.service.witness import keep
from lanewater.terms.errors import InputError, RefusedError
from lanewater.terms.jsontext import read_json
from lanewater.terms.shapes import Shape, list_of, map_of, text

PERSON = Shape({"name": text(200), "initials": text(20), "phone": text(60)})
CONTACT = Shape(
    {"id": text(64), "name": text(200), "phone": text(60), "kind": text(40), "note": text(500)}
)
FILE = Shape({"people": map_of(PERSON, 5000), "contacts": list_of(CONTACT, 5000)})


def import_bundle(
    config: Config,
    folder: Path,
    *,
    outside: Sequence[str] = (),
    accepted: frozenset[str] = frozenset(),
) -> dict[str, Any]:
    """Make the store of a site from a bundle; nothing is made where it is not complete.

    The keys are not in a bundle: bring `keys/` over, or name a new key of the log with
    `lanewater keys rotate --lost`.

    Parameters
    ----------
    config : Config
        The data folder; it holds no site yet.
    folder : Path
        The bundle.
    outside : sequence of str
        Stamps held elsewhere, as text.
    accepted : frozenset of str
        Keys of the log that a person vouched for.

    Returns
    -------
    dict
        {"lines", "root", "names": whether names came with it}.

    Raises
    ------
    RefusedError
        Where there is a site already.
    BrokenPromiseError
        Where the bundle is not complete.
    """
    files = read_bundle(folder)
    answer = answer_over_bundle(files, outside, accepted)
    if not answer.complete:
        raise BrokenPromiseError(f"the bundle is not complete: {answer.findings[0].says}")
    names = names_of(files.get(NAMES))
    stamps = read_stamps(files[STAMPS].decode())
    config.data.mkdir(mode=0o700, parents=True, exist_ok=True)
    connection = open_store(config.place, create=not is_there(config.place))
    try:
        if log.sites(connection):
            raise RefusedError(f"{config.where} holds a site already; name another with --data")
        with writing(connection):
            put_lines(connection, files[EVENTS], stamps)
            for person, known in names["people"].items():
                store.put_person(connection, person, known)
            for contact in names["contacts"]:
                store.put_contact(connection, contact)
    finally:
        close_store(connection)
    keep(config.seen, note_of(stamps[-1]))
    return {"lines": answer.lines, "root": answer.root, "names": NAMES in files}


def put_lines(connection: Connection, events: bytes, stamps: Sequence[Stamp]) -> None:
    """Put every line where it stood, and each stamp when its last line came."""
    by_size = {stamp.head.size: stamp for stamp in stamps}
    hashes: Hashes = {}
    for line in read_lines(events):
        if line is None:
            raise BrokenPromiseError("a line of the bundle cannot be read")
        entry = parse(line.raw)
        signature = bytes.fromhex(line.sig)
        log.append(
            connection, entry, line.raw, signature, received_at=line.received_at, known=hashes
        )
        stamp = by_size.get(line.index + 1)
        if stamp is not None:
            keep_stamp(connection, entry.site, note_of(stamp), line.received_at)


def names_of(content: bytes | None) -> dict[str, Any]:
    """Read names.json; nobody where there is none.

    Raises
    ------
    InputError
        Naming what does not fit.
    """
    if content is None:
        return {"people": {}, "contacts": []}
    try:
        found: dict[str, Any] = read_json(content)
        FILE(found, "")
    except InputError as error:
        raise InputError(NAMES, str(error)) from None
    return found
