"""Put the same rounds to CPython and to a browser, in tens of thousands, and count what differs.

    .venv/bin/python benchmarks/parity_browsers.py chromium|firefox|webkit
        [--random N] [--adversarial N] [--advice N] [--seed S] [--plant]

Random: a case drawn with the odd and the impossible among it, under a pack drawn. Advice: a request
drawn in which an amount is likely, half of them with something missing. Adversarial: each
limit of each pack on it, one step below and above, over and under range, on the pack's own golden
cases, with pool facts turned, and with a key left out, made null or a list emptied. The browser is
started as people start it, without a driver: its page fetches the rows from a server on loopback
and sends back what came of them. Decisions must be the same to the letter, the names of errors and
the order of keys included. With --plant the kernel that the browser gets takes "above" for "at
least", and the run fails where that is not found. Needs by apt what it drives: chromium,
firefox-esr, or webkit2gtk-driver (MiniBrowser) with xvfb. Not part of all.py: a campaign.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from itertools import islice
from pathlib import Path
from random import Random
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.conftest import FLAGS, browser_path
from tests.parity.drawing import POOL_WORDS, draw_case, draw_request
from tests.parity.sides import (
    HARNESS,
    KERNEL_SCRIPT,
    STATIC,
    change,
    changes_of,
    difference,
    python_outcome,
)
from tests.parity.suites_deciding import near_limits, packs

from lanewater.kernel.deciding.advice import advise
from lanewater.kernel.deciding.judging import judge
from lanewater.service.constants import load_constants
from lanewater.service.translation.generated import kernel_sources
from lanewater.service.translation.script import translate

BATCH = 500
PATIENCE_S = 120
MOST_SHOWN = 5
PAGE = """<!doctype html><title>parity</title><script type="module">
const {{ run }} = await import("/harness.js");
const put = (body) => fetch("/done", {{ method: "POST", body }}).then((answer) => answer.text());
let batch = await (await fetch("/next")).text();
while (batch) {{
  let said;
  try {{ said = await run("{script}", "{name}", batch); }}
  catch (error) {{ said = JSON.stringify({{ broken: String(error) }}); }}
  batch = await put(said);
}}
</script>"""
PLANTED = ("return $ge(number, limit);", "return $gt(number, limit);")
# How far numbers may lie apart: judging has whole ones only, an amount is searched to a tolerance.
ASKED = {"judge": (judge, 0.0), "advise": (advise, 1e-9)}
Row = tuple[Any, dict[str, Any]]


def random_rows(draw: Random) -> Iterator[Row]:
    """Give cases at random under packs at random."""
    names = list(packs())
    while True:
        yield packs()[draw.choice(names)], draw_case(draw)


def adversarial_rows(draw: Random) -> Iterator[Row]:
    """Give cases at every limit, and each of them with something turned or missing."""
    near = [(row[0], row[1]) for row in near_limits()]
    yield from near
    while True:
        pack, case = draw.choice(near)
        if draw.random() < 0.5:
            turned = {fact: draw.choice(words) for fact, words in POOL_WORDS.items()}
            case = case | {"pool": case["pool"] | turned}
        if draw.random() < 0.7:
            _, steps, what = draw.choice(changes_of((case,), 0, 1))
            case = change(case, steps, what)
        yield pack, case


def advice_rows(draw: Random) -> Iterator[Row]:
    """Give requests for advice, half of them with something missing."""
    constants = load_constants()
    while True:
        request = draw_request(draw)
        if draw.random() < 0.5:
            _, steps, what = draw.choice(changes_of((request,), 0, 1))
            request = change(request, steps, what)
        yield constants, request


class Asking:
    """Hands the rows out in batches and holds each answer to CPython's."""

    def __init__(self, name: str, rows: Iterator[Row], script: str) -> None:
        self.name = name
        self.call, self.within = ASKED[name]
        self.rows = rows
        self.script = script
        self.waiting: list[Row] = []
        self.asked = 0
        self.errors = 0
        self.faults: list[str] = []
        self.ended = threading.Event()

    def next_batch(self) -> str:
        """Give the next batch, "" where there is none."""
        self.waiting = list(islice(self.rows, BATCH))
        if not self.waiting:
            self.ended.set()
            return ""
        held = {id(part): part for row in self.waiting for part in row}
        places = {key: place for place, key in enumerate(held)}
        rows = [([places[id(part)] for part in row], None) for row in self.waiting]
        return json.dumps({"held": [json.dumps(part) for part in held.values()], "rows": rows})

    def take(self, text: str) -> str:
        """Take an answer, compare it, and give the next batch."""
        answer = json.loads(text)
        if "broken" in answer:
            self.faults.append(answer["broken"])
            self.ended.set()
            return ""
        for row, theirs in zip(self.waiting, answer["outcomes"], strict=True):
            here = python_outcome(self.call, row)
            self.asked += 1
            self.errors += "error" in here
            if said := difference(here, theirs, self.within):
                self.faults.append(said)
        self.faults += ["the browser changed what it was handed"] * len(answer["touched"])
        return self.next_batch()


