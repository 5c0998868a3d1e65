"""Texts that are scripts elsewhere, typed into every field: every page shows them as text."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import cycle
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.journeys.conftest import Made, Served, served
from tests.journeys.harbour import FACTS, GOOD, LOW, TESTER
from tests.journeys.tablet import Tablet
from tests.journeys.test_pages import PAGES

from lanewater.service.actor import SHELL, Actor
from lanewater.service.book import Book
from lanewater.service.clock import DAY_MS, instant_text
from lanewater.service.inspection import make_link
from lanewater.service.opening import close_pool, everyone_out, told
from lanewater.service.rounds import correct_reading, record_round
from lanewater.service.set_up import add

PAYLOADS = (
    '<img src=x data-pwn onerror="window.__pwn=1">',
    "<script data-pwn>window.__pwn=1</script>",
    '"><svg data-pwn onload=window.__pwn=1>',
    "javascript:window.__pwn=1//",
    "' autofocus data-pwn onfocus=window.__pwn=1 '",
    "</title></style><b data-pwn>bold",
    "{{constructor.constructor('window.__pwn=1')()}}",
    "${window.__pwn=1}",
    '<a data-pwn href="javascript:window.__pwn=1">x</a>',
    '<iframe data-pwn srcdoc="<script>parent.__pwn=1</script>">',
    "<style data-pwn>@import'//x.example'</style>",
    "\u202e<u data-pwn>",
    "%3Cscript data-pwn%3Ewindow.__pwn=1%3C/script%3E",
    "&lt;i data-pwn&gt;",
)
WATCH = """
window.__refused = [];
addEventListener("securitypolicyviolation", (event) => {
  window.__refused.push(event.violatedDirective);
});
"""
OPEN_ALL = "() => document.querySelectorAll('details').forEach((one) => { one.open = true; })"
MANAGER = Actor("p-manager", "pin", verified=True)
FOUND = """() => ({
  ran: window.__pwn !== undefined,
  built: document.querySelectorAll("[data-pwn]").length,
  refused: window.__refused,
})"""
HARMLESS = {"ran": False, "built": 0, "refused": []}


def fill(book: Book) -> list[str]:
    """Type a payload into every field of free text, and give those that pages show."""
    texts = cycle(PAYLOADS)
    shown = []

    def text(longest: int = 120) -> str:
        found = next(one for one in texts if len(one) <= longest)
        shown.append(found)
        return found

    def put(what: str, **item: Any) -> None:
        add(book, SHELL, what, item)

    for number in range(3):
        pool = ("main", "teaching", "terrace")[number]
        put("pool", pool=pool, name=text(), facts=FACTS, points=[text(60), "deep"])
        put("contact", contact=f"c{number}", name=text(), phone=text(40), kind="emergency")
    for number in range(5):
        put("kit", kit=f"k{number}", name=text(), kind="photometer")
    put("circuit", circuit="hall", name=text())
    person = {"person": "p-tester", "name": text(), "initials": "<b>TT", "roles": ["tester"]}
    put("person", **person)
    put("person", person="p-odd", name=text(), initials="'><u>", roles=["duty-manager"])
    for pool in ("main", "teaching"):
        for readings in (GOOD, LOW):
            made = record_round(
                book, TESTER, {"pool": pool, "readings": readings, "note": text(600)}
            )
        correction = {"round": made["round"], "parameter": "ph", "value": "7.40"}
        correct_reading(book, TESTER, correction | {"reason": text(600)})
        stop = everyone_out(book, TESTER, {"pool": pool, "stop": "other", "words": text(200)})
        entry = {"pool": pool, "about": stop["entry"], "whom": "p-odd", "how": text(60)}
        told(book, TESTER, entry)
    close_pool(book, MANAGER, {"pool": "terrace", "kind": "closed", "reason": text(600)})
    return shown


@pytest.fixture(scope="module")
def hostile(harbour_made: Made, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The harbour baths with a payload in every field."""
    for site in served(harbour_made, tmp_path_factory.mktemp("hostile")):
        fill(site.book)
        yield site


@pytest.fixture(scope="module")
def desk(chromium: Browser, hostile: Served) -> Iterator[Tablet]:
    """One browser, its policy in force, that counts what the policy refuses."""
    context = chromium.new_context(base_url=hostile.address)
    context.add_init_script(WATCH)
    tablet = Tablet(context.new_page(), hostile.first_key)
    tablet.enrol()
    tablet.sign_in("AA")
    yield tablet
    context.close()


def loaded(desk: Tablet, path: str) -> Page:
    """Load a page anew and open everything that folds."""
    desk.load(path)
    desk.page.wait_for_load_state("networkidle")
    desk.page.evaluate(OPEN_ALL)
    return desk.page


@pytest.fixture(scope="module")
def looks(desk: Tablet) -> dict[str, tuple[dict[str, Any], str]]:
    """Load every page once: what ran in it, and what it says."""
    found = {}
    for path in PAGES:
        page = loaded(desk, path)
        found[path] = (page.evaluate(FOUND), page.locator("body").inner_text())
    return found


@pytest.mark.parametrize("path", PAGES)
def test_no_text_that_was_typed_runs_or_is_built_into_a_page(
    desk: Tablet, looks: dict[str, tuple[dict[str, Any], str]], path: str
) -> None:
    assert looks[path][0] == HARMLESS
    assert desk.errors == []


def test_the_pages_do_show_what_was_typed(looks: dict[str, tuple[dict[str, Any], str]]) -> None:
    seen = "".join(text for _, text in looks.values())
    missing = [one for one in PAYLOADS if one not in seen]
    assert len(missing) <= 2, missing


def test_an_inspectors_page_runs_none_either(chromium: Browser, hostile: Served) -> None:
    now = hostile.book.clock()
    period = {"from": instant_text(now - DAY_MS), "to": instant_text(now + DAY_MS), "hours": 24}
    token = make_link(hostile.book, SHELL, period)["token"]
    context = chromium.new_context(base_url=hostile.address)
    context.add_init_script(WATCH)
    page = context.new_page()
    page.goto(f"/#/inspection/{token}")
    expect(page.locator("h1")).to_contain_text("Record of")
    page.evaluate(OPEN_ALL)
    seen = page.locator("body").inner_text()
    assert page.evaluate(FOUND) == HARMLESS
    assert sum(one in seen for one in PAYLOADS) >= 8
    context.close()


def test_a_page_that_built_one_in_would_be_seen(desk: Tablet) -> None:
    page = loaded(desk, "/")
    page.evaluate("(text) => { document.body.innerHTML = text }", PAYLOADS[0])
    page.wait_for_function("() => window.__refused.length > 0")
    found = page.evaluate(FOUND)
    assert found["built"] == 1
    assert not found["ran"]
    desk.errors.clear()
