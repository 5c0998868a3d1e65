"""Who gives a command, proved by a PIN: asked for at a terminal, else the first line of stdin."""

from __future__ import annotations

import sys
from getpass import getpass

from lanewater.interfaces.cli.folder import actor_named
from lanewater.service.access import check_pin
from lanewater.service.actor import Actor
from lanewater.service.book import Book


def proved(book: Book, named: str) -> Actor:
    """Give the person who is named, once their PIN fits.

    Raises
    ------
    InputError
        Where none or several people fit the name.
    SignInError, LockedError
        Where the PIN is wrong, or was wrong too often.
    """
    person = actor_named(book, named).person
    pin = getpass("PIN: ") if sys.stdin.isatty() else sys.stdin.readline().strip()
    check_pin(book, book.device, person, pin)
    return Actor(person, "pin", verified=True)
