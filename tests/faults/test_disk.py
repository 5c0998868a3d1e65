"""When the disk does not take an entry, nothing is called saved, and recording stops loudly."""

from __future__ import annotations

import errno
import resource
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from tests.baths import GOOD, Baths

from lanewater.records.errors import NotRecordingError
from lanewater.service.actor import ANYBODY
from lanewater.service.book import Book, open_book
from lanewater.service.now import now_page
from lanewater.service.opening import everyone_out
from lanewater.service.rounds import record_round

ROUND = {"pool": "plunge", "readings": GOOD}


class FailingConnection(sqlite3.Connection):
    """A connection whose commits fail as those of a broken disk do, when it is told to."""

    code = 0

    def execute(self, statement: str, *more: object) -> sqlite3.Cursor:  # type: ignore[override]  # one shape of call is enough
        """Fail at COMMIT."""
        if statement == "COMMIT" and self.code:
            raise disk_error(self.code)
        return super().execute(statement, *more)

    def cursor(self, *_more: object) -> sqlite3.Cursor:  # type: ignore[override]  # one shape of call is enough
        """Give a cursor that fails alike."""
        return super().cursor(FailingCursor)


class FailingCursor(sqlite3.Cursor):
    """The cursor of such a connection."""

    def execute(self, statement: str, *more: object) -> sqlite3.Cursor:  # type: ignore[override]  # one shape of call is enough
        """Fail at COMMIT."""
        connection = self.connection
        failing = isinstance(connection, FailingConnection) and connection.code
        if failing and statement == "COMMIT":
            raise disk_error(failing)
        return super().execute(statement, *more)


def disk_error(code: int) -> sqlite3.OperationalError:
    """Give the driver's error of a broken or full disk."""
    error = sqlite3.OperationalError("disk I/O error")
    error.sqlite_errorcode = code
    return error


def failing_connect(path: Path) -> sqlite3.Connection:
    """Connect so that commits can be made to fail."""
    return sqlite3.connect(
        path, isolation_level=None, check_same_thread=False, factory=FailingConnection
    )


def break_disk(book: Book, code: int) -> None:
    """Make every commit fail, or heal the disk with 0."""
    driver = book.connection.connection.driver_connection
    assert isinstance(driver, FailingConnection)
    driver.code = code


@pytest.mark.parametrize(
    "code",
    [
        sqlite3.SQLITE_IOERR_FSYNC,
        sqlite3.SQLITE_IOERR_WRITE,
        sqlite3.SQLITE_FULL,
        sqlite3.SQLITE_READONLY,
    ],
)
def test_a_commit_that_fails_is_never_called_saved(baths: Baths, code: int) -> None:
    book = open_book(baths.config, clock=baths.clock, connect=failing_connect)
    kept = record_round(book, ANYBODY, ROUND)["round"]
    break_disk(book, code)
    with pytest.raises(NotRecordingError, match="NOT RECORDING"):
        record_round(book, ANYBODY, ROUND)
    break_disk(book, 0)
    # It stays stopped though the disk seems to be well again: somebody has to look.
    with pytest.raises(NotRecordingError, match="NOT RECORDING"):
        everyone_out(book, ANYBODY, {"pool": "plunge", "stop": "glass"})
    page = now_page(book, baths.now_ms)
    assert page["recording"] is False
    assert "NOT RECORDING" in page["trouble"]
    assert [row.id for row in book.state.rounds["plunge"]] == [kept]
    book.close()
    assert [row.id for row in baths.reopened().state.rounds["plunge"]] == [kept]
    assert baths.round("plunge")["judged"]


def test_a_full_disk_says_so_and_loses_nothing(baths: Baths) -> None:
    kept = baths.round("plunge")["round"]
    pages = baths.book.connection.exec_driver_sql("PRAGMA page_count").scalar_one()
    most = baths.book.connection.exec_driver_sql(f"PRAGMA max_page_count = {pages + 2}")
    most.fetchall()

    def until_full() -> list[str]:
        saved = []
        for _ in range(200):
            try:
                saved.append(record_round(baths.book, ANYBODY, ROUND)["round"])
            except NotRecordingError:
                return saved
        raise AssertionError("the disk never filled")

    saved = until_full()
    found = [row.id for row in baths.reopened().state.rounds["plunge"]]
    assert found[: 1 + len(saved)] == [kept, *saved]
    assert len(found) == 1 + len(saved)
    assert baths.round("plunge")["judged"]


WRITER = """
import resource, sys
from pathlib import Path
from lanewater.service.actor import ANYBODY
from lanewater.service.book import open_book
from lanewater.service.config import Config
from lanewater.service.rounds import record_round
book = open_book(Config(Path(sys.argv[1])))
size = book.connection.exec_driver_sql("PRAGMA page_count").scalar_one() * 4096
resource.setrlimit(resource.RLIMIT_FSIZE, (size + int(sys.argv[2]), resource.RLIM_INFINITY))
readings = {"free_chlorine": "1.52", "ph": "7.43"}
while True:
    answer = record_round(book, ANYBODY, {"pool": "plunge", "readings": readings})
    print(answer["round"], flush=True)
"""


def test_a_write_that_the_system_refuses_is_never_called_saved(baths: Baths) -> None:
    # A real failing write(2): the process may not make any file longer than a limit.
    baths.book.close()
    ended = subprocess.run(
        [sys.executable, "-c", WRITER, str(baths.folder), "40000"],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    saved = ended.stdout.split()
    assert ended.returncode == 1
    assert "NotRecordingError" in ended.stderr
    found = [row.id for row in baths.reopened().state.rounds.get("plunge", ())]
    assert found[: len(saved)] == saved
    assert len(found) - len(saved) <= 1
    assert baths.round("plunge")["judged"]


def test_the_limit_that_the_test_leans_on_is_a_real_one(tmp_path: Path) -> None:
    probe = (
        "import os, resource, sys\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (10, resource.RLIM_INFINITY))\n"
        "os.write(os.open(sys.argv[1], os.O_CREAT | os.O_WRONLY), b'x' * 10)\n"
        "try:\n"
        "    os.write(os.open(sys.argv[1], os.O_APPEND | os.O_WRONLY), b'x')\n"
        "except OSError as error:\n"
        "    print(error.errno)\n"
    )
    ended = subprocess.run(
        [sys.executable, "-c", probe, str(tmp_path / "f")],
        capture_output=True,
        text=True,
        check=True,
    )
    assert int(ended.stdout) == errno.EFBIG
    assert resource.RLIM_INFINITY == -1
