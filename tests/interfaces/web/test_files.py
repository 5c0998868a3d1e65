"""The pages' files: each with its kind and mark, and nothing beside them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.interfaces.api.browser import Browser

from lanewater.interfaces.web.files import FOLDER, KINDS, Pages

INSIDE = "not for browsers"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Make a folder of files, with others around it that must stay inside."""
    static = tmp_path / "static"
    (static / "generated").mkdir(parents=True)
    (static / "index.html").write_text("<!doctype html><title>Lanewater</title>")
    (static / "app.js").write_text("export const a = 1;")
    (static / "generated" / "kernel.js").write_text("export const k = 1;")
    (static / "look.css").write_text("body{}")
    (static / ".hidden.js").write_text(INSIDE)
    (static / "notes.py").write_text(INSIDE)
    (static / "plain").write_text(INSIDE)
    (tmp_path / "beside.js").write_text(INSIDE)
    (static / "link.js").symlink_to(tmp_path / "beside.js")
    return static


@pytest.fixture
def asking(folder: Path) -> Iterator[Browser]:
    """Open a browser on the folder."""
    found = Browser(Pages(folder))
    yield found
    found.close()


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/static/app.js", "text/javascript; charset=utf-8"),
        ("/static/generated/kernel.js", "text/javascript; charset=utf-8"),
        ("/static/look.css", "text/css; charset=utf-8"),
        ("/", "text/html; charset=utf-8"),
    ],
)
def test_a_file_comes_with_its_kind(asking: Browser, path: str, kind: str) -> None:
    answer = asking.ask("GET", path)
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == kind
    assert answer.headers["Cache-Control"] == "no-cache"


@pytest.mark.parametrize(
    "path", ["/", "/look", "/test", "/test/main", "/record", "/site", "/sign-in", "/out", "/now"]
)
def test_every_pages_address_gives_the_one_page(asking: Browser, path: str) -> None:
    assert asking.ask("GET", path).text.startswith("<!doctype html>")


@pytest.mark.parametrize(
    "path",
    [
        "/static/",
        "/static/none.js",
        "/static/.hidden.js",
        "/static/notes.py",
        "/static/plain",
        "/static/link.js",
        "/static/generated",
        "/static/../beside.js",
        "/static/%2e%2e/beside.js",
        "/static/..%2fbeside.js",
        "/static//app.js",
        "/static/app.js/",
        "/static/app.js%00.css",
        "/static/%5c..%5cbeside.js",
        "/static//etc/passwd",
        "/index.html",
        "/test/main/deeper",
        "/nowhere",
        "/beside.js",
    ],
)
def test_nothing_else_is_served(asking: Browser, path: str) -> None:
    answer = asking.ask("GET", path)
    assert answer.status_code == 404
    assert INSIDE not in answer.text


def test_a_file_that_has_not_changed_is_not_sent_again(asking: Browser, folder: Path) -> None:
    mark = asking.ask("GET", "/static/app.js").headers["ETag"]
    again = asking.ask("GET", "/static/app.js", headers={"If-None-Match": mark})
    assert (again.status_code, again.content) == (304, b"")
    (folder / "app.js").write_text("export const a = 22;")
    changed = asking.ask("GET", "/static/app.js", headers={"If-None-Match": mark})
    assert changed.status_code == 200
    assert "22" in changed.text
    assert changed.headers["ETag"] != mark


def test_a_file_is_only_read(asking: Browser) -> None:
    for method in ("POST", "PUT", "DELETE", "PATCH"):
        answer = asking.ask(method, "/static/app.js", {})
        assert answer.status_code == 405
        assert answer.headers["Allow"] == "GET, HEAD"
    head = asking.ask("HEAD", "/static/app.js")
    assert head.status_code == 200
    assert head.content == b""
    assert head.headers["Content-Length"] == "19"


def test_what_is_shipped_is_of_a_kind_that_is_served() -> None:
    shipped = [path for path in FOLDER.rglob("*") if path.is_file()]
    assert {path.suffix for path in shipped} <= set(KINDS)
