"""Fill real disks, take the right to write from them, give the room back: nothing said is lost.

    .venv/bin/python benchmarks/faults_disks.py [--plant]

A small tmpfs and a small ext4 are filled by rounds, and by something else between rounds; a disk
is made read-only under a writer and before a start. Each time: no round was said to be saved that
is not on record after a restart, the book says that it is not recording, and it records again once
the disk is well. With --plant every error is taken for a success, and the run fails where that is
not found. Needs root. Not part of all.py: it is a campaign.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.baths import set_up
from tests.faults.checking import goes_on
from tests.faults.workflows import READINGS, clock

from lanewater.records.errors import NotRecordingError
from lanewater.service.actor import ANYBODY
from lanewater.service.book import Book, open_book
from lanewater.service.config import Config
from lanewater.service.now import now_page
from lanewater.service.rounds import record_round
from lanewater.terms.errors import LanewaterError

MOST = 600
Disk = Callable[[Path], list[list[str]]]


def call(*words: str | Path) -> None:
    """Run a program that must succeed."""
    subprocess.run(words, check=True, capture_output=True)


@contextmanager
def mounted(kind: str) -> Iterator[Path]:
    """Mount a small disk of a kind."""
    place = Path(tempfile.mkdtemp())
    folder = place / "disk"
    folder.mkdir()
    try:
        if kind == "tmpfs":
            call("mount", "-t", "tmpfs", "-o", "size=1500k", "none", folder)
        else:
            image = place / "image"
            image.write_bytes(bytes(4 << 20))
            call("mkfs.ext4", "-q", "-F", "-m", "0", image)
            call("mount", "-o", "loop", image, folder)
        try:
            yield folder
        finally:
            call("umount", folder)
    finally:
        shutil.rmtree(place)


def until_stopped(book: Book, saved: list[str], most: int = MOST, *, plant: bool = False) -> bool:
    """Record rounds until the book stops; tell whether it stopped and said so."""
    for number in range(most):
        try:
            given = {"pool": "plunge", "readings": READINGS}
            saved.append(record_round(book, ANYBODY, given)["round"])
        except NotRecordingError:
            if not plant:
                page = now_page(book, clock())
                return page["recording"] is False and "NOT RECORDING" in page["trouble"]
            book.trouble = ""
            saved.append(f"lost-{number}")
            return True
    return False


def filled(folder: Path, *, plant: bool) -> str:
    """Fill the disk by something else while rounds are recorded, and clear it again."""
    saved: list[str] = []
    book = open_book(Config(folder / "data"), clock=clock)
    until_stopped(book, saved, 3)
    fill(folder / "full")
    told = until_stopped(book, saved, plant=plant)
    book.close()
    (folder / "full").unlink()
    return outcome(folder, saved, told)


def by_itself(folder: Path, *, plant: bool) -> str:
    """Fill the disk by rounds alone; then the room comes back."""
    fill(folder / "full", leave=300_000)
    saved: list[str] = []
    book = open_book(Config(folder / "data"), clock=clock)
    told = until_stopped(book, saved, plant=plant)
    book.close()
    (folder / "full").unlink()
    return outcome(folder, saved, told)


def read_only(folder: Path, *, plant: bool) -> str:
    """Take the right to write under a writer, start without it, and give it back."""
    saved: list[str] = []
    book = open_book(Config(folder / "data"), clock=clock)
    until_stopped(book, saved, 3)
    book.close()
    call("mount", "-o", "remount,ro", folder)
    try:
        book = open_book(Config(folder / "data"), clock=clock)
        told = until_stopped(book, saved, 1, plant=plant)
        book.close()
    except LanewaterError as error:
        told = True
        print(f"    a start on it: {type(error).__name__}: {error}"[:150])
    call("mount", "-o", "remount,rw", folder)
    return outcome(folder, saved, told)


def fill(path: Path, leave: int = 0) -> None:
    """Fill a disk with one file, but for some bytes."""
    with path.open("wb", buffering=0) as file:
        try:
            while True:
                file.write(bytes(4096))
        except OSError:
            size = file.tell()
        file.truncate(max(0, size - leave))


def outcome(folder: Path, saved: list[str], told: bool) -> str:
    """Hold what is left to what was said."""
    if not told:
        return "did not say that it is not recording"
    try:
        goes_on(folder / "data", saved)
    except AssertionError as error:
        return str(error)
    return ""


def main() -> int:
    """Try each disk in each way, and print."""
    given = argparse.ArgumentParser(description=__doc__)
    given.add_argument("--plant", action="store_true")
    plant = given.parse_args().plant
    wrong = 0
    with tempfile.TemporaryDirectory() as start:
        set_up(Path(start) / "data")
        for kind in ("tmpfs", "ext4"):
            for way in (filled, by_itself, read_only):
                with mounted(kind) as folder:
                    shutil.copytree(Path(start) / "data", folder / "data")
                    found = way(folder, plant=plant)
                print(f"{kind}, {way.__name__}: {found or 'held'}", flush=True)
                wrong += bool(found)
    return int(not wrong if plant else bool(wrong))


if __name__ == "__main__":
    sys.exit(main())
