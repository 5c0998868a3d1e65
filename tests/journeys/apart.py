"""What comes between a tablet and its server when things go wrong: a process that is really killed,
a network that swallows answers, a browser that dies, and the record as it lies on disk afterwards.
"""

from __future__ import annotations

import json
import re
import shutil
import signal
import socket
import sqlite3
import subprocess
import threading
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Error, Page
from tests.conftest import FLAGS, browser_path
from tests.journeys.ready import Child, Ready

from lanewater.service.access import make_first_key
from lanewater.service.actor import SHELL
from lanewater.service.book import open_book
from lanewater.service.config import Config
from lanewater.service.restore import accept_restored
from lanewater.service.set_up import add

LISTENING = re.compile(r"DevTools listening on (ws://\S+)")
LENGTH = re.compile(rb"content-length: (\d+)", re.IGNORECASE)
KEEPS_OPEN = re.compile(rb"connection: [^\r\n]*\r\n", re.IGNORECASE)
SENDING = b"POST /api/v1/sync/entries"


def lines_on_disk(folder: Path) -> list[dict[str, Any]]:
    """Give every entry of the record, as it lies on disk, in order."""
    store = folder / "lanewater.db"
    with sqlite3.connect(f"file:{store}?mode=ro", uri=True) as connection:
        rows = connection.execute("SELECT bytes FROM entry ORDER BY log_index").fetchall()
    return [json.loads(raw) for (raw,) in rows]


@dataclass
class Apart:
    """A site served by a process of its own, which can be killed and started again."""

    ready: Ready = field(repr=False)
    folder: Path
    first_key: str
    port: int = 0
    address: str = ""
    process: Child | None = field(default=None, repr=False)

    def start(self) -> Apart:
        """Start the server; started again, it is where it was."""
        command = ["serve", "--data", str(self.folder), "--port", str(self.port)]
        self.process = self.ready.start(command)
        line = self.process.said.readline()
        self.address = line.partition("at ")[2].partition(" ")[0]
        if not self.address.startswith("http://"):
            self.kill()
            raise AssertionError(f"the server did not start: {line}")
        self.port = int(self.address.rpartition(":")[2])
        return self

    def kill(self) -> None:
        """Stop the server, as a pulled plug would."""
        if self.process is not None:
            self.process.kill()
            self.process = None

    def set_up(self, what: str, item: Mapping[str, Any]) -> None:
        """Set something up while the server does not run."""
        assert self.process is None
        book = open_book(Config(self.folder))
        with book.writing():
            add(book, SHELL, what, item)
        book.close()

    def go_on(self, reason: str) -> None:
        """Decide to go on from an older record than was seen here."""
        book = open_book(Config(self.folder))
        accept_restored(book, SHELL, reason)
        book.close()

    def new_first_key(self) -> str:
        """Print another first key, as the owner does."""
        book = open_book(Config(self.folder))
        key = make_first_key(book)
        book.close()
        return key

    def lines(self) -> list[dict[str, Any]]:
        """Give the record as it lies on disk."""
        return lines_on_disk(self.folder)


