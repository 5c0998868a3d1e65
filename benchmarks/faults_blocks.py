"""Cut the power of a disk under a real file system, and open what is left.

    .venv/bin/python benchmarks/faults_blocks.py sqlite|postgresql [--count N] [--seed S]
        [--rounds N] [--plant]

A disk of our own (nbdkit, nbdfuse and a loop device) under ext4 writes down every write and flush.
A writer records rounds on it and says when each is saved. Then states of the disk are drawn: what
was flushed, and of the rest none, all, the first or any, torn in sectors. Each is mounted and
opened with our own code; nothing that was said to be saved before the cut may be missing. With
--plant the writer does not wait for the disk (synchronous=NORMAL, synchronous_commit=off), and the
run fails where that is not found. Needs root, /dev/fuse, loop devices, and by apt: nbdkit
nbdkit-plugin-python libnbd-bin fuse3 e2fsprogs (postgresql). Not part of all.py: a campaign.
"""

from __future__ import annotations

import argparse
import mmap
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random
from typing import NamedTuple

sys.path.insert(0, str(Path(__file__).parent.parent))

from faults_blocks_sites import KINDS, Kind
from faults_disk_plugin import HEADER
from tests.faults.cutting import Content, content_after
from tests.faults.recording import Change

PLUGIN = Path(__file__).with_name("faults_disk_plugin.py")
SITES = Path(__file__).with_name("faults_blocks_sites.py")
PATIENCE_S = 20
MOST_WRONG = 120


class Event(NamedTuple):
    """One call that reached the disk: a write, or a flush where it has no length."""

    offset: int
    length: int
    done_ns: int
    place: int


class Saved(NamedTuple):
    """One round that was said to be saved."""

    said_ns: int
    id: str


def call(*words: str | Path) -> str:
    """Run a program that must succeed."""
    return subprocess.run(words, check=True, capture_output=True, text=True).stdout.strip()


@contextmanager
def disk(place: Path, size: int) -> Iterator[Path]:
    """Give a mounted ext4 whose every write and flush is written down in place/log."""
    socket, seen, mounted = place / "socket", place / "disk", place / "mounted"
    seen.touch()
    mounted.mkdir()
    words = ["nbdkit", "-f", "-U", socket, "python", PLUGIN, f"log={place / 'log'}", f"size={size}"]
    serving = [subprocess.Popen(words)]
    loop = ""
    try:
        until(socket.exists)
        serving.append(subprocess.Popen(["nbdfuse", seen, f"nbd+unix:///?socket={socket}"]))
        until(lambda: seen.stat().st_size == size)
        loop = call("losetup", "-f", "--show", seen)
        call("mkfs.ext4", "-q", "-F", loop)
        call("mount", loop, mounted)
        try:
            yield mounted
        finally:
            call("umount", mounted)
    finally:
        if loop:
            call("losetup", "-d", loop)
        subprocess.run(["fusermount3", "-u", seen], check=False)
        for one in reversed(serving):
            one.terminate()
            one.wait()


def until(true: object) -> None:
    """Wait until something holds."""
    end = time.monotonic() + PATIENCE_S
    while not true():  # type: ignore[operator]
        if time.monotonic() > end:
            raise SystemExit("the disk did not come up")
        time.sleep(0.05)


def written_down(kind: Kind, place: Path, rounds: int, *, plant: bool) -> tuple[int, list[Saved]]:
    """Let a writer record rounds on a disk; give when it began and what it said to be saved."""
    with disk(place, kind.size) as mounted:
        kind.make(mounted)
        os.sync()
        began = time.monotonic_ns()
        words = [sys.executable, str(SITES), kind.name, str(mounted), str(rounds)]
        words += ["plant"] if plant else []
        said = call(*words)
        kind.end(mounted)
    rows = (line.split() for line in said.splitlines())
    return began, [Saved(int(when), identity) for when, identity in rows]


def events(log: mmap.mmap) -> Iterator[Event]:
    """Read the disk's log."""
    place = 0
    while place + HEADER.size <= len(log):
        kind, offset, length, done_ns = HEADER.unpack_from(log, place)
        place += HEADER.size
        yield Event(offset, length if kind == b"W" else 0, done_ns, place)
        place += length


def moments(found: list[Event], saved: list[Saved], count: int, draw: Random) -> list[int]:
    """Draw moments of a cut: half of them just after a round was said to be saved."""
    calls = [event.done_ns for event in found]
    return sorted(
        draw.choice(saved).said_ns if draw.random() < 0.5 else draw.choice(calls)
        for _ in range(count)
    )


def states(
    log: mmap.mmap, size: int, began: int, saved: list[Saved], count: int, draw: Random
) -> Iterator[tuple[int, bytes]]:
    """Give moments and what the disk may hold then."""
    found = list(events(log))
    content, done = Content(bytearray(size)), 0
    for moment in moments([one for one in found if one.done_ns > began], saved, count, draw):
        while done < len(found) and found[done].done_ns <= moment:
            event = found[done]
            data = log[event.place : event.place + event.length]
            kind = "write" if event.length else "sync"
            content.take(Change(kind, "", event.offset, data))
            done += 1
        yield moment, content_after(content, draw)


def opened(kind: Kind, image: bytes, place: Path, said: list[str]) -> str:
    """Mount what is left and hold it to what was said; give "" or what is wrong."""
    file, mounted = place / "image", place / "left"
    file.write_bytes(image)
    mounted.mkdir(exist_ok=True)
    try:
        call("mount", "-o", "loop", file, mounted)
    except subprocess.CalledProcessError as error:
        return f"error: no file system: {error.stderr}"[:MOST_WRONG]
    try:
        kind.hold(mounted, said)
    except Exception as error:
        return f"{type(error).__name__}: {error}"[:MOST_WRONG]
    finally:
        call("umount", mounted)
    return ""


def main() -> int:
    """Record, cut, open, count and print."""
    given = argparse.ArgumentParser(description=__doc__)
    given.add_argument("kind", choices=sorted(KINDS))
    given.add_argument("--count", type=int, default=200)
    given.add_argument("--rounds", type=int, default=40)
    given.add_argument("--seed", type=int, default=1)
    given.add_argument("--plant", action="store_true")
    wanted = given.parse_args()
    kind = KINDS[wanted.kind]
    draw = Random(wanted.seed)  # noqa: S311 - repeatable cuts, no secrets
    place = Path(tempfile.mkdtemp(prefix="lanewater-blocks-"))
    place.chmod(0o755)
    found: Counter[str] = Counter()
    start = time.perf_counter()
    try:
        began, saved = written_down(kind, place, wanted.rounds, plant=wanted.plant)
        with (place / "log").open("rb") as file:
            log = mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)
            for moment, image in states(log, kind.size, began, saved, wanted.count, draw):
                said = [one.id for one in saved if one.said_ns <= moment]
                found[opened(kind, image, place, said)] += 1
    finally:
        shutil.rmtree(place, ignore_errors=True)
    spent = time.perf_counter() - start
    print(f"{kind.name}, seed {wanted.seed}: {len(saved)} rounds said to be saved, "
          f"{wanted.count} states in {spent:.0f} s")  # fmt: skip
    for wrong, number in found.most_common():
        print(f"{number:>6}  {wrong or 'whole'}")
    wrong = wanted.count - found[""]
    return int(not wrong if wanted.plant else bool(wrong))


if __name__ == "__main__":
    sys.exit(main())
