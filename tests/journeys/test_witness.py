"""A tablet remembers the newest stamp it saw, and says loudly when the record lost lines."""

from __future__ import annotations

import shutil
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from playwright.sync_api import Browser, Page, expect
from tests.journeys.conftest import Made
from tests.journeys.harbour import GOOD, TESTER
from tests.journeys.tablet import Tablet

from lanewater.interfaces.serving import address_of, listening_socket, site_app
from lanewater.records.signing import key_bytes, make_key
from lanewater.records.stamps import Head, handover_word, make_stamp
from lanewater.records.tree import EMPTY, completed, consistency_path, holds_consistency, root
from lanewater.service.actor import SHELL
from lanewater.service.book import Book, open_book
from lanewater.service.config import Config
from lanewater.service.log_key import rotate_log_key
from lanewater.service.restore import accept_restored
from lanewater.service.rounds import record_round

MISSING = "Lines are missing."
LARGE_PX = 24


@contextmanager
def serving(folder: Path, port: int = 0) -> Iterator[tuple[str, Book]]:
    """Serve a folder, on the port of an earlier server where one is given."""
    book = open_book(Config(folder), "server")
    taken = listening_socket("127.0.0.1", port)
    settings = uvicorn.Config(
        site_app(book), log_level="critical", ws="none", timeout_graceful_shutdown=1
    )
    server = uvicorn.Server(settings)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [taken]}, daemon=True)
    thread.start()
    while not server.started and thread.is_alive():
        time.sleep(0.01)
    try:
        yield address_of(taken), book
    finally:
        server.should_exit = True
        thread.join()
        taken.close()
        book.close()


def port_of(address: str) -> int:
    """Give the port of an address."""
    return int(address.rpartition(":")[2])


def some_rounds(book: Book, count: int) -> None:
    """Record some rounds."""
    for _ in range(count):
        record_round(book, TESTER, {"pool": "main", "readings": GOOD})


def loaded(tablet: Tablet) -> None:
    """Load the first page, and wait until the stamp was asked for and looked at."""
    with tablet.page.expect_response(lambda answer: "/api/v1/stamp" in answer.url):
        tablet.load("/")
    tablet.page.wait_for_load_state("networkidle")


@pytest.fixture
def held(chromium: Browser, harbour_made: Made, tmp_path: Path) -> Iterator[Any]:
    """A tablet that saw a record of its own, and the folder as it was three rounds before."""
    folder, older = harbour_made.copied(tmp_path), tmp_path / "older"
    context = None
    with serving(folder) as (address, book):
        context = chromium.new_context(base_url=address, viewport={"width": 412, "height": 900})
        tablet = Tablet(context.new_page(), harbour_made.first_key)
        tablet.enrol()
    shutil.copytree(folder, older)
    with serving(folder, port_of(address)) as (_, book):
        some_rounds(book, 3)
        loaded(tablet)
        expect(tablet.page.locator(".witness")).to_have_count(0)
    yield tablet, port_of(address), folder, older
    context.close()


def test_a_record_that_only_grew_is_passed_in_silence(held: Any) -> None:
    tablet, port, folder, _ = held
    with serving(folder, port) as (_, book):
        some_rounds(book, 2)
        loaded(tablet)
        expect(tablet.page.locator(".witness")).to_have_count(0)


def test_a_server_that_was_rolled_back_is_told_in_large_words_and_stays_told(held: Any) -> None:
    tablet, port, folder, older = held
    with serving(older, port) as (_, book):
        loaded(tablet)
        warning = tablet.page.locator(".witness")
        expect(warning).to_contain_text(MISSING)
        size = warning.locator("span").evaluate("one => parseFloat(getComputedStyle(one).fontSize)")
        assert size >= LARGE_PX
        expect(warning.get_by_role("button")).to_have_count(0)
        tablet.go("/record")
        expect(warning).to_contain_text(MISSING)
        some_rounds(book, 5)
        loaded(tablet)
        expect(warning).to_contain_text("The record was changed.")
        loaded(tablet)
        expect(warning).to_contain_text("The record was changed.")
    with serving(folder, port):
        loaded(tablet)
        expect(tablet.page.locator(".witness")).to_have_count(0)


def test_a_new_key_with_the_old_ones_word_is_passed_and_one_without_is_told(held: Any) -> None:
    tablet, port, folder, _ = held
    with serving(folder, port) as (_, book):
        rotate_log_key(book, SHELL)
        loaded(tablet)
        expect(tablet.page.locator(".witness")).to_have_count(0)
    (folder / "keys" / "log.key").write_bytes(key_bytes(make_key()))
    with serving(folder, port) as (_, book):
        rotate_log_key(book, SHELL, lost=True)
        tablet.sign_in("TT")
        loaded(tablet)
        warning = tablet.page.locator(".witness")
        expect(warning).to_contain_text("replaced without the word of the old one")
        expect(warning.get_by_role("button")).to_have_count(0)
        tablet.sign_in("AA")
        tablet.key("I have read this. Go on from here").click()
        expect(warning).to_have_count(0)
        loaded(tablet)
        expect(warning).to_have_count(0)


