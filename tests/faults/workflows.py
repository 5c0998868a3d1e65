"""What a child does while it is killed or its disk fails; run as a script, it is the nursery.

The nursery is one Python that is ready: for each line {"workflow", "folder"} on its standard input
it forks a child, which says its process id, waits for a line "go", and then says what it may:
"saved KIND ID" only once the command has returned, as a command at the shell does.
"""

from __future__ import annotations

import ctypes
import gc
import json
import os
import sqlite3
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

from lanewater.records.errors import NotRecordingError
from lanewater.records.store import sqlite as store
from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.backup import make_backup
from lanewater.service.book import Book, open_book
from lanewater.service.config import Config
from lanewater.service.export import export_bundle
from lanewater.service.log_key import rotate_log_key
from lanewater.service.now import now_page
from lanewater.service.restore import restore_backup
from lanewater.service.rounds import record_round
from lanewater.service.set_up import add, new_site
from lanewater.terms.errors import LanewaterError

READINGS = {"free_chlorine": "1.52", "total_chlorine": "1.68", "ph": "7.43"}
NOON_MS = 1_782_921_600_000  # 2026-07-01T16:00Z, after the template was set up
SET_PTRACER = 0x59616D61
Say = Callable[[str], None]


def clock() -> int:
    """Give the set time."""
    return NOON_MS


def say(word: str) -> None:
    """Say one word to the test, by a call that nothing else here uses, so that it can be told."""
    os.writev(1, [word.encode() + b"\n"])


def busy_connect(path: Path) -> sqlite3.Connection:
    """Connect so that the log ahead of the file is carried over every few pages."""
    connection = store.plain_connect(path)
    connection.execute("PRAGMA wal_autocheckpoint = 24").fetchall()
    return connection


def save(book: Book) -> None:
    """Record a round and say so once it is saved."""
    made = record_round(book, ANYBODY, {"pool": "plunge", "readings": READINGS})
    say(f"saved round {made['round']}")


def rounds(folder: Path) -> None:
    """Record two rounds, each by a command of its own."""
    for _ in range(2):
        book = open_book(Config(folder), clock=clock)
        save(book)
        book.close()


def first_start(folder: Path) -> None:
    """Make a site and its first pool, and record in it."""
    command = {"name": "Harbour Baths", "timezone": "America/Toronto", "rules": "ca-qc"}
    made = new_site(Config(folder), command, clock=clock)
    say(f"saved site {made['site']}")
    first_pool(folder)


def first_pool(folder: Path) -> None:
    """Set up the pool of a new site and record in it."""
    book = open_book(Config(folder), clock=clock)
    facts = {"kind": "plunge", "location": "indoor", "disinfectant": "chlorine"}
    add(book, SHELL, "pool", {"pool": "plunge", "name": "Plunge", "facts": facts})
    say("saved pool plunge")
    save(book)
    book.close()


def backup(folder: Path) -> None:
    """Record a round and back the record up."""
    book = open_book(Config(folder), clock=clock)
    save(book)
    make_backup(book, Config(folder), SHELL, folder.parent / "backup")
    say("saved backup backup")
    book.close()


def export(folder: Path) -> None:
    """Record a round and export the record."""
    book = open_book(Config(folder), clock=clock)
    save(book)
    export_bundle(book, SHELL, folder.parent / "bundle")
    say("saved bundle bundle")
    book.close()


def rotate(folder: Path) -> None:
    """Change the log's key, and record a round."""
    book = open_book(Config(folder), clock=clock)
    say(f"saved key {rotate_log_key(book, SHELL)['public_key']}")
    save(book)
    book.close()


def restore(folder: Path) -> None:
    """Put an older backup in the place of a record that lies there with its log ahead."""
    restore_backup(Config(folder), folder.parent / "backup", now_ms=clock(), replace=True)
    say("saved restored backup")


def many(folder: Path) -> None:
    """Record on several days, with the log carried over often, until killed or done."""
    for count in (6, 6, 6):
        book = open_book(Config(folder), clock=clock, connect=busy_connect)
        for _ in range(count):
            save(book)
        if count:
            book.close()


def through_trouble(folder: Path) -> None:
    """Record three rounds though the disk may fail; say what the book says of itself."""
    try:
        book = open_book(Config(folder), clock=clock)
    except (LanewaterError, OSError) as error:
        say(f"refused {type(error).__name__}")
        return
    for _ in range(3):
        one_in_trouble(book)
    book.close()


def one_in_trouble(book: Book) -> None:
    """Record a round; where that fails, hold the book to what it must say from then on."""
    stopped = book.trouble
    try:
        save(book)
    except NotRecordingError as error:
        told = "NOT RECORDING" in str(error) and "NOT RECORDING" in book.trouble
        shown = now_page(book, clock())["recording"] is False
        say("stopped" if told and shown else "stopped without saying so")
    except LanewaterError as error:
        say(f"refused {type(error).__name__}")
    except Exception as error:
        say(f"crashed {type(error).__name__} {error}".replace("\n", " "))
    else:
        if stopped:
            say("recorded after it had stopped")


def too_early(folder: Path) -> None:
    """Say that rounds are saved while their transaction is open: a planted fault."""
    book = open_book(Config(folder), clock=clock)
    for _ in range(2):
        with book.writing():
            save(book)
    book.close()


def fickle(folder: Path) -> None:
    """Take every error for a success: a planted fault."""
    book = open_book(Config(folder), clock=clock)
    for number in range(3):
        try:
            save(book)
        except NotRecordingError:
            book.trouble = ""
            say(f"saved round lost-{number}")
    book.close()


def at_ease(folder: Path) -> None:
    """Record without waiting for the disk: a planted fault."""
    store.PROMISES = tuple(
        (name, "NORMAL", 1) if name == "synchronous" else (name, wanted, promised)
        for name, wanted, promised in store.PROMISES
    )
    many(folder)


WORKFLOWS: dict[str, Callable[[Path], None]] = {
    work.__name__: work
    for work in (
        *(rounds, first_start, backup, export, rotate, restore, many),
        *(through_trouble, too_early, fickle, at_ease),
    )
}


def read_line() -> str:
    """Read one line without reading ahead: a child shares the pipe."""
    line = b""
    while not line.endswith(b"\n"):
        byte = os.read(0, 1)
        if not byte:
            break
        line += byte
    return line.decode()


def warm() -> None:
    """Load what a command loads when it is first needed, so that no child has to."""
    with tempfile.TemporaryDirectory() as folder:
        silent, real = os.open(os.devnull, os.O_WRONLY), os.dup(1)
        os.dup2(silent, 1)
        first_start(Path(folder) / "data")
        os.dup2(real, 1)
        os.close(silent)
        os.close(real)


def serve() -> None:
    """Fork a child for every line."""
    warm()
    gc.collect()
    gc.freeze()
    gc.disable()
    # Where only a parent may trace, a child lets anybody.
    prctl = ctypes.CDLL(None).prctl
    while line := read_line():
        wanted = json.loads(line)
        child = os.fork()
        if child == 0:
            prctl(SET_PTRACER, ctypes.c_ulong(-1 & (2**64 - 1)), 0, 0, 0)
            say(f"ready {os.getpid()}")
            read_line()
            WORKFLOWS[wanted["workflow"]](Path(wanted["folder"]))
            os._exit(0)
        _, status = os.waitpid(child, 0)
        say(f"ended {status}")


if __name__ == "__main__":
    serve()
    sys.exit(0)
