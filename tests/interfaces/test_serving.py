"""The real server as a process: it starts, says where, keeps what it answered, and stops."""

from __future__ import annotations

import json
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx
import pytest
from tests.interfaces.api.browser import OWN_PAGE

from lanewater.interfaces.api.caller import DEVICE_COOKIE, SESSION_COOKIE
from lanewater.interfaces.cli.main import main
from lanewater.interfaces.serving import loopback
from lanewater.service import access, rounds, set_up
from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.book import open_book
from lanewater.service.config import Config
from lanewater.service.translation.generated import current_mark, kernel_sources
from lanewater.service.translation.script import mark_line

ROUND = {
    "pool": "main",
    "readings": {"free_chlorine": "1.52", "ph": "7.43", "clarity": "visible"},
}
STARTS_WITHIN_S = 30


@dataclass
class Site:
    """A site on disk, and one enrolled browser's cookies."""

    data: Path
    cookies: dict[str, str]


@dataclass
class Running:
    """A server that runs."""

    process: subprocess.Popen[str]
    address: str
    cookies: dict[str, str]

    def post(self, path: str, body: Any) -> httpx.Response:
        """Record something, as the enrolled browser."""
        headers = {"Cookie": "; ".join(f"{key}={text}" for key, text in self.cookies.items())}
        return httpx.post(self.address + path, json=body, headers=headers | OWN_PAGE, timeout=20)


@pytest.fixture
def site(tmp_path: Path) -> Site:
    """Make a site with one pool."""
    config = Config(data=tmp_path / "site")
    made = set_up.new_site(
        config, {"name": "Lindmere Baths", "timezone": "America/Toronto", "rules": "ca-qc"}
    )
    book = open_book(config, "server")
    set_up.add(book, SHELL, "pool", {"pool": "main", "name": "Main", "facts": {"kind": "pool"}})
    token = access.enrol(book, made["first_key"], "Tablet", "shared")
    book.close()
    return Site(config.data, {DEVICE_COOKIE: token["token"], SESSION_COOKIE: token["session"]})


def start(site: Site, *more: str) -> Running:
    """Start the server on a free port and wait until it says where it is."""
    command = [sys.executable, "-P", "-m", "lanewater", "serve", "--port", "0", *more]
    process = subprocess.Popen(
        [*command, "--data", str(site.data)],
        stderr=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stderr is not None
    line = process.stderr.readline()
    if "http://127.0.0.1:" not in line:
        process.kill()
        pytest.fail(line + process.communicate()[1])
    address = next(word for word in line.split() if word.startswith("http"))
    return Running(process, address, site.cookies)


def stop(running: Running, how: signal.Signals) -> int:
    """Stop the server and give its exit code."""
    running.process.send_signal(how)
    code = running.process.wait(timeout=STARTS_WITHIN_S)
    for stream in (running.process.stderr, running.process.stdout):
        assert stream is not None
        stream.close()
    return code


@pytest.fixture
def running(site: Site) -> Iterator[Running]:
    """Run a server for one test."""
    found = start(site)
    yield found
    if found.process.poll() is None:
        stop(found, signal.SIGKILL)


def test_an_answered_round_survives_the_death_of_the_server(site: Site, running: Running) -> None:
    with ThreadPoolExecutor(8) as browsers:
        answers = list(browsers.map(lambda _: running.post("/api/v1/rounds", ROUND), range(24)))
    code = stop(running, signal.SIGKILL)
    assert code == -signal.SIGKILL
    assert {answer.status_code for answer in answers} == {200}
    book = open_book(Config(data=site.data), "shell")
    on_record = {found.id for found in book.state.rounds["main"]}
    verdicts = set(book.state.verdicts)
    book.close()
    answered = {answer.json()["round"] for answer in answers}
    assert len(answered) == 24
    assert answered <= on_record
    assert answered <= verdicts


def test_it_serves_the_kernel_of_this_program_and_stops_when_it_is_told_to(
    running: Running,
) -> None:
    kernel = httpx.get(f"{running.address}/static/generated/kernel.js")
    assert kernel.headers["Content-Type"].startswith("text/javascript")
    assert mark_line(current_mark(kernel_sources())) in kernel.text
    health = httpx.get(f"{running.address}/healthz")
    assert health.json() == {"ok": True, "recording": True}
    assert "server" not in health.headers
    began = time.monotonic()
    code = stop(running, signal.SIGTERM)
    assert code == 0
    assert time.monotonic() - began < 10


def test_interrupted_it_ends_as_it_was_told_to_and_its_answer_is_one_object(site: Site) -> None:
    running = start(site, "--json")
    running.process.send_signal(signal.SIGINT)
    out, err = running.process.communicate(timeout=STARTS_WITHIN_S)
    assert running.process.returncode == 0
    assert json.loads(out) == {"address": running.address, "data": str(site.data)}
    assert err == ""


def test_a_round_that_was_saved_and_not_judged_is_judged_at_the_start(
    site: Site, monkeypatch: pytest.MonkeyPatch
) -> None:
    book = open_book(Config(data=site.data), "server")
    monkeypatch.setattr(rounds, "judge_if_needed", lambda *_given: "not now")
    made = rounds.record_round(book, ANYBODY, ROUND)
    assert made["judged"] is False
    book.close()
    stop(start(site), signal.SIGTERM)
    book = open_book(Config(data=site.data), "shell")
    assert made["round"] in book.state.verdicts
    book.close()


def test_a_taken_port_is_said_with_what_to_do(
    site: Site, capsys: pytest.CaptureFixture[str]
) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = str(other.getsockname()[1])
        code = main(["serve", "--data", str(site.data), "--port", port])
    said = capsys.readouterr()
    assert code == 3
    assert port in said.err
    assert "--port" in said.err
    assert "Traceback" not in said.err
    assert said.out == ""


@pytest.mark.parametrize("host", ["0.0.0.0", "192.0.2.7", "::", "baths.example"])  # noqa: S104 - asked for to be refused
def test_plain_http_beyond_this_machine_is_refused_and_said_why(
    site: Site, capsys: pytest.CaptureFixture[str], host: str
) -> None:
    code = main(["serve", "--data", str(site.data), "--host", host])
    said = capsys.readouterr().err
    assert code == 2
    assert "--behind-tls" in said
    assert "TLS" in said


@pytest.mark.parametrize(
    ("host", "own"),
    [
        ("127.0.0.1", True),
        ("127.8.8.8", True),
        ("::1", True),
        ("[::1]", True),
        ("localhost", True),
        ("localhost.example", False),
        ("0.0.0.0", False),  # noqa: S104 - a name to be told apart
        ("", False),
    ],
)
def test_what_counts_as_this_machine(host: str, own: bool) -> None:
    assert loopback(host) is own


def test_without_a_site_it_says_how_to_make_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["serve", "--data", str(tmp_path / "none")]) == 3
    assert "site new" in capsys.readouterr().err


def test_daily_backups_of_a_record_on_a_server_are_refused_at_the_start(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["serve", "--store", "postgresql://nowhere/x", "--backups", str(tmp_path)]
    assert main([*words, "--data", str(tmp_path / "data")]) == 2
    assert "PostgreSQL's own tools" in capsys.readouterr().err
