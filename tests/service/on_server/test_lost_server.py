"""A server crashes, is cut off, comes back older: nothing acknowledged is lost or doubled."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from urllib.parse import quote

import pytest
from tests.baths import GOOD, Baths
from tests.postgres import Server
from tests.records.store.lossy import lossy_way

from lanewater.records.errors import NotRecordingError, StoreAwayError
from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.book import new_id, open_book
from lanewater.service.config import Config
from lanewater.service.restore import accept_restored
from lanewater.service.rounds import record_round
from lanewater.service.stamping import stamp

CRASHES = 2
WRITER = """
import sys
from pathlib import Path
from lanewater.records.errors import StoreAwayError
from lanewater.service.actor import ANYBODY
from lanewater.service.book import open_book
from lanewater.service.config import Config
from lanewater.service.rounds import record_round
READINGS = {"free_chlorine": "1.52", "total_chlorine": "1.68", "ph": "7.43"}
book = open_book(Config(Path(sys.argv[1]), server=sys.argv[2]))
try:
    while True:
        saved = record_round(book, ANYBODY, {"pool": "main", "readings": READINGS})
        print(saved["round"], flush=True)
except StoreAwayError:
    pass
"""
# The planted fault: rounds said to be saved from inside a transaction that never ends.
HASTY = (
    WRITER.replace(
        "    while True:", "    hold = book.writing()\n    hold.__enter__()\n    while True:"
    )
    .replace("except StoreAwayError:", "except Exception:")
    .replace("    pass", "    import os\n    os._exit(0)")
)


def crash_under(server: Server, baths: Baths, writer: str, rounds: int) -> list[str]:
    """Crash the server under a writer that has saved so many rounds; give what it called saved."""
    with subprocess.Popen(
        [sys.executable, "-c", writer, str(baths.folder), baths.server],
        stdout=subprocess.PIPE,
        text=True,
    ) as child:
        assert child.stdout is not None
        said = [child.stdout.readline().strip() for _ in range(rounds)]
        server.stop("immediate")
        said += child.stdout.read().split()
    server.start()
    assert child.returncode == 0
    assert "" not in said
    return said


def found(baths: Baths, pool: str = "main") -> list[str]:
    """Give the ids of the rounds on record, by a book that was just opened."""
    book = open_book(baths.config, clock=baths.clock)
    rounds = [row.id for row in book.state.rounds.get(pool, ())]
    book.close()
    return rounds


def test_a_crashed_server_loses_nothing_that_was_acknowledged(
    postgres: Server, baths: Baths
) -> None:
    expected: list[str] = []
    extra = 0
    for crash in range(CRASHES):
        expected += crash_under(postgres, baths, WRITER, 2 + 3 * crash)
        on_record = found(baths)
        assert len(on_record) == len(set(on_record))
        assert set(expected) <= set(on_record)
        # At most one round a crash was committed and not acknowledged.
        assert len(on_record) - len(expected) <= extra + 1
        extra = len(on_record) - len(expected)
    # The book that was open all along says so once and goes on by itself.
    with pytest.raises(StoreAwayError):
        baths.book.state  # noqa: B018 - asking is what fails
    assert baths.book.recording
    assert [row.id for row in baths.book.state.rounds["main"]] == found(baths)
    assert baths.round()["judged"]


def test_a_writer_that_acknowledges_too_early_would_be_caught(
    postgres: Server, baths: Baths
) -> None:
    baths.book.close()
    said = crash_under(postgres, baths, HASTY, 3)
    assert said
    assert not set(said) & set(found(baths))
    baths.reopened()


@pytest.mark.parametrize("cut", ["before", "after"])
def test_sending_again_after_a_lost_answer_stands_once(
    postgres: Server, baths: Baths, cut: str
) -> None:
    with lossy_way(postgres.folder) as (way, own):
        address = baths.server.replace(quoted(postgres.folder), quoted(own))
        book = open_book(Config(baths.folder, server=address), clock=baths.clock)
        record_round(book, ANYBODY, {"pool": "plunge", "readings": GOOD})
        given = {"pool": "plunge", "readings": GOOD, "id": new_id(baths.now_ms)}
        way.cut = cut
        with pytest.raises(StoreAwayError, match="NOT CONFIRMED"):
            record_round(book, ANYBODY, given)
        assert book.recording
        for _ in range(2):
            assert record_round(book, ANYBODY, given)["round"] == given["id"]
            assert [row.id for row in book.state.rounds["plunge"]][1:] == [given["id"]]
        book.close()
    assert found(baths, "plunge")[1:] == [given["id"]]


def quoted(folder: Path) -> str:
    """Write a folder as an address does."""
    return quote(str(folder), safe="")


def test_a_server_that_comes_back_older_is_noticed_by_the_book_that_was_open(
    postgres: Server, baths: Baths
) -> None:
    database = baths.server.split("?")[0].rsplit("/", 1)[1]
    kept = baths.round()["round"]
    baths.book.close()
    older = postgres.copy(database)
    baths.reopened()
    lost = baths.round()["round"]
    stamp(baths.book)
    postgres.drop(database)
    postgres.tell(f"ALTER DATABASE {older} RENAME TO {database}", database="postgres")
    with pytest.raises(StoreAwayError):
        baths.round()
    known = [row.id for row in baths.book.state.rounds["main"]]
    assert kept in known
    assert lost not in known
    assert baths.book.trouble.startswith("ROLLED BACK")
    with pytest.raises(NotRecordingError, match="ROLLED BACK"):
        baths.round()
    assert [row.id for row in baths.book.state.rounds["main"]] == known
    # Somebody decides to go on from the older one, and that stands in it.
    assert accept_restored(baths.book, SHELL, "the server's disk broke")["epoch"] == 2
    assert baths.round()["judged"]
    assert baths.reopened().trouble == ""
