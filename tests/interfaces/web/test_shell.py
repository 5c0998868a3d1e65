"""The list of a version names every file with its hash, and another file is another version."""

from __future__ import annotations

import hashlib
import json
import shutil
import struct
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.docs.icons import ICONS, rows_of
from tests.interfaces.api.browser import Browser

from lanewater.interfaces.web.files import FOLDER, PAGES, Pages


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of what is shipped."""
    return shutil.copytree(FOLDER, tmp_path / "static")


@pytest.fixture
def asking(folder: Path) -> Iterator[Browser]:
    """A browser before it."""
    found = Browser(Pages(folder, "the policy"))
    yield found
    found.close()


def listed(asking: Browser) -> dict[str, Any]:
    """Give the list."""
    found: dict[str, Any] = asking.ask("GET", "/static/shell.json").json()
    return found


def test_every_file_is_listed_with_the_hash_of_what_is_served(
    asking: Browser, folder: Path
) -> None:
    files = {one["path"]: one["sha256"] for one in listed(asking)["files"]}
    there = {
        f"/static/{path.relative_to(folder).as_posix()}"
        for path in folder.rglob("*")
        if path.is_file() and path.name != "sw.js"
    }
    assert set(files) == there
    for path, digest in files.items():
        answer = asking.ask("GET", path)
        assert hashlib.sha256(answer.content).hexdigest() == digest


def test_who_knows_the_version_can_check_the_list(asking: Browser) -> None:
    found = listed(asking)
    lines = [found["under"], " ".join(found["pages"])]
    lines += [f"{one['sha256']} {one['path']}" for one in found["files"]]
    text = "".join(f"{line}\n" for line in lines)
    assert hashlib.sha256(text.encode()).hexdigest() == found["version"]
    assert set(found["pages"]) == PAGES
    worker = asking.ask("GET", "/sw.js")
    assert worker.text.startswith(f'const VERSION = "{found["version"]}";\n')
    assert worker.headers["Cache-Control"] == "no-cache"
    assert asking.ask("GET", "/static/sw.js").status_code == 404


def test_a_changed_a_new_and_a_gone_file_are_each_another_version(
    asking: Browser, folder: Path
) -> None:
    versions = [listed(asking)["version"]]
    (folder / "app.js").write_text("// newer\n")
    versions.append(listed(asking)["version"])
    (folder / "newer.js").write_text("// new\n")
    versions.append(listed(asking)["version"])
    (folder / "mark.svg").unlink()
    versions.append(listed(asking)["version"])
    assert len(set(versions)) == 4


def test_another_policy_is_another_version(folder: Path) -> None:
    assert Pages(folder, "one").shell().version != Pages(folder, "another").shell().version
    assert Pages(folder, "one").shell() == Pages(folder, "one").shell()


def test_what_is_worth_it_is_sent_packed_to_who_takes_it(asking: Browser, folder: Path) -> None:
    plain = asking.ask("GET", "/static/app.js", headers={"Accept-Encoding": "identity"})
    packed = asking.ask("GET", "/static/app.js", headers={"Accept-Encoding": "gzip, br"})
    assert "Content-Encoding" not in plain.headers
    assert packed.headers["Content-Encoding"] == "gzip"
    assert plain.content == packed.content == (folder / "app.js").read_bytes()
    assert int(packed.headers["Content-Length"]) < int(plain.headers["Content-Length"])
    assert plain.headers["ETag"] != packed.headers["ETag"]
    assert plain.headers["Vary"] == packed.headers["Vary"] == "Accept-Encoding"
    refused = asking.ask("GET", "/static/app.js", headers={"Accept-Encoding": "gzip;q=0"})
    assert "Content-Encoding" not in refused.headers


def test_the_manifest_names_icons_that_are_there_in_their_sizes(folder: Path) -> None:
    manifest = json.loads((folder / "manifest.webmanifest").read_text(encoding="utf-8"))
    assert (manifest["start_url"], manifest["scope"]) == ("/", "/")
    for icon in manifest["icons"]:
        content = (folder / icon["src"].removeprefix("/static/")).read_bytes()
        if icon["type"] == "image/png":
            width, height = struct.unpack(">II", content[16:24])
            assert icon["sizes"] == f"{width}x{height}"


def test_an_icon_is_what_its_script_draws() -> None:
    name = "apple-180.png"
    size, share = ICONS[name]
    content = (FOLDER / "icon" / name).read_bytes()
    start = content.index(b"IDAT") + 4
    length = struct.unpack(">I", content[start - 8 : start - 4])[0]
    pixels = zlib.decompress(content[start : start + length])
    assert pixels == b"".join(b"\0" + row for row in rows_of(size, share))
