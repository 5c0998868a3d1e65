"""The page by which a tablet learns to trust a site: one certificate, and nothing else."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from tests.interfaces.api.browser import Browser

from lanewater.interfaces.web.onboarding import Onboarding

FINGERPRINT = ":".join(["AB"] * 32)


@pytest.fixture
def asking() -> Iterator[Browser]:
    """A browser before the page."""
    page = Onboarding(
        b"the authority",
        FINGERPRINT,
        ("baths.lan", "<b>192.168.1.20"),
        "http://192.168.1.20:8322/",
        "https://192.168.1.20:8321/",
    )
    found = Browser(page)
    yield found
    found.close()


def test_it_gives_the_certificate_its_fingerprint_and_the_way_on(asking: Browser) -> None:
    page = asking.ask("GET", "/").text
    for part in (FINGERPRINT[:47], FINGERPRINT[48:], "https://192.168.1.20:8321/", "baths.lan"):
        assert part in page
    assert "<b>192" not in page
    assert "<script" not in page
    assert "$" not in page
    taken = asking.ask("GET", "/lanewater.crt")
    assert taken.content == b"the authority"
    assert taken.headers["Content-Type"] == "application/x-x509-ca-cert"
    assert asking.ask("GET", "/code.svg").text.startswith("<svg")


@pytest.mark.parametrize(
    "path",
    ["/api/v1/me", "/healthz", "/static/app.js", "/now", "/authority.key", "/server.pem", "/sw.js",
     "/page.html", "/__init__.py", "/../page.html"],
)  # fmt: skip
def test_nothing_else_is_there(asking: Browser, path: str) -> None:
    assert asking.ask("GET", path).status_code == 404


def test_it_only_answers_and_every_answer_is_held_to_its_policy(asking: Browser) -> None:
    for path in ("/", "/page.css", "/code.svg", "/lanewater.crt", "/none"):
        answer = asking.ask("GET", path)
        assert answer.headers["Content-Security-Policy"].startswith("default-src 'none'")
        assert answer.headers["Cache-Control"] == "no-store"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert asking.ask("POST", "/", {}).status_code == 405
