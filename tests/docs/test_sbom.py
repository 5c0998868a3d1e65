"""The list of components is the lock: names, versions, every hash, and no host."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from cyclonedx.schema import SchemaVersion
from cyclonedx.validation.json import JsonStrictValidator
from tests.contracts.house import ROOT
from tests.docs.sbom import LIST, LOCK, written

HASH = re.compile(r"--hash=sha256:([0-9a-f]{64})")


def locked(text: str) -> dict[tuple[str, str], set[str]]:
    """Give the hashes of each package and version in a lock."""
    found: dict[tuple[str, str], set[str]] = {}
    for line in text.splitlines():
        pin = re.match(r"([a-z0-9.-]+)(?:\[[a-z,-]+\])?==([^\s;]+)", line)
        if pin:
            found[pin[1], pin[2]] = held = set()
        held |= set(HASH.findall(line))
    return found


def listed(bill: dict[str, Any]) -> dict[tuple[str, str], set[str]]:
    """Give the same of a list of components."""
    return {
        (row["name"], row["version"]): {
            one["content"] for place in row["externalReferences"] for one in place["hashes"]
        }
        for row in bill["components"]
    }


@pytest.fixture(scope="module")
def text() -> str:
    return LIST.read_text(encoding="utf-8")


def test_it_holds_every_locked_package_with_its_version_and_hashes_and_no_other(text: str) -> None:
    lock = locked((ROOT / LOCK).read_text(encoding="utf-8"))
    assert len(lock) > 30
    assert all(lock.values())
    assert listed(json.loads(text)) == lock


def test_it_is_what_its_command_writes(text: str) -> None:
    assert text == written()


def test_it_is_cyclonedx(text: str) -> None:
    assert JsonStrictValidator(SchemaVersion.V1_6).validate_str(text) is None
    broken = text.replace('"bomFormat": "CycloneDX"', '"bomFormat": "Other"')
    assert JsonStrictValidator(SchemaVersion.V1_6).validate_str(broken) is not None


def test_it_names_no_host(text: str) -> None:
    assert "://" not in text
    assert not re.search(r"\b(www|registry|files)\.[a-z]", text)


def test_a_list_without_one_hash_is_not_the_lock(text: str) -> None:
    bill = json.loads(text)
    bill["components"][0]["externalReferences"][0]["hashes"].pop()
    assert listed(bill) != locked((ROOT / LOCK).read_text(encoding="utf-8"))
