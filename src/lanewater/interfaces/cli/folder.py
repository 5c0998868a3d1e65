"""The site in a data folder, as commands open it."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, BinaryIO

from lanewater.service.actor import SHELL, Actor, shell_as
from lanewater.service.book import Book, open_book
from lanewater.service.config import Config, load_config
from lanewater.service.directory import people
from lanewater.terms.errors import InputError, MissingError
from lanewater.terms.jsontext import LONGEST, read_json


def config_of(arguments: argparse.Namespace) -> Config:
    """Give the settings of this run."""
    return load_config(arguments.data, os.environ, store=arguments.store)


def sheet_head(book: Book) -> str:
    """Give what stands above everything that is printed of a site."""
    return "DEMO, not your pool\n" if book.state.site.demo else ""


@contextmanager
def shell_book(arguments: argparse.Namespace) -> Iterator[Book]:
    """Open the site's book with the shell's own device key."""
    book = open_book(config_of(arguments), "shell")
    try:
        yield book
    finally:
        book.close()


def actor_named(book: Book, named: str | None) -> Actor:
    """Find the person a command names by id, initials or name; nobody named is not listed.

    Raises
    ------
    InputError
        Where none or several fit.
    """
    if named is None:
        return SHELL
    wanted = named.casefold()
    found = [
        row["id"]
        for row in people(book)
        if wanted in (row["id"], row["initials"].casefold(), row["name"].casefold())
    ]
    if len(found) != 1:
        raise InputError("--by", f"{named!r} fits {len(found)} people here; give the person's id")
    return shell_as(found[0])


def json_file(named: str, flag: str) -> Any:
    """Read one JSON value from a file, or from standard input for "-"."""
    try:
        return read_json(bytes_of(named, flag))
    except InputError as error:
        raise InputError(flag, str(error)) from None


def bytes_of(named: str, flag: str) -> bytes:
    """Read a file, or standard input for "-", up to what is read as JSON."""
    if named == "-":
        return sys.stdin.buffer.read(LONGEST + 1)
    with open_file(named, flag) as stream:
        return stream.read(LONGEST + 1)


def open_file(named: str, flag: str) -> BinaryIO:
    """Open a file for reading."""
    try:
        return Path(named).open("rb")
    except OSError as error:
        raise MissingError(f"{flag}: {named} cannot be read: {error.strerror}") from None