def answering(asking: Asking) -> type[BaseHTTPRequestHandler]:
    """Make the server's handler."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            if self.path == "/next":
                self.give(asking.next_batch().encode(), "application/json")
            elif self.path == KERNEL_SCRIPT:
                self.give(asking.script.encode(), "text/javascript")
            elif self.path == "/harness.js":
                self.give(HARNESS.read_bytes(), "text/javascript")
            elif self.path == "/static/strict.js":
                self.give((STATIC / "strict.js").read_bytes(), "text/javascript")
            elif self.path == "/":
                self.give(PAGE.format(script=KERNEL_SCRIPT, name=asking.name).encode(), "text/html")
            else:
                self.send_error(404)

        def do_POST(self) -> None:
            text = self.rfile.read(int(self.headers["Content-Length"])).decode()
            self.give(asking.take(text).encode(), "application/json")

        def give(self, body: bytes, kind: str) -> None:
            self.send_response(200)
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *_: object) -> None:
            """Say nothing."""

    return Handler


def command(browser: str, address: str, profile: Path) -> list[str]:
    """Give how a browser is started on a page."""
    if browser == "chromium":
        flags = [*FLAGS, "--headless", f"--user-data-dir={profile}"]
        flags += ["--no-sandbox"] if os.getuid() == 0 else []
        return [str(browser_path()), *flags, address]
    if browser == "firefox":
        return ["firefox-esr", "--headless", "--no-remote", "--profile", str(profile), address]
    found = sorted(Path("/usr/lib").glob("*/webkit2gtk-4*/MiniBrowser"))
    if not found:
        raise SystemExit("no MiniBrowser here: apt-get install webkit2gtk-driver xvfb")
    return ["xvfb-run", "-a", str(found[-1]), address]


def version_of(browser: str) -> str:
    """Give a browser's own word on its version."""
    program = {"chromium": str(browser_path()), "firefox": "firefox-esr"}.get(browser)
    if program is None:
        asked = ["dpkg-query", "-W", "-f", "WebKitGTK ${Version}", "webkit2gtk-driver"]
    else:
        asked = [program, "--version"]
    return subprocess.run(asked, capture_output=True, text=True, check=False).stdout.strip()


def ask(browser: str, name: str, rows: Iterator[Row], script: str) -> Asking:
    """Put rows to a browser until there are none left, or it falls silent."""
    asking = Asking(name, rows, script)
    server = ThreadingHTTPServer(("127.0.0.1", 0), answering(asking))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    profile = Path(tempfile.mkdtemp(prefix="lanewater-parity-"))
    address = f"http://127.0.0.1:{server.server_address[1]}/"
    with subprocess.Popen(
        command(browser, address, profile), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ) as running:
        heard, last = time.monotonic(), -1
        while not asking.ended.wait(1):
            if asking.asked != last:
                heard, last = time.monotonic(), asking.asked
            if time.monotonic() - heard > PATIENCE_S:
                asking.faults.append(f"{browser} fell silent after {asking.asked}")
                break
        running.terminate()
    server.shutdown()
    shutil.rmtree(profile, ignore_errors=True)
    return asking


def main() -> int:
    """Ask, compare, count and print."""
    given = argparse.ArgumentParser(description=__doc__)
    given.add_argument("browser", choices=("chromium", "firefox", "webkit"))
    given.add_argument("--random", type=int, default=20_000)
    given.add_argument("--adversarial", type=int, default=20_000)
    given.add_argument("--advice", type=int, default=5_000)
    given.add_argument("--seed", type=int, default=1)
    given.add_argument("--plant", action="store_true")
    wanted = given.parse_args()
    script = translate(kernel_sources())
    if wanted.plant:
        script = script.replace(*PLANTED)
    draw = Random(wanted.seed)  # noqa: S311 - repeatable draws, no secrets
    found = 0
    print(version_of(wanted.browser))
    for kind, name, rows, count in (
        ("random", "judge", random_rows(draw), wanted.random),
        ("adversarial", "judge", adversarial_rows(draw), wanted.adversarial),
        ("advice", "advise", advice_rows(draw), wanted.advice),
    ):
        begun = time.perf_counter()
        asking = ask(wanted.browser, name, islice(rows, count), script)
        spent = time.perf_counter() - begun
        found += len(asking.faults) + (asking.asked != count)
        print(f"{wanted.browser}, {kind}, seed {wanted.seed}: {asking.asked} of {count} decided on "
              f"both sides in {spent:.0f} s, {asking.errors} of them refused by an error, "
              f"{len(asking.faults)} different", flush=True)  # fmt: skip
        for text in asking.faults[:MOST_SHOWN]:
            print(f"    {text[:300]}")
    return int(not found if wanted.plant else bool(found))


if __name__ == "__main__":
    sys.exit(main())
