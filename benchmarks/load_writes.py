"""Acknowledged writes a second over HTTP with a real flush, beside bare inserts on the same disk.

Run with: .venv/bin/python benchmarks/load_writes.py [--seconds 60] [--browsers 8] [--record FOLDER]

Browsers record rounds as fast as they are answered; the server and they share the machine. An
answer counts once the round is on disk, judged, and the judgement is on disk: two transactions, two
flushes. In the same run, before and after, stands what the stores take bare: as many bytes in as
many transactions, SQLite in WAL with synchronous FULL, PostgreSQL with fsync and
synchronous_commit on, from as many connections as browsers, and a page appended and flushed. Every
acknowledged id is looked for in the record afterwards. With --plant one that was never sent is
looked for too, and the run must fail.
"""

from __future__ import annotations

import argparse
import http.client
import json
import os
import shutil
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path

import psycopg

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.postgres import Server, account

from lanewater.interfaces.api.caller import DEVICE_COOKIE
from lanewater.service.access import enrol, make_first_key
from lanewater.service.actor import SHELL
from lanewater.service.book import new_id, open_book
from lanewater.service.clock import system_clock
from lanewater.service.config import Config
from lanewater.service.set_up import add, new_site

ROUND = {
    "pool": "main",
    "readings": {
        "free_chlorine": "1.52",
        "total_chlorine": "1.68",
        "ph": "7.43",
        "temperature_c": "28.4",
        "clarity": "visible",
    },
}
FACTS = {"kind": "pool", "location": "indoor", "disinfectant": "chlorine"}
# What a round and its judgement weigh in the record.
PARTS = (b"r" * 1100, b"j" * 2300)
TABLE = "CREATE TABLE entry (seq {key} PRIMARY KEY, bytes {blob} NOT NULL)"


def set_up(config: Config, browsers: int) -> list[str]:
    """Make a site where there is none; give the tokens of enrolled browsers."""
    if not config.store.is_file():
        new_site(config, {"name": "Load", "timezone": "America/Toronto", "rules": "ca-qc"})
    book = open_book(config, "server")
    if "main" not in book.state.pools:
        add(book, SHELL, "pool", {"pool": "main", "name": "Main", "facts": FACTS})
    tokens = [
        enrol(book, make_first_key(book), f"Tablet {number}", "shared")["token"]
        for number in range(browsers)
    ]
    book.close()
    return tokens


def record_rounds(
    address: str, token: str, until: float, saved: list[tuple[str, float]], why: list[str]
) -> None:
    """Record rounds until a time; keep each id that was acknowledged, and how long it took."""
    headers = {
        "Cookie": f"{DEVICE_COOKIE}={token}",
        "Sec-Fetch-Site": "same-origin",
        "Content-Type": "application/json",
    }
    connection = http.client.HTTPConnection(address, timeout=120)
    while time.perf_counter() < until:
        identity = new_id(system_clock())
        start = time.perf_counter()
        connection.request("POST", "/api/v1/rounds", json.dumps(ROUND | {"id": identity}), headers)
        response = connection.getresponse()
        text = response.read()
        if response.status == 200:
            saved.append((identity, (time.perf_counter() - start) * 1000))
        else:
            why.append(f"{response.status} {text[:100]!r}")
            time.sleep(0.05)


