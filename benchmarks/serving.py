"""A server as a process: CPU to import it, memory it holds, and how long an answer takes.

Run with: .venv/bin/python benchmarks/serving.py [ROUNDS]

Beside the time of a saved and judged round stands what the disk alone asks for: one appended
page and fsync, on the same disk, in the same minute.
"""

from __future__ import annotations

import http.client
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from lanewater.interfaces.api.caller import DEVICE_COOKIE
from lanewater.service.access import enrol
from lanewater.service.actor import SHELL
from lanewater.service.book import open_book
from lanewater.service.config import Config
from lanewater.service.set_up import add, new_site

TIMES = int(sys.argv[1]) if len(sys.argv) > 1 else 300
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
IMPORT = (
    "import time; start = time.process_time(); import lanewater.interfaces.serving; "
    "print(time.process_time() - start)"
)


def make_site(config: Config) -> str:
    """Make a site with a pool; give the token of an enrolled browser."""
    made = new_site(config, {"name": "Bench", "timezone": "America/Toronto", "rules": "ca-qc"})
    book = open_book(config, "server")
    facts = {"kind": "pool", "location": "indoor", "disinfectant": "chlorine"}
    add(book, SHELL, "pool", {"pool": "main", "name": "Main", "facts": facts})
    token = enrol(book, made["first_key"], "Tablet", "shared")["token"]
    book.close()
    return token


def milliseconds(times: int, act: Callable[[], object]) -> list[float]:
    """Time some repetitions of one thing, in order of length."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        act()
        found.append((time.perf_counter() - start) * 1000)
    return sorted(found)


def told(what: str, times_ms: list[float]) -> None:
    """Print the median and the 95th percentile."""
    high = times_ms[int(len(times_ms) * 0.95)]
    print(f"{what:<34} median {statistics.median(times_ms):7.2f} ms   p95 {high:7.2f} ms")


def memory_mib(process: int, field: str) -> float:
    """Give a figure of a process's memory."""
    text = Path(f"/proc/{process}/status").read_text(encoding="ascii")
    line = next(line for line in text.splitlines() if line.startswith(field))
    return int(line.split()[1]) / 1024


class Asking:
    """One browser's connection."""

    def __init__(self, address: str, token: str) -> None:
        self.connection = http.client.HTTPConnection(address.removeprefix("http://"))
        self.headers = {
            "Cookie": f"{DEVICE_COOKIE}={token}",
            "Sec-Fetch-Site": "same-origin",
            "Content-Type": "application/json",
        }

    def ask(self, method: str, path: str, body: Any = None) -> None:
        """Ask once; anything but success ends the measurement."""
        content = None if body is None else json.dumps(body)
        self.connection.request(method, path, content, self.headers)
        response = self.connection.getresponse()
        text = response.read()
        if response.status != 200:
            raise SystemExit(f"{method} {path}: {response.status} {text[:200]!r}")


def flushed_page(handle: int) -> None:
    """Append a page and flush it to the disk."""
    os.write(handle, b"x" * 4096)
    os.fsync(handle)


def main() -> None:
    """Measure and print."""
    imports = [
        float(subprocess.check_output([sys.executable, "-c", IMPORT], text=True)) for _ in range(5)
    ]
    print(f"import of the server               {min(imports):.2f} s of CPU (best of 5)")
    with tempfile.TemporaryDirectory() as folder:
        config = Config(data=Path(folder) / "site")
        token = make_site(config)
        command = [sys.executable, "-m", "lanewater", "serve", "--port", "0"]
        start = time.perf_counter()
        process = subprocess.Popen(
            [*command, "--data", str(config.data)], stderr=subprocess.PIPE, text=True
        )
        assert process.stderr is not None  # noqa: S101 a pipe was asked for
        address = next(word for word in process.stderr.readline().split() if "http" in word)
        print(f"start until it says where it is    {time.perf_counter() - start:.2f} s")
        try:
            measure(process.pid, Asking(address, token), Path(folder))
        finally:
            process.terminate()
            process.wait()


def measure(process: int, browser: Asking, folder: Path) -> None:
    """Measure a running server."""
    browser.ask("GET", "/api/v1/now")
    print(f"resident memory after one request  {memory_mib(process, 'VmRSS'):.0f} MiB")
    browser.ask("POST", "/api/v1/rounds", ROUND)
    handle = os.open(folder / "page", os.O_CREAT | os.O_WRONLY)
    told("a page flushed to this disk", milliseconds(TIMES, lambda: flushed_page(handle)))
    os.close(handle)
    told(
        "POST /rounds: saved, judged, saved",
        milliseconds(TIMES, lambda: browser.ask("POST", "/api/v1/rounds", ROUND)),
    )
    told("GET /now", milliseconds(TIMES, lambda: browser.ask("GET", "/api/v1/now")))
    told("GET /me", milliseconds(TIMES, lambda: browser.ask("GET", "/api/v1/me")))
    print(f"resident memory at the end         {memory_mib(process, 'VmRSS'):.0f} MiB")
    print(f"largest resident memory            {memory_mib(process, 'VmHWM'):.0f} MiB")


if __name__ == "__main__":
    main()
