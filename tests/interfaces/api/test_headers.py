"""What every answer carries, and where a request may come from."""

from __future__ import annotations

from typing import Any

import httpx
import pytest
from tests.interfaces.api.baths import ROUND, Baths
from tests.interfaces.api.browser import Browser

from lanewater.interfaces.api.table import TABLE
from lanewater.interfaces.serving import site_app

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "connect-src 'self'; font-src 'self'; manifest-src 'self'; worker-src 'self'; "
    "frame-ancestors 'none'; base-uri 'none'; form-action 'self'"
)
ELSEWHERE = [
    ("GET", "/", "page"),
    ("GET", "/static/none.js", "a file that is not there"),
    ("GET", "/sw.js", "the worker"),
    ("GET", "/static/shell.json", "the list of a version"),
    ("POST", "/static/app.js", "another method on a file"),
    ("GET", "/no/such/page", "no page"),
    ("GET", "/api/v1/none", "no route"),
    ("DELETE", "/api/v1/me", "another method"),
    ("TRACE", "/api/v1/me", "trace"),
    ("OPTIONS", "/api/v1/rounds", "preflight"),
    ("GET", "/docs", "no docs page"),
    ("GET", "/redoc", "no docs page"),
    ("GET", "/.git/config", "no dot files"),
]
EVERYWHERE = [(row.method, row.path, "route") for row in TABLE] + ELSEWHERE


def hold(answer: httpx.Response) -> None:
    """Hold an answer to the headers that all carry."""
    assert answer.headers["Content-Security-Policy"] == POLICY
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Referrer-Policy"] == "no-referrer"
    assert answer.headers["Cross-Origin-Resource-Policy"] == "same-origin"
    assert answer.headers["Cross-Origin-Opener-Policy"] == "same-origin"
    assert answer.headers["Cache-Control"] in ("no-store", "no-cache")
    assert not [name for name in answer.headers if name.startswith("access-control")]
    assert "server" not in answer.headers
    if answer.content:
        kind = answer.headers["Content-Type"]
        plain = ("application/json", "application/pdf")
        assert kind in plain or "charset=utf-8" in kind


@pytest.mark.parametrize(("method", "path", "what"), EVERYWHERE)
@pytest.mark.parametrize("role", ["nobody", "area-manager"])
def test_every_answer_carries_the_headers(
    shared_baths: Baths, method: str, path: str, what: str, role: str
) -> None:
    path = path.replace("{pool}", "main").replace("{pack}", "ca-qc").replace("{round_id}", "none")
    more: dict[str, Any] = {"body": {"unknown": 1}} if method == "POST" else {}
    answer = shared_baths.ask(method, path, role=role, **more)
    assert answer.status_code < 500
    hold(answer)


def test_an_address_that_leads_nowhere_says_so(baths: Baths) -> None:
    assert baths.ask("GET", "/api/v1/none").json()["error"]["id"] == "missing"
    assert baths.ask("GET", "/docs").status_code == 404
    assert baths.ask("GET", "/.git/config").status_code == 404


def test_another_method_is_told_which_it_may_be(baths: Baths) -> None:
    answer = baths.ask("DELETE", "/api/v1/now", role="tester")
    assert answer.status_code == 405
    assert answer.headers["Allow"] == "GET"


def test_nothing_changes_by_reading(baths: Baths) -> None:
    before = baths.entries()
    read_too = {row.path for row in TABLE if row.method == "GET"}
    for row in TABLE:
        if row.method == "POST":
            path = row.path.replace("{pool}", "main").replace("{round_id}", "none")
            answer = baths.ask("GET", path, role="area-manager")
            assert answer.status_code in (404, 405) or row.path in read_too
    assert baths.entries() == before


FROM_ELSEWHERE = {
    "cross-site": {"Sec-Fetch-Site": "cross-site"},
    "same-site": {"Sec-Fetch-Site": "same-site"},
    "typed in, without origin": {"Sec-Fetch-Site": "none"},
    "typed in, from another": {"Sec-Fetch-Site": "none", "Origin": "http://evil.example"},
    "an old browser without origin": {"Sec-Fetch-Site": ""},
    "an old browser from another": {"Sec-Fetch-Site": "", "Origin": "http://evil.example"},
    "no origin at all": {"Sec-Fetch-Site": "", "Origin": "null"},
    "another port": {"Sec-Fetch-Site": "", "Origin": "http://127.0.0.1:9999"},
    "another scheme": {"Sec-Fetch-Site": "", "Origin": "https://127.0.0.1:8321"},
    "not an origin": {"Sec-Fetch-Site": "", "Origin": "http://[half"},
}


@pytest.mark.parametrize("headers", FROM_ELSEWHERE.values(), ids=FROM_ELSEWHERE)
def test_another_sites_page_changes_nothing(baths: Baths, headers: dict[str, str]) -> None:
    before = baths.entries()
    for row in TABLE:
        if row.method == "POST":
            path = row.path.replace("{pool}", "main").replace("{round_id}", "none")
            answer = baths.ask("POST", path, {}, role="area-manager", headers=headers)
            assert answer.status_code == 403
            assert answer.json()["error"]["id"] == "cross-site"
    assert baths.entries() == before


@pytest.mark.parametrize(
    "headers",
    [
        {"Sec-Fetch-Site": "same-origin"},
        {"Sec-Fetch-Site": "none", "Origin": "http://127.0.0.1:8321"},
        {"Sec-Fetch-Site": "", "Origin": "http://127.0.0.1:8321"},
    ],
)
def test_our_own_page_may(baths: Baths, headers: dict[str, str]) -> None:
    assert baths.post("/rounds", ROUND, headers=headers).status_code == 200


@pytest.mark.parametrize("name", ["localhost:8321", "127.0.0.1", "[::1]:8321", "LOCALHOST"])
def test_this_machines_own_names_are_answered(baths: Baths, name: str) -> None:
    assert baths.ask("GET", "/healthz", headers={"Host": name}).status_code == 200


@pytest.mark.parametrize(
    "name", ["evil.example", "localhost.evil.example:8321", "10.0.0.7", "[::2]"]
)
def test_a_name_that_is_not_ours_is_not_answered(baths: Baths, name: str) -> None:
    answer = baths.ask("GET", "/api/v1/me", headers={"Host": name})
    assert answer.status_code == 421
    assert "Lindmere" not in answer.text
    hold(answer)


def test_behind_tls_browsers_are_told_to_stay_on_it(baths: Baths) -> None:
    browser = Browser(site_app(baths.book, over_tls=True))
    plain = {"Sec-Fetch-Site": "", "Origin": "http://baths.example"}
    own = {"Sec-Fetch-Site": "", "Origin": "https://baths.example"}
    host = {"Host": "baths.example"}
    answer = browser.ask("GET", "/healthz", headers=host)
    cookies = baths.tokens["tester"]
    refused = browser.ask("POST", "/api/v1/sign-out", {}, cookies=cookies, headers=host | plain)
    taken = browser.ask("POST", "/api/v1/sign-out", {}, cookies=cookies, headers=host | own)
    browser.close()
    assert answer.headers["Strict-Transport-Security"] == "max-age=63072000"
    assert (refused.status_code, taken.status_code) == (403, 200)


def test_on_this_machine_alone_there_is_no_such_order(baths: Baths) -> None:
    assert "Strict-Transport-Security" not in baths.ask("GET", "/healthz").headers
