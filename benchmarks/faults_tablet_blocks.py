"""Cut the power of a tablet just after it said "saved", and open what is left of its browser.

    .venv/bin/python benchmarks/faults_tablet_blocks.py chromium|firefox|webkit [--count N]
        [--rounds N] [--seed S] [--plant]

The browser's whole profile lies on a disk of our own under ext4 (see faults_blocks.py), which
writes down every write and flush. A page records rounds through the tablet's own outbox and says
each time when it was told that the round is kept. Then states of the disk are drawn, half of them
at the very moment of a "saved": what was flushed, and of the rest none, all, the first or any, torn
in sectors. Each is mounted and opened with the same browser; every round that was said to be saved
must be there, signed, with its number in the device's sequence. With --plant the page takes the
browser's usual durability instead of "strict", and the run fails where that loses nothing. The
browser is started without a driver; the page asks a server on loopback what to do. Needs root,
/dev/fuse, loop devices, and by apt what faults_blocks.py and parity_browsers.py name. Not part of
all.py: a campaign.
"""

from __future__ import annotations

import argparse
import json
import mmap
import os
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[1]))

from faults_blocks import MOST_WRONG, Saved, call, disk, states
from parity_browsers import command, version_of

from lanewater.interfaces.web.files import FOLDER, KINDS

MEBI = 1 << 20
SIZES = {"chromium": 192 * MEBI, "firefox": 192 * MEBI, "webkit": 96 * MEBI}
PATIENCE_S = 90
PAGE = """<!doctype html><title>tablet</title><script type="module">
const say = (path, body) => fetch(path, { method: "POST", body: JSON.stringify(body) });
const task = await (await fetch("/task")).json();
if (task.plant) {
  const { transaction } = IDBDatabase.prototype;
  IDBDatabase.prototype.transaction = function (names, mode) {
    return transaction.call(this, names, mode);
  };
}
try {
  const { prepare, keep, kept } = await import("/tablet.js");
  if (task.write) {
    await prepare();
    for (let number = 0; number < task.write; number += 1) await say("/saved", await keep(number));
    await say("/written", null);
  } else {
    await say("/found", await kept());
  }
} catch (error) {
  await say("/broken", String(error.stack ?? error));
}
</script>"""
TABLET = Path(__file__).with_name("faults_tablet.js")


@dataclass
class Told:
    """What the page is to do, and what it said."""

    write: int = 0
    plant: bool = False
    saved: list[Saved] = field(default_factory=list)
    found: list[str] | None = None
    broken: str = ""
    done: threading.Event = field(default_factory=threading.Event)

    def ask(self, write: int, *, plant: bool) -> None:
        """Set the page's next task."""
        self.write, self.plant, self.found, self.broken = write, plant, None, ""
        self.done.clear()

    def hear(self, path: str, body: object) -> None:
        """Take in one thing that the page said."""
        if path == "/saved":
            self.saved.append(Saved(time.monotonic_ns(), str(body)))
            return
        if path == "/found":
            self.found = [str(one) for one in body] if isinstance(body, list) else []
        elif path == "/broken":
            self.broken = str(body)
        self.done.set()


