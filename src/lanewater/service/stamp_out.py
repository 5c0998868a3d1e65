"""Stamps that leave the building, and older ones that come back to be compared."""

from __future__ import annotations

import smtplib
from collections.abc import Callable
from dataclasses import dataclass
from email.message import EmailMessage
from typing import Any

from lanewater.records.stamps import Head, Stamp, origin_of, read_stamp, stamp_holds
from lanewater.records.store import log
from lanewater.records.store.growing import nodes_of
from lanewater.records.tree import root
from lanewater.reports.code import code_of
from lanewater.service.actor import Actor
from lanewater.service.book import Book
from lanewater.service.stamping import stamp
from lanewater.service.witness import goes_on_from
from lanewater.terms.errors import InputError, MissingError

SMTP_PORT = 25
TIMEOUT_S = 30


@dataclass(frozen=True, slots=True)
class Relay:
    """The mail server that takes the message: its name, its port."""

    host: str
    port: int = SMTP_PORT


def relay_of(text: str, where: str) -> Relay:
    """Read a mail server as host or host:port.

    Raises
    ------
    InputError
        Where it is neither.
    """
    host, _, port = text.partition(":")
    if not host or (port and not (port.isascii() and port.isdigit() and len(port) <= 5)):
        raise InputError(where, "must be a mail server's name, with :PORT where it is not 25")
    return Relay(host, int(port) if port else SMTP_PORT)


def message_of(note: str, site_name: str, sender: str, to: str) -> EmailMessage:
    """Write the message that carries a stamp.

    Raises
    ------
    InputError
        Where an address cannot be one.
    """
    for address, where in ((sender, "--from"), (to, "--to")):
        if (
            not address.isascii()
            or any(letter in address for letter in "\r\n \t")
            or "@" not in address
        ):
            raise InputError(where, "must be an e-mail address")
    message = EmailMessage()
    message["Subject"] = f"Stamp of the water record: {' '.join(site_name.split())}"
    message["From"], message["To"] = sender, to
    message.set_content(
        "Keep this message where the site's own staff cannot change it. With it anybody can tell\n"
        "later whether the record still begins as it did today: `lanewater stamp compare`, or\n"
        f"verify.html with an export.\n\n{note}",
        charset="utf-8",
    )
    return message


def send_stamp(
    book: Book,
    actor: Actor,
    to: str,
    sender: str,
    deliver: Callable[[EmailMessage], None],
) -> dict[str, Any]:
    """Send the record's stamp to a mailbox; that it was sent is on record, to whom is not.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Who sends.
    to, sender : str
        The addresses.
    deliver : callable
        Hands the message over; MissingError where it is not taken.

    Returns
    -------
    dict
        {"size", "root", "sent"}.
    """
    note = stamp(book)
    deliver(message_of(note, book.state.site.name, sender, to))
    head = read_stamp(note).head
    said = {"size": head.size, "root": head.root.hex()}
    with book.writing() as writing:
        writing.append("stamp-sent", said | {"how": "e-mail"}, actor)
    return said | {"sent": True}


def by_relay(relay: Relay) -> Callable[[EmailMessage], None]:
    """Give what hands a message to a mail server, over TLS where the server offers it."""

    def deliver(message: EmailMessage) -> None:
        try:
            with smtplib.SMTP(relay.host, relay.port, timeout=TIMEOUT_S) as server:
                server.ehlo_or_helo_if_needed()
                if server.has_extn("starttls"):
                    server.starttls()
                server.send_message(message)
        except (OSError, smtplib.SMTPException) as error:
            raise MissingError(
                f"{relay.host}:{relay.port} did not take the message: {error}; nothing was sent"
            ) from None

    return deliver


def shown(book: Book) -> dict[str, Any]:
    """Give the stamp of the record as it is now: {"stamp", "lines", "squares"}."""
    note = stamp(book)
    return {"stamp": note, "lines": read_stamp(note).head.size, "squares": squares(note)}


def squares(note: str) -> list[str]:
    """Give the rows of a stamp's QR code, error correction M: "1" is dark; no quiet zone."""
    return ["".join("1" if dark else "0" for dark in row) for row in code_of(note).matrix]


def compare(book: Book, text: str) -> dict[str, Any]:
    """Hold the record to an older stamp, such as one on a print or in a mailbox.

    Returns
    -------
    dict
        {"outcome": "goes-on" | "rolled-back" | "changed" | "another-record" | "not-signed",
        "size": of the stamp, "lines": on record now, "signed": by a key of this record}.

    Raises
    ------
    InputError
        Where it is no stamp.
    """
    held = read_stamp(text.replace("\r\n", "\n").strip() + "\n")
    with book.reading() as connection:
        state, lines = book.state, log.size(connection, book.site)
        node = nodes_of(connection, book.site)
        goes_on = goes_on_from(
            held.head, state.epoch, state.restored, lines, lambda size: root(size, node)
        )
        # No stamp is made for it: this is asked most of all where nothing is recorded.
        origin = origin_of(book.site, book.folded.first_line_hash(), state.epoch)
        outcome = outcome_of(held, Head(origin, lines, b""), goes_on)
    keys = [key.public_key for key in state.log_keys]
    signed = any(stamp_holds(held, key, held.head.name) for key in keys)
    if outcome == "goes-on" and not signed:
        outcome = "not-signed"
    return {"outcome": outcome, "size": held.head.size, "lines": lines, "signed": signed}


def outcome_of(held: Stamp, here: Head, goes_on: bool) -> str:
    """Say how a record stands to a stamp."""
    if held.head.name != here.name:
        return "another-record"
    if goes_on:
        return "goes-on"
    return "rolled-back" if held.head.size > here.size else "changed"
