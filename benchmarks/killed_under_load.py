"""Kill the server (SIGKILL) under load, again and again: nothing acknowledged may be missing.

    .venv/bin/python benchmarks/killed_under_load.py [--rounds N] [--seconds S] [--browsers N]
        [--seed S] [--plant]

Several browsers record rounds over HTTP, each with an id of its own making. What was on its way
when the server died is sent again after the restart, with the same id. After every kill the record
is opened: each id that was answered is there, once; at the end every line is held to its signature,
chain and leaf. With --plant a browser takes what it sent for saved and sends nothing again, and the
run fails where that is not found. Part of all.py for three short rounds.
"""

from __future__ import annotations

import argparse
import http.client
import json
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path
from random import Random

from lanewater.interfaces.api.caller import DEVICE_COOKIE
from lanewater.service.access import enrol, make_first_key
from lanewater.service.actor import SHELL
from lanewater.service.book import new_id, open_book
from lanewater.service.clock import system_clock
from lanewater.service.config import Config
from lanewater.service.set_up import add, new_site
from lanewater.service.whole_record import answer_for_store

PATIENCE_S = 60
ROUND = {
    "pool": "main",
    "readings": {"free_chlorine": "1.52", "total_chlorine": "1.68", "ph": "7.43"},
}
START = [sys.executable, "-m", "lanewater", "serve", "--port", "0", "--data"]


class Browser:
    """One enrolled browser that records rounds until it is told to stop."""

    def __init__(self, token: str, *, hasty: bool) -> None:
        self.headers = {
            "Cookie": f"{DEVICE_COOKIE}={token}",
            "Sec-Fetch-Site": "same-origin",
            "Content-Type": "application/json",
        }
        self.hasty = hasty
        self.saved: list[str] = []
        self.waiting = ""
        self.times_ms: list[float] = []

    def work(self, address: str, stop: threading.Event) -> None:
        """Record one round after the other until the server is gone."""
        connection = http.client.HTTPConnection(address, timeout=PATIENCE_S)
        try:
            while not stop.is_set():
                self.one(connection)
        except (OSError, http.client.HTTPException):
            return
        finally:
            connection.close()

    def one(self, connection: http.client.HTTPConnection) -> None:
        """Record one round, what was on its way before the others."""
        identity = self.waiting or new_id(system_clock())
        self.waiting = "" if self.hasty else identity
        if self.hasty:
            self.saved.append(identity)
        start = time.perf_counter()
        body = json.dumps(ROUND | {"id": identity})
        connection.request("POST", "/api/v1/rounds", body, self.headers)
        response = connection.getresponse()
        text = response.read()
        if response.status != 200:
            raise SystemExit(f"{response.status} {text[:200]!r}")
        if not self.hasty:
            self.saved.append(identity)
            self.waiting = ""
        self.times_ms.append((time.perf_counter() - start) * 1000)


def started(data: Path) -> tuple[subprocess.Popen[str], str, float]:
    """Start the server; give where it is and how long it took to say so."""
    start = time.perf_counter()
    process = subprocess.Popen([*START, str(data)], stderr=subprocess.PIPE, text=True)
    if process.stderr is None:
        raise SystemExit("the server has no voice")
    line = next((line for line in process.stderr if "http://" in line), "")
    if not line:
        raise SystemExit("the server did not start")
    threading.Thread(target=process.stderr.read, daemon=True).start()
    address = next(word for word in line.split() if word.startswith("http://"))
    return process, address.removeprefix("http://").strip("/."), time.perf_counter() - start


def one_round(data: Path, browsers: list[Browser], seconds: float) -> float:
    """Let the browsers work, kill the server; give how long its start took."""
    process, address, took = started(data)
    stop = threading.Event()
    hands = [threading.Thread(target=one.work, args=(address, stop)) for one in browsers]
    for hand in hands:
        hand.start()
    time.sleep(seconds)
    process.send_signal(signal.SIGKILL)
    process.wait()
    stop.set()
    for hand in hands:
        hand.join()
    return took


def missing(config: Config, browsers: list[Browser]) -> tuple[int, int, int]:
    """Open the record; give how many rounds it holds, how many are missing, and how many twice."""
    book = open_book(config)
    rows = book.connection.exec_driver_sql("SELECT id FROM entry WHERE type = 'round-recorded'")
    found = list(rows.scalars())
    book.close()
    said = {identity for one in browsers for identity in one.saved}
    return len(found), len(said - set(found)), len(found) - len(set(found))


def enrolled(config: Config, count: int, *, hasty: bool) -> list[Browser]:
    """Make a site with a pool, and its browsers."""
    new_site(config, {"name": "Bench", "timezone": "America/Toronto", "rules": "ca-qc"})
    book = open_book(config, "server")
    facts = {"kind": "pool", "location": "indoor", "disinfectant": "chlorine"}
    add(book, SHELL, "pool", {"pool": "main", "name": "Main", "facts": facts})
    tokens = [
        enrol(book, make_first_key(book), f"Tablet {number}", "shared")["token"]
        for number in range(count)
    ]
    book.close()
    return [Browser(token, hasty=hasty) for token in tokens]


def verified(config: Config) -> str:
    """Verify every line of the record; give the outcome."""
    book = open_book(config)
    try:
        return answer_for_store(book.connection, book.site).outcome
    finally:
        book.close()


def main() -> int:
    """Kill, count and print."""
    given = argparse.ArgumentParser(description=__doc__)
    given.add_argument("--rounds", type=int, default=3)
    given.add_argument("--seconds", type=float, default=4.0)
    given.add_argument("--browsers", type=int, default=6)
    given.add_argument("--seed", type=int, default=1)
    given.add_argument("--plant", action="store_true")
    wanted = given.parse_args()
    draw = Random(wanted.seed)  # noqa: S311 - repeatable moments, no secrets
    with tempfile.TemporaryDirectory() as folder:
        config = Config(data=Path(folder) / "site")
        browsers = enrolled(config, wanted.browsers, hasty=wanted.plant)
        starts, lost, twice, found = [], 0, 0, 0
        for _ in range(wanted.rounds):
            seconds = wanted.seconds * draw.uniform(0.5, 1.5)
            starts.append(one_round(config.data, browsers, seconds))
            found, gone, doubled = missing(config, browsers)
            lost, twice = lost + gone, twice + doubled
        whole = verified(config)
    times = sorted(time_ms for one in browsers for time_ms in one.times_ms)
    print(f"seed {wanted.seed}: {wanted.rounds} kills under load of {wanted.browsers} browsers")
    print(f"rounds answered {len(times)}, on record {found}, lost {lost}, twice {twice}")
    print(f"answer: median {statistics.median(times):.1f} ms, "
          f"p99 {times[int(len(times) * 0.99)]:.1f} ms")  # fmt: skip
    print(f"start after a kill: median {statistics.median(starts):.2f} s, most {max(starts):.2f} s")
    print(f"the whole record: {whole}")
    wrong = bool(lost or twice or whole != "complete")
    return int(not lost if wanted.plant else wrong)


if __name__ == "__main__":
    sys.exit(main())
