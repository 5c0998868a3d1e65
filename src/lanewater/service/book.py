"""A site's book: its record, open for reading and for one writer at a time."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from threading import RLock
from typing import Any

import uuid_utils
from sqlalchemy import Connection

from lanewater.records.entries import Entry, canonical, digest, read
from lanewater.records.errors import BrokenPromiseError, NotRecordingError, StoreAwayError
from lanewater.records.signing import ALGORITHM, sign
from lanewater.records.store import log
from lanewater.records.store.connection import (
    Connect,
    close_store,
    disk_errors,
    is_there,
    mend,
    open_store,
    plain_connect,
    writing,
)
from lanewater.records.store.growing import Hashes, nodes_of
from lanewater.records.tree import root
from lanewater.service.actor import SHELL, Actor
from lanewater.service.clock import Clock, instant_text, offset_minutes, system_clock
from lanewater.service.config import Config
from lanewater.service.flushed import make_folder
from lanewater.service.fold import standing, take
from lanewater.service.fold.draft import Draft
from lanewater.service.folded import Folded
from lanewater.service.keys import Own, own_keys
from lanewater.service.packs import load_pack
from lanewater.service.rules_texts import FOLDER as RULES_FOLDER
from lanewater.service.rules_texts import Texts
from lanewater.service.stamping import stamp_if_due
from lanewater.service.state import SiteState
from lanewater.service.tail import LOOKED_AT, hold_tail
from lanewater.service.witness import held_head, keep_newest, rolled_back
from lanewater.terms.errors import InputError, MissingError, RefusedError

LoadPack = Callable[[str], dict[str, Any]]

DEVICE_NAMES = {"shell": "commands", "server": "pages"}


def new_id(instant_ms: int) -> str:
    """Make the id of a new fact, a version 7 UUID that begins with its time."""
    return str(uuid_utils.uuid7(nanoseconds=instant_ms * 1_000_000))


def remembering(load: LoadPack) -> LoadPack:
    """Load each rules pack once in a process; what judged is on record by its hash."""
    known: dict[str, dict[str, Any]] = {}

    def remembered(identity: str) -> dict[str, Any]:
        if identity not in known:
            known[identity] = load(identity)
        return known[identity]

    return remembered


class Writing:
    """One command's transaction: what it reads is the latest, what it appends is kept whole."""

    def __init__(self, book: Book, connection: Connection, site: str, timezone: str) -> None:
        self.book = book
        self.connection = connection
        self.site = site
        self.timezone = timezone
        self.appended = 0
        self.heads: dict[str, str] = {}
        self.stamped = ""
        self.size = log.size(connection, site)
        self.hashes: Hashes = {}
        self.node = nodes_of(connection, site, self.hashes)
        self.dseq, self.dprev = log.device_head(connection, book.device)

    @property
    def state(self) -> SiteState:
        """Give the state, this transaction's own entries included."""
        return self.book.draft.state()

    def seen(self) -> dict[str, Any]:
        """Give the head of the record before the next entry: who holds it has seen all of it."""
        head = root(self.size, self.node).hex() if self.size else ""
        return {"size": self.size, "root": head}

    def known(self, entry_id: str) -> bool:
        """Tell whether an id is on record."""
        return log.row_by_id(self.connection, entry_id) is not None

    def append(
        self,
        kind: str,
        body: Mapping[str, Any],
        actor: Actor,
        *,
        at_ms: int | None = None,
        entry_id: str | None = None,
        rules: Mapping[str, str] | None = None,
        amends: str | None = None,
        reason: str | None = None,
    ) -> Entry:
        """Put one entry on the end of the record.

        Parameters
        ----------
        kind : str
            Its type, such as "round-recorded".
        body : mapping
            Held to the shape of its type.
        actor : Actor
            Who says so.
        at_ms : int, optional
            When it is claimed to have happened; now where left out.
        entry_id : str, optional
            An id made by the sender; a resend of the same bytes stands once.
        rules : mapping, optional
            {"id", "edition", "hash"} of the rules that were used or chosen.
        amends : str, optional
            The entry that this one stands beside.
        reason : str, optional
            Why, in words.

        Raises
        ------
        InputError
            Naming the field that does not fit.
        """
        now = self.book.clock()
        claimed = now if at_ms is None else at_ms
        entry = Entry(
            id=entry_id or new_id(now),
            site=self.site,
            dev=self.book.device,
            dseq=self.dseq + 1,
            dprev=self.dprev,
            type=kind,
            at=instant_text(claimed),
            rec=instant_text(now),
            off=offset_minutes(self.timezone, claimed),
            tz=self.timezone,
            clk={"offset_ms": 0, "rtt_ms": 0, "age_s": 0},
            seen=self.seen(),
            user=actor.person,
            auth=actor.auth(),
            body=body,
            rules=rules,
            amends=amends,
            reason=reason,
        )
        raw = canonical(entry)
        self.take_in(entry, raw, sign(self.book.own.device, raw), instant_text(now))
        self.dseq, self.dprev = entry.dseq, digest(raw)
        return entry

    def take_in(self, entry: Entry, raw: bytes, signature: bytes, received_at: str) -> None:
        """Put an entry of any device on the end of the record; whoever asks has weighed it."""
        receipt = log.append(
            self.connection, entry, raw, signature, received_at=received_at, known=self.hashes
        )
        self.heads[entry.dev] = digest(raw)
        self.appended += 1
        self.size += 1
        take(self.book.draft, receipt.log_index, standing(read(raw), received_at))