def answering(told: Told) -> type[BaseHTTPRequestHandler]:
    """Make the server's handler: the pages' own files, the page of this harness, its tasks."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            file = FOLDER / self.path.removeprefix("/static/")
            if self.path == "/":
                self.give(PAGE.encode(), "text/html")
            elif self.path == "/task":
                task = {"write": told.write, "plant": told.plant}
                self.give(json.dumps(task).encode(), "application/json")
            elif self.path == "/tablet.js":
                self.give(TABLET.read_bytes(), "text/javascript")
            elif self.path.startswith("/static/") and file.is_file():
                self.give(file.read_bytes(), KINDS[file.suffix])
            else:
                self.send_error(404)

        def do_POST(self) -> None:
            said = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
            if self.path.startswith("/api/"):
                self.send_error(503)
                return
            told.hear(self.path, said)
            self.give(b"{}", "application/json")

        def give(self, body: bytes, kind: str) -> None:
            self.send_response(200)
            self.send_header("Content-Type", kind)
            self.send_header("Cache-Control", "no-store")
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *_: object) -> None:
            """Say nothing."""

    return Handler


@contextmanager
def running(browser: str, address: str, place: Path) -> Iterator[None]:
    """Run a browser on a page with everything it keeps below a folder; killed at the end."""
    profile = place / "profile"
    profile.mkdir(parents=True, exist_ok=True)
    folders = {f"XDG_{name}_HOME": str(place / name) for name in ("DATA", "CACHE", "CONFIG")}
    with subprocess.Popen(
        command(browser, address, profile),
        env=os.environ | folders | {"HOME": str(place)},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    ) as started:
        try:
            yield
        finally:
            with_all = os.getpgid(started.pid)
            os.killpg(with_all, 9)


def visited(browser: str, address: str, place: Path, told: Told) -> None:
    """Let the page do its task."""
    with running(browser, address, place):
        if not told.done.wait(PATIENCE_S):
            told.broken = "the page fell silent"


def written_down(browser: str, address: str, place: Path, told: Told) -> tuple[int, list[Saved]]:
    """Let a page keep rounds on the disk; give when it began and what it said to be saved."""
    with disk(place, SIZES[browser]) as mounted:
        os.sync()
        began = time.monotonic_ns()
        visited(browser, address, mounted / "tablet", told)
        if told.broken:
            raise SystemExit(f"nothing was recorded: {told.broken}")
        time.sleep(1)
    return began, list(told.saved)


def opened(
    browser: str, address: str, image: bytes, place: Path, said: list[str], told: Told
) -> str:
    """Open what is left and hold it to what was said; give "" or what is wrong."""
    file, mounted = place / "image", place / "left"
    file.write_bytes(image)
    mounted.mkdir(exist_ok=True)
    try:
        call("mount", "-o", "loop", file, mounted)
    except subprocess.CalledProcessError as error:
        return f"no file system: {error.stderr}"[:MOST_WRONG]
    try:
        told.ask(0, plant=False)
        visited(browser, address, mounted / "tablet", told)
        if told.broken:
            return f"broken: {told.broken}"[:MOST_WRONG]
        missing = [one for one in said if one not in (told.found or [])]
        return f"{len(missing)} of {len(said)} said to be saved are lost" if missing else ""
    finally:
        until_unmounted(mounted)


def until_unmounted(mounted: Path) -> None:
    """Unmount once the killed browser has let go."""
    for _ in range(50):
        if subprocess.run(["umount", mounted], check=False, capture_output=True).returncode == 0:
            return
        time.sleep(0.1)
    call("umount", "-l", mounted)


def main() -> int:
    """Record, cut, open, count and print."""
    given = argparse.ArgumentParser(description=__doc__)
    given.add_argument("browser", choices=sorted(SIZES))
    given.add_argument("--count", type=int, default=40)
    given.add_argument("--rounds", type=int, default=40)
    given.add_argument("--seed", type=int, default=1)
    given.add_argument("--plant", action="store_true")
    wanted = given.parse_args()
    draw = Random(wanted.seed)  # noqa: S311 - repeatable cuts, no secrets
    told = Told()
    server = ThreadingHTTPServer(("127.0.0.1", 0), answering(told))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    address = f"http://127.0.0.1:{server.server_address[1]}/"
    place = Path(tempfile.mkdtemp(prefix="lanewater-tablet-"))
    found: Counter[str] = Counter()
    start = time.perf_counter()
    try:
        told.ask(wanted.rounds, plant=wanted.plant)
        began, saved = written_down(wanted.browser, address, place, told)
        with (place / "log").open("rb") as file:
            log = mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)
            size = SIZES[wanted.browser]
            for moment, image in states(log, size, began, saved, wanted.count, draw):
                said = [one.id for one in saved if one.said_ns <= moment]
                found[opened(wanted.browser, address, image, place, said, told)] += 1
    finally:
        server.shutdown()
        shutil.rmtree(place, ignore_errors=True)
    spent = time.perf_counter() - start
    print(
        f"{version_of(wanted.browser)}, seed {wanted.seed}: {len(saved)} rounds said to be saved,"
        f" {wanted.count} states in {spent:.0f} s"
    )
    for wrong, number in found.most_common():
        print(f"{number:>6}  {wrong or 'whole'}")
    wrong = wanted.count - found[""]
    return int(not wrong if wanted.plant else bool(wrong))


if __name__ == "__main__":
    sys.exit(main())
