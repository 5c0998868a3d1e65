"""Two lists of packages, each entry held by its hashes, and no address in them."""

from __future__ import annotations

import re
import tomllib

import pytest
from tests.contracts.house import ROOT

LOCKS = ROOT / "locks"
PIN = re.compile(r"^([a-z0-9][a-z0-9.-]*)(?:\[[a-z,-]+\])?==([^\s;]+)( ; [^\\]+)?( \\)?$")
HASH = re.compile(r"^    --hash=sha256:[0-9a-f]{64}( \\)?$")


def faults(text: str) -> list[str]:
    """Name what keeps a list from being a locked one."""
    found = []
    lines = text.splitlines()
    for number, line in enumerate(lines, 1):
        if not (PIN.match(line) or HASH.match(line)):
            found.append(f"line {number}: neither a pinned package nor a hash: {line[:80]}")
        following = lines[number] if number < len(lines) else ""
        if PIN.match(line) and not HASH.match(following):
            found.append(f"line {number}: no hash follows: {line[:80]}")
    return found


def pins(text: str) -> set[tuple[str, str, str]]:
    """Give name, version and condition of each entry."""
    found = (PIN.match(line) for line in text.splitlines())
    return {(match[1], match[2], (match[3] or "").strip()) for match in found if match}


def names(requirements: list[str]) -> set[str]:
    """Give the bare names of requirements as pyproject.toml writes them."""
    return {re.split(r"[\[<>=~! ;]", requirement)[0].lower() for requirement in requirements}


def text_of(name: str) -> str:
    return (LOCKS / f"{name}.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["runtime", "development"])
def test_every_entry_is_pinned_and_held_by_hashes_and_no_address_is_named(name: str) -> None:
    assert faults(text_of(name)) == []


def test_development_holds_all_of_runtime_at_the_same_versions() -> None:
    runtime = {(name, version) for name, version, _ in pins(text_of("runtime"))}
    development = {(name, version) for name, version, _ in pins(text_of("development"))}
    assert runtime
    assert runtime - development == set()


def test_every_requirement_is_in_its_list() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    locked = {name: {pin[0] for pin in pins(text_of(name))} for name in ("runtime", "development")}
    assert names(project["dependencies"]) - locked["runtime"] == set()
    assert names(project["optional-dependencies"]["dev"]) - locked["development"] == set()


def test_the_installer_itself_is_locked() -> None:
    assert "uv" in {pin[0] for pin in pins(text_of("runtime"))}


GOOD = f"alembic==1.20.1 \\\n    --hash=sha256:{'0' * 64}\n"


@pytest.mark.parametrize(
    "text",
    [
        "alembic==1.20.1\n",
        "alembic>=1.20\n",
        GOOD.replace("0" * 64, "0" * 63),
        "--index-url https://example.test/simple\n" + GOOD,
        "alembic @ https://example.test/alembic.whl \\\n    --hash=sha256:" + "0" * 64,
    ],
)
def test_a_loose_entry_or_an_address_is_refused(text: str) -> None:
    assert faults(GOOD) == []
    assert faults(text) != []


def test_a_requirement_nobody_locked_is_seen() -> None:
    assert names(["uvicorn[standard]>=0.54,<0.60", "new-thing>=1"]) == {"uvicorn", "new-thing"}
    assert {pin[0] for pin in pins(GOOD)} == {"alembic"}