class Book:
    """A site's record with the state folded from it; safe to use from several threads."""

    def __init__(
        self, connection: Connection, site: str, own: Own, clock: Clock, load: LoadPack
    ) -> None:
        self.connection = connection
        self.site = site
        self.own = own
        self.device = own.device.device
        self.clock = clock
        self.load = remembering(load)
        self.texts = Texts(own.seen.parent / RULES_FOLDER)
        self.device_kind = "shell"
        self.trouble = ""
        self.folded = Folded(connection, site)
        self.looked = False
        self.lock = RLock()
        self.open_writing: Writing | None = None

    @property
    def draft(self) -> Draft:
        """Give what is folded, as it is now."""
        return self.folded.draft

    @property
    def state(self) -> SiteState:
        """Give the state of the site, with what others have written since."""
        with self.lock:
            if self.open_writing is None:
                self.refresh()
            return self.draft.state()

    @property
    def recording(self) -> bool:
        """Tell whether the book still takes entries; trouble says why not."""
        return not self.trouble

    @contextmanager
    def using_store(self) -> Iterator[None]:
        """Forget what was folded where the store is lost: an older one may come back for it."""
        try:
            if self.open_writing is None:
                mend(self.connection)
            with disk_errors():
                yield
        except StoreAwayError:
            self.folded.forget()
            self.looked = False
            raise

    def refresh(self) -> None:
        """Fold the entries that came since, checking each device's chain on the way.

        The first time, and after the store was lost, its end is looked at.

        Raises
        ------
        BrokenPromiseError
            Where an entry does not follow its device's previous one.
        """
        with self.using_store():
            if self.folded.catch_up() and not self.looked:
                self.looked = True
                look_at_end(self)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Hold the book still for a look at what is kept beside the record."""
        with self.lock, self.using_store():
            yield self.connection

    @contextmanager
    def writing(self) -> Iterator[Writing]:
        """Hold the writer's place for one command; a command inside another joins it.

        Raises
        ------
        NotRecordingError
            Where the disk does not take it; from then on nothing is recorded.
        StoreAwayError
            Where the store's server was lost; it is asked again the next time.
        RefusedError
            Where another program holds the place.
        """
        with self.lock:
            if self.open_writing is not None:
                yield self.open_writing
                return
            if self.trouble:
                raise NotRecordingError(self.trouble)
            yield from write_alone(self)

    def close(self) -> None:
        """Close the record."""
        with self.lock:
            close_store(self.connection)


def look_at_end(book: Book) -> None:
    """Hold the last entries to what they were, and the whole to what was seen here before."""
    hold_tail(book.folded, LOOKED_AT[book.device_kind])
    older = rolled_back(book.connection, book.site, held_head(book.own.seen), book.draft)
    book.trouble = book.trouble or older


def write_alone(book: Book) -> Iterator[Writing]:
    """Run one transaction; on any error nothing of it stays, on disk or in the state."""
    begun: Writing | None = None
    try:
        with book.using_store(), writing(book.connection):
            book.refresh()
            if book.trouble:
                raise NotRecordingError(book.trouble)
            begun = begin_writing(book)
            yield begun
            if begun.appended:
                stamp_if_due(begun)
                book.folded.rest(begun.size, begun.heads, book.own.device)
    except StoreAwayError:
        begun = None  # forgotten already, saved or not
        raise
    except (NotRecordingError, BrokenPromiseError) as error:
        book.trouble = str(error)
        raise
    finally:
        book.open_writing = None
        if begun is not None and (begun.appended or begun.stamped):
            keep_or_forget(book, begun)


def begin_writing(book: Book) -> Writing:
    """Start a transaction's list; a device that is not on record enrols itself first."""
    known = book.draft.site
    begun = Writing(book, book.connection, book.site, known.timezone if known else "UTC")
    book.open_writing = begun
    if book.device not in book.draft.devices:
        begun.append("device-enrolled", own_enrolment(book), SHELL)
    if not book.draft.log_keys:
        named = {"algorithm": ALGORITHM, "public_key": book.own.log.public_hex}
        begun.append("log-key-named", named, SHELL)
    return begun


