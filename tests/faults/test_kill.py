"""Killed at any moment, the record keeps every round that was acknowledged."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.baths import Baths
from tests.faults.checking import hold_record

from lanewater.service.rounds import judge_missing

KILLS = 20
SEED = 20261125

# One Python that is ready, and forks a writer for every folder named on its standard input. The
# writer says that a round is saved only once record_round has returned, as the command does.
NURSERY = """
import os, sys
from pathlib import Path
from lanewater.service.actor import ANYBODY
from lanewater.service.book import open_book
from lanewater.service.config import Config
from lanewater.service.rounds import record_round
READINGS = {"free_chlorine": "1.52", "total_chlorine": "1.68", "ph": "7.43"}
def say(word):
    os.write(1, word.encode() + b"\\n")
for line in sys.stdin:
    child = os.fork()
    if child == 0:
        book = open_book(Config(Path(line.strip())))
        say(f"ready {os.getpid()}")
        while True:
            say(record_round(book, ANYBODY, {"pool": "main", "readings": READINGS})["round"])
    os.waitpid(child, 0)
    say("ended")
"""


class Nursery:
    """Makes writers that can be killed; knows how long a round takes them. [s]"""

    pace_s = 0.0

    def __init__(self, script: str = NURSERY) -> None:
        self.running = subprocess.Popen(
            [sys.executable, "-c", script],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            bufsize=1,
        )

    def word(self) -> str:
        """Give the next word that is said."""
        assert self.running.stdout is not None
        return self.running.stdout.readline().strip()

    def acknowledged_until_killed(
        self, folder: Path, after_s: float = 0.0, after: int = 0
    ) -> list[str]:
        """Write rounds until a SIGKILL; give the ids that were acknowledged.

        Parameters
        ----------
        folder : Path
            The data folder.
        after_s : float
            When to kill, from `after` acknowledgements on. [s]
        after : int
            How many acknowledgements to wait for first.
        """
        assert self.running.stdin is not None
        self.running.stdin.write(f"{folder}\n")
        word, _, child = self.word().partition(" ")
        assert word == "ready"
        said = [self.word() for _ in range(min(after, 1))]
        start = time.monotonic()
        said += [self.word() for _ in range(after - 1)]
        if after > 1:
            self.pace_s = (time.monotonic() - start) / (after - 1)
        time.sleep(after_s)
        os.kill(int(child), signal.SIGKILL)
        said += iter(self.word, "ended")
        assert "" not in said, "the writers' Python ended"
        return said

    def close(self) -> None:
        """End it."""
        self.running.kill()
        self.running.communicate()


@pytest.fixture
def nursery() -> Iterator[Nursery]:
    """Give a nursery that ends with the test."""
    made = Nursery()
    yield made
    made.close()


def test_a_killed_writer_loses_nothing_that_was_acknowledged(
    baths: Baths, nursery: Nursery
) -> None:
    moments = random.Random(SEED)  # noqa: S311 - repeatable moments, no secrets
    baths.book.close()
    # How long a round takes here and now: a busy machine is given time to write any.
    expected = nursery.acknowledged_until_killed(baths.folder, after=6)
    extra = 1
    for number in range(KILLS):
        delay_s = moments.uniform(0.0, 4.0) * nursery.pace_s
        expected += nursery.acknowledged_until_killed(baths.folder, delay_s, after=number % 2)
        found = [row.id for row in baths.reopened().state.rounds.get("main", ())]
        assert len(found) == len(set(found))
        assert set(expected) <= set(found)
        # At most one round a kill was on disk and not yet acknowledged.
        assert len(found) - len(expected) <= extra + 1
        extra = len(found) - len(expected)
        judge_missing(baths.book)
        assert set(baths.book.state.verdicts) == set(found)
        baths.book.close()
    assert len(expected) >= KILLS // 2
    baths.reopened()
    hold_record(baths.book)
    assert baths.book.connection.exec_driver_sql("PRAGMA integrity_check").scalar_one() == "ok"


def test_a_writer_that_acknowledges_too_early_would_be_caught(baths: Baths) -> None:
    # The planted bug: rounds said to be saved from inside a transaction that never ends.
    planted = NURSERY.replace(
        '        say(f"ready',
        '        hold = book.writing()\n        hold.__enter__()\n        say(f"ready',
    )
    assert planted != NURSERY
    baths.book.close()
    nursery = Nursery(planted)
    said = nursery.acknowledged_until_killed(baths.folder, 0.5)
    nursery.close()
    found = [row.id for row in baths.reopened().state.rounds.get("main", ())]
    assert said
    assert not set(said) & set(found)
