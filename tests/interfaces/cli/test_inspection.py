"""`lanewater inspection`."""

from __future__ import annotations

import pytest
from tests.baths import Baths
from tests.interfaces.cli.shell_case import Shell

from lanewater.service.clock import system_clock
from lanewater.service.inspection import LinkError, link_of


def test_a_link_is_made_listed_and_ended(shell: Shell, baths: Baths) -> None:
    where = ("--data", str(baths.folder))
    days = ("--from", "2026-06-01", "--to", "2026-06-30", "--hours", "24")
    made = shell("inspection", "new", *days, "--json", *where).answer
    assert made["since"] == "2026-06-01T04:00:00.000Z"
    assert made["until"] == "2026-07-01T04:00:00.000Z"
    baths.now_ms = system_clock()
    assert link_of(baths.book, made["token"]).since == made["since"]
    said = shell("inspection", "list", *where).out
    assert made["link"] in said
    assert "opens until" in said
    assert made["token"] not in said
    assert shell("inspection", "end", made["link"], *where).code == 0
    assert "opens nothing any more" in shell("inspection", "list", *where).out
    with pytest.raises(LinkError):
        link_of(baths.book, made["token"])


def test_the_link_is_said_in_words_and_its_token_comes_behind_the_hash(shell: Shell) -> None:
    said = shell("inspection", "new").out
    assert "  /#/inspection/" in said
    assert "Shown this once" in said


@pytest.mark.parametrize(
    "words",
    [
        ("new", "--hours", "0"),
        ("new", "--hours", "-1"),
        ("new", "--hours", "99999"),
        ("new", "--from", "2026-02-30"),
        ("new", "--from", "2026-06-01", "--to", "2026-05-01"),
        ("end",),
    ],
)
def test_what_does_not_fit_is_wrong_use(shell: Shell, words: tuple[str, ...]) -> None:
    said = shell("inspection", *words)
    assert (said.code, said.out) == (2, "")


def test_ending_what_is_not_there_is_missing(shell: Shell) -> None:
    assert shell("inspection", "end", "0" * 12).code == 3