def own_enrolment(book: Book) -> dict[str, str]:
    """Give what is put on record about a book's own device."""
    return {
        "device": book.device,
        "name": DEVICE_NAMES[book.device_kind],
        "kind": book.device_kind,
        "algorithm": ALGORITHM,
        "public_key": book.own.device.public_hex,
    }


def keep_or_forget(book: Book, begun: Writing) -> None:
    """Keep what the transaction folded where it is on disk; else read the disk again."""
    heads: dict[str, str] = {}
    try:
        with book.using_store():
            for device in begun.heads:
                heads[device] = log.device_head(book.connection, device)[1]
    except StoreAwayError:
        return
    except (NotRecordingError, BrokenPromiseError) as error:
        book.trouble = str(error)
    if heads == begun.heads:
        book.folded.heads |= heads
        keep_seen(book, begun.stamped)
    else:
        book.folded.forget()


def keep_seen(book: Book, text: str) -> None:
    """Keep a transaction's stamp beside the record, once the record itself is on disk."""
    if not text:
        return
    try:
        keep_newest(book.own.seen, text)
    except (OSError, InputError) as error:
        book.trouble = (
            f"NOT RECORDING. The newest stamp could not be kept ({error}). What was saved is "
            "saved. Look at the disk, then start Lanewater again."
        )


def open_book(
    config: Config,
    device: str = "shell",
    *,
    clock: Clock = system_clock,
    load: LoadPack = load_pack,
    connect: Connect = plain_connect,
) -> Book:
    """Open the book of the site in a data folder.

    Parameters
    ----------
    config : Config
        Says which folder.
    device : str
        "shell" or "server": whose key signs.
    clock : callable, optional
        Gives UTC milliseconds.
    load : callable, optional
        Gives a compiled rules pack by its id.
    connect : callable, optional
        Gives the driver's connection to a file.

    Raises
    ------
    MissingError
        Where no site is set up there.
    BrokenPromiseError
        Where its last lines are not as they were written. A record that is older than what was
        seen here opens for reading; its trouble says so.
    """
    if not is_there(config.place):
        raise MissingError(f"no site in {config.data}: make one with `lanewater site new NAME`")
    connection = open_store(config.place, create=False, connect=connect)
    try:
        found = log.sites(connection)
        if len(found) != 1:
            raise MissingError(f"{config.where} holds {len(found)} sites; one is wanted")
        book = Book(connection, found[0], own_keys(config, device), clock, load)
        book.device_kind = device
        book.refresh()
    except BaseException:
        close_store(connection)
        raise
    return book


def create_book(
    config: Config,
    site: str,
    device: str = "shell",
    *,
    clock: Clock = system_clock,
    load: LoadPack = load_pack,
) -> Book:
    """Make the store of a new site and open its book; nothing is recorded yet.

    Raises
    ------
    RefusedError
        Where the folder holds a site already.
    """
    try:
        make_folder(config.data)
        # A store without a site is what a site that was never finished left behind.
        connection = open_store(config.place, create=not is_there(config.place))
    except OSError as error:
        raise MissingError(f"{config.data} cannot be made: {error.strerror}") from None
    if log.sites(connection):
        close_store(connection)
        raise RefusedError(f"{config.where} holds a site already; name another with --data")
    book = Book(connection, site, own_keys(config, device), clock, load)
    book.device_kind = device
    book.looked = True
    return book
