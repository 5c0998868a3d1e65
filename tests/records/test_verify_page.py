"""The page that verifies a record: from disk, with no network, on a small screen."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page
from tests.records.log_cases import make_log
from tests.records.verify_page import PAGE, sealed

TEXT = PAGE.read_text(encoding="utf-8")
LOG = make_log(20)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "bundle"
    made.mkdir()
    for name, content in LOG.files().items():
        (made / name).write_bytes(content)
    return made


def choose(page: Page, folder: Path) -> None:
    page.goto(PAGE.as_uri())
    page.set_input_files("#files", [str(path) for path in folder.iterdir()])
    page.wait_for_selector("#check:enabled")


def answer(page: Page) -> str:
    page.click("#check")
    page.wait_for_selector("#answer:visible")
    page.wait_for_selector("#check:enabled")
    return page.inner_text("#answer")


def test_the_policy_names_this_script_and_this_style_and_nothing_else() -> None:
    assert sealed(TEXT) == TEXT, "run python -m tests.records.verify_page"
    assert sealed(TEXT.replace("Check the record", "x", 1).replace("use strict", "x", 1)) != TEXT
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', TEXT)
    assert policy is not None
    assert policy[1].startswith("default-src 'none';")
    assert "unsafe" not in policy[1]


def test_the_page_reaches_for_nothing_outside_itself() -> None:
    assert not re.search(r"https?:|//[a-z]|fetch\(|XMLHttp|WebSocket|import\(|\bsrc=|\burl\(", TEXT)
    assert "innerHTML" not in TEXT


def test_a_good_record_is_complete_from_its_files_and_an_older_stamp(
    browser_page: Page, folder: Path
) -> None:
    choose(browser_page, folder)
    assert "no stamp from elsewhere was given" in answer(browser_page)
    browser_page.fill("#stamps", "On the print:\n" + LOG.note(12) + "\nand\n" + LOG.note(15))
    said = answer(browser_page)
    assert "Complete: 20 lines" in said
    assert "no stamp from elsewhere" not in said


def test_a_folder_is_taken_as_well(browser_page: Page, folder: Path) -> None:
    browser_page.goto(PAGE.as_uri())
    browser_page.set_input_files("#folder", str(folder))
    browser_page.wait_for_selector("#check:enabled")
    assert "Complete: 20 lines" in answer(browser_page)


def test_a_changed_line_is_named(browser_page: Page, folder: Path) -> None:
    events = folder / "events.jsonl"
    events.write_bytes(events.read_bytes().replace(b"fact-9", b"fact-8"))
    choose(browser_page, folder)
    said = answer(browser_page)
    assert "Changed: 20 lines" in said
    assert "line 10 " in said
    assert "events.jsonl is not the one" in said


def test_an_old_print_shows_a_record_that_was_put_back(browser_page: Page, tmp_path: Path) -> None:
    older = LOG.copy()
    del older.items[10:]
    older.stamps = older.stamps[:1]
    for name, content in older.files().items():
        (tmp_path / name).write_bytes(content)
    choose(browser_page, tmp_path)
    browser_page.fill("#stamps", LOG.note(15))
    assert "rolled back against the stamp of size 15" in answer(browser_page)


@pytest.mark.parametrize("pasted", ["no stamp at all", "lanewater/baths/x", LOG.note(15)[:-9]])
def test_a_stamp_that_cannot_be_read_is_never_complete(
    browser_page: Page, folder: Path, pasted: str
) -> None:
    choose(browser_page, folder)
    browser_page.fill("#stamps", pasted)
    assert "Not all of it could be checked" in answer(browser_page)


def test_what_is_no_part_of_the_record_is_named_and_not_read(
    browser_page: Page, folder: Path
) -> None:
    (folder / "notes.txt").write_text("x")
    choose(browser_page, folder)
    assert "Not looked at: notes.txt" in browser_page.inner_text("#chosen")
    assert "Complete" in answer(browser_page)


def test_a_browser_that_cannot_check_signatures_says_so(browser_page: Page, folder: Path) -> None:
    """The planted fault: a browser that calls every signature good."""
    choose(browser_page, folder)
    browser_page.evaluate("crypto.subtle.verify = async () => true")
    assert "Not all of it could be checked" in answer(browser_page)


@pytest.mark.parametrize("width", [360, 1200])
def test_it_fits_the_screen_and_can_be_used_by_keyboard(
    chromium: Browser, folder: Path, width: int
) -> None:
    context = chromium.new_context(viewport={"width": width, "height": 740})
    page = context.new_page()
    choose(page, folder)
    answer(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.focus("#check")
    page.keyboard.press("Enter")
    page.wait_for_selector("#check:enabled")
    small = page.evaluate(
        "[...document.querySelectorAll('button')].filter(b => b.offsetHeight < 44).length"
    )
    assert small == 0
    context.close()
