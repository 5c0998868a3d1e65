"""Three programs from one description: the project's, verify.py and verify.html agree on all."""

from __future__ import annotations

from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page
from tests.baths import Baths, baths, template
from tests.records.attacks import TABLE, Found, attacked
from tests.records.log_cases import make_log
from tests.records.twins import (
    IN_PAGE,
    PAGE,
    by_project,
    for_page,
    plain,
    random_case,
    standing_alone,
)

from lanewater.service.bundle_read import read_bundle
from lanewater.service.export import export_bundle
from lanewater.service.stamping import stamp

__all__ = ["baths", "template"]

CASES = 200
ALONE = standing_alone()


@cache
def cases() -> list[Found]:
    return [random_case(seed) for seed in range(CASES)]


def by_page(page: Page, found: list[Found]) -> list[dict[str, Any]]:
    page.goto(PAGE.as_uri())
    return [plain(answer) for answer in page.evaluate(IN_PAGE, [for_page(case) for case in found])]


def test_both_files_agree_with_the_project_on_random_records(browser_page: Page) -> None:
    expected = [by_project(case) for case in cases()]
    assert [plain(ALONE.verify(case.files, case.outside)) for case in cases()] == expected
    assert by_page(browser_page, cases()) == expected


def test_the_random_records_meet_every_outcome_and_every_way_of_seeing() -> None:
    answers = [by_project(case) for case in cases()]
    outcomes = Counter(answer["outcome"] for answer in answers)
    assert set(outcomes) >= {
        "complete",
        "another-record",
        "changed",
        "missing",
        "rolled-back",
        "device-gap",
        "file-changed",
        "not-checked",
    }
    assert outcomes["complete"] >= CASES // 20
    ways = {finding["by"] for answer in answers for finding in answer["findings"]}
    assert ways >= {
        "file",
        "form",
        "place",
        "device",
        "signature",
        "chain",
        "seen",
        "log-key",
        "stamp-beside",
        "stamp-outside",
    }


def test_all_three_find_what_the_program_really_exports_complete(
    baths: Baths, browser_page: Page, tmp_path: Path
) -> None:
    baths.round()
    older = stamp(baths.book)
    baths.wait(60)
    baths.round(free_chlorine="0.40")
    export_bundle(baths.book, baths.who("area"), tmp_path / "out", with_names=True)
    files = read_bundle(tmp_path / "out")
    found = Found(files, (older,))
    expected = by_project(found)
    assert expected["outcome"] == "complete", expected
    assert plain(ALONE.verify(ALONE.read_folder(tmp_path / "out"), [older])) == expected
    assert by_page(browser_page, [found]) == [expected]


@pytest.mark.parametrize("name", TABLE)
def test_the_file_that_stands_alone_sees_each_attack_alike(name: str) -> None:
    found = attacked(name, make_log(40))
    assert plain(ALONE.verify(found.files, found.outside)) == by_project(found)


def test_a_twin_that_forgets_a_check_is_caught() -> None:
    """The planted fault: a verifier that does not look at what a device had seen."""
    careless = standing_alone()
    careless.Check.saw = lambda *_: True
    assert any(
        plain(careless.verify(case.files, case.outside)) != by_project(case) for case in cases()
    )