def over_http(config: Config, tokens: list[str], seconds: float) -> dict[str, float]:
    """Load the server from one thread a browser; give the figures."""
    command = [sys.executable, "-m", "lanewater", "serve", "--port", "0", "--data"]
    server = subprocess.Popen([*command, str(config.data)], stderr=subprocess.PIPE, text=True)
    assert server.stderr is not None  # noqa: S101 - a pipe was asked for
    line = next(row for row in server.stderr if "http://" in row)
    address = next(word for word in line.split() if "http" in word).removeprefix("http://")
    threading.Thread(target=server.stderr.read, daemon=True).start()
    saved: list[tuple[str, float]] = []
    why: list[str] = []
    until = time.perf_counter() + seconds
    threads = [
        threading.Thread(target=record_rounds, args=(address, token, until, saved, why))
        for token in tokens
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    cpu_s = cpu_of(server.pid)
    rss_mib = memory_mib(server.pid)
    server.terminate()
    server.wait()
    if why:
        print(f"refused {len(why)}, first: {why[0]}")
    return {
        **spread([took for _, took in saved], seconds),
        "cpu_ms_each": 1000 * cpu_s / max(1, len(saved)),
        "rss_mib": rss_mib,
        "lost": lost(config, [identity for identity, _ in saved]),
    }


def cpu_of(process: int) -> float:
    """Give the CPU seconds of a process so far."""
    parts = Path(f"/proc/{process}/stat").read_text(encoding="ascii").rsplit(")", 1)[1].split()
    return (int(parts[11]) + int(parts[12])) / os.sysconf("SC_CLK_TCK")


def memory_mib(process: int) -> float:
    """Give the resident memory of a process."""
    text = Path(f"/proc/{process}/status").read_text(encoding="ascii")
    line = next(line for line in text.splitlines() if line.startswith("VmRSS"))
    return int(line.split()[1]) / 1024


def lost(config: Config, ids: list[str]) -> int:
    """Count the acknowledged rounds that are not on record once, each with a judgement."""
    store = sqlite3.connect(config.store)
    there = {row[0] for row in store.execute("SELECT id FROM entry")}
    judged = {
        row[0] for row in store.execute("SELECT about FROM claimed WHERE type = 'round-judged'")
    }
    store.close()
    return sum(identity not in there or identity not in judged for identity in ids)


def spread(times_ms: list[float], seconds: float) -> dict[str, float]:
    """Give how many a second, and how long they took."""
    ordered = sorted(times_ms)
    if not ordered:
        raise SystemExit("nothing was acknowledged")
    at = {name: ordered[min(len(ordered) - 1, int(len(ordered) * share))] for name, share in SHARES}
    return {"a_second": len(ordered) / seconds, "median": statistics.median(ordered), **at}


SHARES = (("p99", 0.99), ("p999", 0.999), ("longest", 1.0))


def from_threads(workers: int, seconds: float, begin: Callable[[], Callable[[], None]]) -> dict:  # type: ignore[type-arg]
    """Repeat an act in some threads, each begun by itself; give the figures."""
    times: list[float] = []
    until = time.perf_counter() + seconds

    def work() -> None:
        act = begin()
        while time.perf_counter() < until:
            start = time.perf_counter()
            act()
            times.append((time.perf_counter() - start) * 1000)

    threads = [threading.Thread(target=work) for _ in range(workers)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return spread(times, seconds)


def bare_sqlite(folder: Path) -> Callable[[], Callable[[], None]]:
    """Give the beginner of bare inserts into SQLite, as durable as the record."""
    path = folder / f"bare-{time.monotonic_ns()}.db"
    store = sqlite3.connect(path, isolation_level=None)
    mode = store.execute("PRAGMA journal_mode = WAL").fetchone()[0]
    store.execute(TABLE.format(key="INTEGER", blob="BLOB"))
    store.close()

    def begin() -> Callable[[], None]:
        own = sqlite3.connect(path, isolation_level=None, timeout=60)
        own.execute("PRAGMA synchronous = FULL").fetchall()
        if mode != "wal" or own.execute("PRAGMA synchronous").fetchone()[0] != 2:
            raise SystemExit("SQLite is not as durable as the record")

        def act() -> None:
            for part in PARTS:
                own.execute("INSERT INTO entry (bytes) VALUES (?)", (part,))

        return act

    return begin


def bare_postgres(server: Server) -> Callable[[], Callable[[], None]]:
    """Give the beginner of bare inserts into PostgreSQL, as durable as the record."""
    name = f"bare_{time.monotonic_ns()}"
    server.tell(TABLE.format(key="BIGSERIAL", blob="BYTEA").replace("entry", name))

    def begin() -> Callable[[], None]:
        own = psycopg.connect(server.url("postgres"), autocommit=True)
        for setting in ("fsync", "synchronous_commit", "full_page_writes"):
            if own.execute(f"SHOW {setting}").fetchone() != ("on",):
                raise SystemExit("PostgreSQL is not as durable as the record")

        def act() -> None:
            for part in PARTS:
                own.execute(f"INSERT INTO {name} (bytes) VALUES (%s)", (part,))  # noqa: S608

        return act

    return begin


def flushed_page(folder: Path) -> Callable[[], Callable[[], None]]:
    """Give the beginner of pages appended and flushed, the least that a disk can be asked for."""

    def begin() -> Callable[[], None]:
        handle = os.open(folder / f"page-{threading.get_ident()}", os.O_CREAT | os.O_WRONLY)

        def act() -> None:
            for _ in PARTS:
                os.write(handle, b"x" * 4096)
                os.fdatasync(handle)

        return act

    return begin


def told(what: str, found: dict[str, float]) -> None:
    """Print one line of figures."""
    print(
        f"{what:<34}{found['a_second']:8.1f} a second   p50 {found['median']:7.1f}   "
        f"p99 {found['p99']:7.1f}   p99.9 {found['p999']:7.1f} ms",
        flush=True,
    )


def on_disk_server(folder: Path) -> Server:
    """Start a PostgreSQL server whose files lie on the same disk."""
    place = folder / "postgres"
    place.mkdir()
    folder.chmod(0o755)
    known = account()
    if known:
        os.chown(place, known["user"], known["group"])
    server = Server(place)
    server.make()
    return server


def main() -> int:
    """Measure and print; end with 1 where an acknowledged round is missing."""
    parser = argparse.ArgumentParser(description="Acknowledged writes a second.")
    parser.add_argument("--seconds", type=float, default=20)
    parser.add_argument("--browsers", type=int, default=8)
    parser.add_argument("--record", type=Path, help="load a copy of this record")
    parser.add_argument("--plant", action="store_true")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as held:
        folder = Path(held)
        config = Config(folder / "site")
        if given.record:
            shutil.copytree(given.record, config.data)
        tokens = set_up(config, given.browsers)
        server = on_disk_server(folder)
        short = max(3.0, given.seconds / 4)
        bare = []
        try:
            for turn in ("before", "after"):
                for what, begin, workers in (
                    ("a flushed page, twice", flushed_page(folder), 1),
                    ("bare SQLite, one writer", bare_sqlite(folder), 1),
                    ("bare PostgreSQL, one writer", bare_postgres(server), 1),
                    ("bare PostgreSQL, each browser", bare_postgres(server), given.browsers),
                ):
                    bare.append((what, found := from_threads(workers, short, begin)))
                    told(f"{what}, {turn}"[:34], found)
                if turn == "before":
                    http_found = over_http(config, tokens, given.seconds)
                    told(f"over HTTP, {given.browsers} browsers", http_found)
        finally:
            server.let_go()
        missing = int(http_found["lost"])
        if given.plant:
            missing += lost(config, [new_id(system_clock())])
        said(http_found, bare)
    print(f"acknowledged and not on record: {missing}")
    return 1 if missing else 0


def said(http_found: dict[str, float], bare: list[tuple[str, dict[str, float]]]) -> None:
    """Print the ratios."""
    print(
        f"server: {http_found['cpu_ms_each']:.2f} ms CPU a round, {http_found['rss_mib']:.0f} MiB"
    )
    for what in dict.fromkeys(name for name, _ in bare):
        rate = statistics.mean(found["a_second"] for name, found in bare if name == what)
        print(f"ratio to {what:<32} {http_found['a_second'] / rate:.3f}")


if __name__ == "__main__":
    sys.exit(main())