def test_a_record_put_back_on_purpose_is_told_and_gone_on_from_once_it_was_read(held: Any) -> None:
    tablet, port, folder, older = held
    shutil.copy(folder / "seen.txt", older / "seen.txt")
    with serving(older, port) as (_, book):
        assert "ROLLED BACK" in book.trouble
        accept_restored(book, SHELL, "The disk broke; this is last night's copy")
        loaded(tablet)
        warning = tablet.page.locator(".witness")
        expect(warning).to_contain_text("somebody decided to go on from there")
        loaded(tablet)
        expect(warning).to_be_visible()
        tablet.key("I have read this. Go on from here").click()
        expect(warning).to_have_count(0)
        some_rounds(book, 1)
        loaded(tablet)
        expect(warning).to_have_count(0)


def test_a_stamp_that_its_key_did_not_sign_is_told(held: Any) -> None:
    tablet, port, folder, _ = held
    with serving(folder, port):

        def forged(route: Any) -> None:
            answer = route.fetch()
            told = answer.json()
            said = told["stamp"].split("\n")
            said[1] = str(int(said[1]) + 1)
            route.fulfill(response=answer, json=told | {"stamp": "\n".join(said)})

        tablet.page.route("**/api/v1/stamp*", forged)
        loaded(tablet)
        expect(tablet.page.locator(".witness")).to_contain_text("not signed by its key")


@pytest.fixture(scope="module")
def bare(chromium: Browser, harbour_made: Made, tmp_path_factory: Any) -> Iterator[Page]:
    """A page of the site's own origin, to run single modules in."""
    with serving(harbour_made.copied(tmp_path_factory.mktemp("bare"))) as (address, _):
        context = chromium.new_context(base_url=address, bypass_csp=True)
        page = context.new_page()
        page.goto("/static/mark.svg")
        yield page
        context.close()


def leaves(count: int) -> dict[tuple[int, int], bytes]:
    """Give the nodes of a tree of so many leaves."""
    nodes: dict[tuple[int, int], bytes] = {}
    for index in range(count):
        leaf = index.to_bytes(32, "big")
        for level, position, value in completed(index, leaf, lambda *at: nodes[at]):
            nodes[level, position] = value
    return nodes


def proofs() -> list[list[Any]]:
    """Give every proof of small trees, and each with one thing in it changed."""
    nodes = leaves(20)
    node = lambda *at: nodes[at]  # noqa: E731 - one line, used as a word
    found: list[list[Any]] = []
    for new in range(21):
        for old in range(new + 1):
            path = [part.hex() for part in consistency_path(old, new, node)]
            heads = [root(size, node).hex() if size else EMPTY.hex() for size in (old, new)]
            right = [old, heads[0], new, heads[1], path]
            found.append(right)
            found.append([new, heads[0], old, heads[1], path])
            found.append([old, heads[1], new, heads[0], path])
            found.append([old, heads[0], new + 1, heads[1], path])
            found.append([max(old - 1, 0), heads[0], new, heads[1], path])
            found.append([old, heads[0], new, heads[1], [*path, heads[0]]])
            found.append([old, heads[0], new, heads[1], path[1:]])
            found.append([old, heads[0], new, heads[1], path[::-1]])
            if path:
                flipped = f"{int(path[0][0], 16) ^ 1:x}{path[0][1:]}"
                found.append([old, heads[0], new, heads[1], [flipped, *path[1:]]])
    return found


def test_the_tablet_and_the_server_accept_and_refuse_the_same_proofs(bare: Page) -> None:
    rows = proofs()
    here = [
        holds_consistency(
            old, bytes.fromhex(older), new, bytes.fromhex(newer), [bytes.fromhex(p) for p in path]
        )
        for old, older, new, newer, path in rows
    ]
    there = bare.evaluate(
        """async (rows) => {
          const { consistencyHolds } = await import("/static/ground/proof.js");
          return Promise.all(rows.map((row) => consistencyHolds(...row)));
        }""",
        rows,
    )
    assert there == here
    assert here.count(True) >= 231
    assert here.count(False) > 1000


def test_the_tablet_reads_stamps_as_strictly_as_the_server_and_checks_their_key(bare: Page) -> None:
    key, other = make_key(), make_key()
    head = Head("lanewater/harbour-1/0123456789abcdef/1", 7, b"\x05" * 32)
    note = make_stamp(head, key)
    lines = note.split("\n")
    bad = [
        note[:-1],
        note + "\n",
        note.replace("\n7\n", "\n07\n"),
        note.replace("/1\n", "/0\n"),
        note.replace("lanewater/", "Lanewater/", 1),
        "\n".join([lines[0], lines[1], lines[2][:-4] + "BQB=", *lines[3:]]),
        "\n".join([*lines[:3], "", "- x y", ""]),
        "",
        "x" * 5000,
    ]
    asked = [
        [note, key.public_hex],
        [note, other.public_hex],
        *[[one, key.public_hex] for one in bad],
    ]
    asked.append([note.replace("\n7\n", "\n8\n"), key.public_hex])
    told = bare.evaluate(
        """async (asked) => {
          const { noteHolds, readNote } = await import("/static/ground/note.js");
          const one = async ([text, key]) => noteHolds(readNote(text), key);
          return Promise.all(asked.map((row) => one(row).catch((error) => error.message)));
        }""",
        asked,
    )
    assert told == [True, False, *["no stamp"] * len(bad), False]
    word = handover_word(key, other.public_hex)
    hands = [[word, key.public_hex, other.public_hex], [word, other.public_hex, key.public_hex]]
    assert bare.evaluate(
        """async (hands) => {
          const { wordHolds } = await import("/static/ground/note.js");
          return Promise.all(hands.map((row) => wordHolds(...row)));
        }""",
        hands,
    ) == [True, False]
