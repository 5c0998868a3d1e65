"""Real servers and real tablets: every journey has its own site in its own folder.

A site is made once and copied. It is served in this process, on a free port; where the server
itself is killed, `lanewater serve` runs in a process of its own.
"""

from __future__ import annotations

import shutil
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

import pytest
import uvicorn
from playwright.sync_api import Browser, BrowserContext
from tests.journeys.apart import Apart, Line, OwnChromium
from tests.journeys.harbour import US_UNITS, empty, harbour
from tests.journeys.ready import Ready
from tests.journeys.tablet import Tablet

from lanewater.interfaces.serving import address_of, listening_socket, site_app
from lanewater.interfaces.web.files import FOLDER
from lanewater.service.book import Book, open_book
from lanewater.service.clock import Clock, system_clock
from lanewater.service.config import Config


@dataclass
class Served:
    """A site that is served."""

    folder: Path
    address: str
    first_key: str
    book: Book = field(repr=False)


@dataclass(frozen=True)
class Made:
    """A site's folder, ready to be copied, and its first key."""

    folder: Path
    first_key: str

    def copied(self, into: Path) -> Path:
        """Copy the folder."""
        return shutil.copytree(self.folder, into / "site")


@pytest.fixture(scope="session")
def harbour_made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """The harbour baths, made once."""
    folder = tmp_path_factory.mktemp("harbour")
    return Made(folder, harbour(folder))


@pytest.fixture(scope="session")
def demo_made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """The harbour baths as a demo, in US units, made once."""
    folder = tmp_path_factory.mktemp("demo")
    return Made(folder, harbour(folder, demo=True, units=US_UNITS))


def served(
    made: Made, into: Path, pages: Path = FOLDER, clock: Clock = system_clock
) -> Iterator[Served]:
    """Serve a copy of a site for as long as it is wanted."""
    folder = made.copied(into)
    book = open_book(Config(folder), "server", clock=clock)
    taken = listening_socket("127.0.0.1", 0)
    settings = uvicorn.Config(
        site_app(book, folder=pages), log_level="critical", ws="none", timeout_graceful_shutdown=1
    )
    server = uvicorn.Server(settings)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [taken]}, daemon=True)
    thread.start()
    while not server.started and thread.is_alive():
        time.sleep(0.01)
    yield Served(folder, address_of(taken), made.first_key, book)
    server.should_exit = True
    thread.join()
    taken.close()
    book.close()


@pytest.fixture
def site(harbour_made: Made, tmp_path: Path) -> Iterator[Served]:
    """The harbour baths, served."""
    yield from served(harbour_made, tmp_path)


@pytest.fixture(scope="module")
def demo_site(demo_made: Made, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The harbour baths as a demo, served once for a module's tests that only look."""
    yield from served(demo_made, tmp_path_factory.mktemp("served"))


@pytest.fixture
def empty_site(tmp_path: Path) -> Iterator[Served]:
    """A site that holds nothing yet, served."""
    folder = tmp_path / "empty"
    folder.mkdir()
    yield from served(Made(folder, empty(folder)), tmp_path)


@pytest.fixture(scope="session")
def ready() -> Iterator[Ready]:
    """The Python that forks servers, started with the first test that wants one."""
    found = Ready()
    yield found
    found.close()


@pytest.fixture
def site_apart(ready: Ready, harbour_made: Made, tmp_path: Path) -> Iterator[Apart]:
    """The harbour baths, served by `lanewater serve` in a process that can be killed."""
    apart = Apart(ready, harbour_made.copied(tmp_path), harbour_made.first_key).start()
    yield apart
    apart.kill()


@pytest.fixture
def line(site_apart: Apart) -> Iterator[Line]:
    """The network between a tablet and that process, which can lose answers."""
    found = Line(site_apart.port).open()
    yield found
    found.close()


@pytest.fixture
def own_chromium(chromium: Browser, tmp_path: Path) -> Iterator[OwnChromium]:
    """A browser with a profile on disk, not started yet."""
    found = OwnChromium(chromium, tmp_path / "profile")
    yield found
    found.kill()


NewTablet = Callable[..., Tablet]


@pytest.fixture
def new_tablet(chromium: Browser) -> Iterator[NewTablet]:
    """Hand out tablets; an error that no script caught fails the journey."""
    contexts: list[BrowserContext] = []
    tablets: list[Tablet] = []

    def hand_out(
        where: Served | Apart, width: int = 412, height: int = 900, *, worker: bool = False
    ) -> Tablet:
        context = chromium.new_context(
            viewport={"width": width, "height": height},
            base_url=where.address,
            # What a journey holds back or changes on its way must not come from the worker.
            service_workers="allow" if worker else "block",
        )
        contexts.append(context)
        tablet = Tablet(context.new_page(), where.first_key)
        tablets.append(tablet)
        return tablet

    yield hand_out
    errors = [error for tablet in tablets for error in tablet.errors]
    for context in contexts:
        with suppress(Exception):
            context.close()
    assert errors == []


@pytest.fixture
def tablet(site: Served, new_tablet: NewTablet) -> Tablet:
    """A tablet of the harbour baths, enrolled."""
    found = new_tablet(site)
    found.enrol()
    return found