@dataclass
class Line:
    """A network between a browser and a server.

    Attributes
    ----------
    port : int
        Where the server listens.
    dropped : int
        How many answers to what a device sends are still to be lost, after the server gave them.
    api : bool
        Whether anything but the pages themselves comes through.
    """

    port: int
    dropped: int = 0
    api: bool = True
    sent: list[bytes] = field(default_factory=list)
    lost: int = 0

    def open(self) -> Line:
        """Begin to listen."""
        self.listener = socket.create_server(("127.0.0.1", 0))
        threading.Thread(target=self.accept, daemon=True).start()
        return self

    @property
    def address(self) -> str:
        """Give where a browser finds it."""
        return f"http://127.0.0.1:{self.listener.getsockname()[1]}"

    def close(self) -> None:
        """End it."""
        self.listener.close()

    def accept(self) -> None:
        """Take one connection after the other."""
        with suppress(OSError):
            while True:
                client, _ = self.listener.accept()
                threading.Thread(target=self.carry, args=(client,), daemon=True).start()

    def carry(self, client: socket.socket) -> None:
        """Carry one request to the server, and its answer back unless it is to be lost."""
        with client, suppress(OSError):
            request = whole_request(client)
            if not request or (not self.api and b" /api/" in request.partition(b"\r\n")[0]):
                return
            answer = self.answer_to(request)
            if request.startswith(SENDING):
                self.sent.append(request.partition(b"\r\n\r\n")[2])
                if self.dropped > 0 and answer:
                    self.dropped -= 1
                    self.lost += 1
                    return
            client.sendall(answer)

    def answer_to(self, request: bytes) -> bytes:
        """Ask the server, and give all that it answered."""
        head, _, body = request.partition(b"\r\n\r\n")
        alone = KEEPS_OPEN.sub(b"", head + b"\r\n") + b"Connection: close\r\n\r\n" + body
        parts = []
        with socket.create_connection(("127.0.0.1", self.port), timeout=20) as server:
            server.sendall(alone)
            while part := server.recv(65536):
                parts.append(part)
        return b"".join(parts)


def whole_request(client: socket.socket) -> bytes:
    """Read one request with its body."""
    request = b""
    while b"\r\n\r\n" not in request:
        part = client.recv(65536)
        if not part:
            return b""
        request += part
    length = LENGTH.search(request.partition(b"\r\n\r\n")[0])
    wanted = request.index(b"\r\n\r\n") + 4 + (int(length[1]) if length else 0)
    while len(request) < wanted:
        request += client.recv(65536)
    return request


@dataclass
class OwnChromium:
    """A browser with a profile of its own on disk, whose process can be killed."""

    chromium: Browser
    profile: Path
    process: subprocess.Popen[bytes] | None = field(default=None, repr=False)
    context: BrowserContext | None = field(default=None, repr=False)

    def start(self) -> Page:
        """Start it on its profile, and give a page."""
        log = self.profile.with_suffix(".log")
        with log.open("wb") as heard:
            self.process = subprocess.Popen(
                [
                    browser_path(),
                    "--headless=new",
                    "--no-sandbox",
                    "--remote-debugging-port=0",
                    f"--user-data-dir={self.profile}",
                    *FLAGS,
                    "about:blank",
                ],
                stdout=subprocess.DEVNULL,
                stderr=heard,
            )
        address = self.heard(log)
        connected = self.chromium.browser_type.connect_over_cdp(address)
        self.context = connected.contexts[0]
        return self.context.new_page()

    def heard(self, log: Path) -> str:
        """Wait until it says where it listens."""
        for _ in range(200):
            if found := LISTENING.search(log.read_text(errors="replace")):
                return found[1]
            assert self.process is not None
            with suppress(subprocess.TimeoutExpired):
                self.process.wait(0.1)
                break
        raise RuntimeError(log.read_text(errors="replace")[-2000:])

    def close(self) -> None:
        """Close it as a person does, so that it has written its cookies."""
        assert self.context is not None
        assert self.context.browser is not None
        assert self.process is not None
        with suppress(Error):
            self.context.browser.new_browser_cdp_session().send("Browser.close")
        self.process.wait(20)
        self.process = None

    def kill(self) -> None:
        """Kill it, with everything it had not written."""
        if self.process is None:
            return
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()
        self.process = None

    def copied(self, into: Path) -> Path:
        """Copy its profile, while it does not run."""
        assert self.process is None
        return shutil.copytree(self.profile, into, ignore=shutil.ignore_patterns("Singleton*"))


def facts(lines: list[dict[str, Any]], device: str) -> list[Mapping[str, Any]]:
    """Give what a device has on the record, in order."""
    return [line for line in lines if line["dev"] == device]
