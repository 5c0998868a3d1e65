"""`lanewater record`."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.baths import Baths
from tests.interfaces.cli.shell_case import Shell

from lanewater.service.config import Config
from lanewater.service.set_up import new_site


@pytest.fixture
def days(baths: Baths) -> None:
    """Record a round a day before and after midnight at the site, and one the day after."""
    baths.now_ms -= 7 * 60 * 60_000  # 22:51 the evening before, 02:51 UTC of the day
    baths.round("main", ph="7.41")
    baths.wait(60 * 24 - 60)
    baths.round("plunge", ph="7.42")
    baths.wait(60 * 24)
    baths.round("main", ph="7.43")


def shown(shell: Shell, baths: Baths, *words: str) -> list[str]:
    """Give the pH of the rounds that are shown."""
    said = shell("record", "show", "--json", "--data", str(baths.folder), *words)
    assert said.code == 0, said.err
    rounds = [row for row in said.answer if row["type"] == "round-recorded"]
    return [row["value"] for one in rounds for row in one["readings"] if row["parameter"] == "ph"]


@pytest.mark.usefixtures("days")
def test_days_are_the_sites_own(shell: Shell, baths: Baths) -> None:
    assert shown(shell, baths) == ["7.41", "7.42", "7.43"]
    assert shown(shell, baths, "--to", "2026-06-30") == ["7.41"]
    assert shown(shell, baths, "--from", "2026-07-01", "--to", "2026-07-01") == ["7.42"]
    assert shown(shell, baths, "--from", "2026-07-02T00:00:00-04:00") == ["7.43"]
    assert shown(shell, baths, "--pool", "plunge") == ["7.42"]
    assert shown(shell, baths, "--limit", "2") == ["7.43"]


@pytest.mark.usefixtures("days")
def test_people_read_it_in_lines(shell: Shell, baths: Baths) -> None:
    out = shell("record", "show", "--data", str(baths.folder)).out
    assert out.count("round-recorded") == 3
    assert "ph 7.42" in out
    assert "verdict" not in out.lower()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--pool", "zz"), "--pool: "),
        (("--from", "noon"), "--from: "),
        (("--to", "2026-02-31"), "--to: "),
        (("--limit", "-1"), "--limit: "),
        (("--limit", "1e3"), "--limit: "),
        (("--data", "/nowhere"), "no site"),
        (("--data", ""), "--data: "),
    ],
)
def test_what_does_not_fit_is_named(shell: Shell, words: tuple[str, ...], said: str) -> None:
    answer = shell("record", "show", *words)
    assert answer.code in (2, 3)
    assert answer.out == ""
    assert said in answer.err


def test_every_sheet_of_a_demo_says_that_it_is_one(tmp_path: Path, empty_shell: Shell) -> None:
    new_site(Config(tmp_path / "show"), {"name": "Show Baths", "timezone": "UTC", "demo": True})
    for words in (("record", "show"), ("site", "show")):
        said = empty_shell(*words, "--data", str(tmp_path / "show"))
        assert said.out.startswith("DEMO, not your pool\n")


def test_no_sheet_of_a_site_says_that_it_is_a_demo(shell: Shell) -> None:
    for words in (("record", "show"), ("site", "show")):
        assert "DEMO" not in shell(*words).out
