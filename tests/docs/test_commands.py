"""Every command is documented, and every command that a page prints exists."""

from __future__ import annotations

import argparse
import re
import shlex
from collections.abc import Iterator

import pytest
from tests.docs.cli_reference import PAGE, page, parser_of
from tests.docs.pages import PAGES, fenced

from lanewater.interfaces.cli.main import GROUPS, without_flags

PRINTED = re.compile(r"^(?:\S*\| *)?(?:\./run |\.venv/bin/)?lanewater (?P<rest>.*)$")


def commands(text: str) -> Iterator[list[str]]:
    """Give the words of each Lanewater command in a page's fenced blocks."""
    for block in fenced(text):
        for line in block.replace("\\\n", "").splitlines():
            for part in re.split(r" \| |^\$ ", line):
                if match := PRINTED.match(part.strip()):
                    yield shlex.split(re.split(r" [<>] ?", match["rest"])[0], comments=True)


def fault(words: list[str]) -> str | None:
    """Tell what is wrong with a printed command."""
    if not words or words[0] not in GROUPS:
        return f"no such command: {words}"
    if words[-1] in ("...", "--help"):
        return None
    try:
        parser_of(words[0]).parse_args(without_flags(words[1:], argparse.Namespace()))
    except SystemExit:
        return f"not taken as it is printed: {words}"
    return None


def test_the_reference_is_what_the_commands_say() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), "python -m tests.docs.cli_reference"


@pytest.mark.parametrize("group", GROUPS)
def test_every_command_is_documented(group: str) -> None:
    assert f"\n## lanewater {group}\n" in PAGE.read_text(encoding="utf-8")


@pytest.mark.parametrize("path", PAGES, ids=str)
def test_every_printed_command_exists(path: str) -> None:
    found = map(fault, commands(PAGES[path]))
    assert [each for each in found if each is not None] == []


@pytest.mark.parametrize(
    "line", ["./run lanewater dose", "./run lanewater judge --code ca-qc", "lanewater rules lost"]
)
def test_a_command_that_does_not_exist_is_refused(line: str) -> None:
    assert [fault(words) for words in commands(f"```\n{line}\n```\n")] != [None]


def test_a_printed_command_is_read_whole() -> None:
    text = (
        "```\necho x | ./run lanewater judge --rules ee \\\n  --table PATH > answers.jsonl\n```\n"
    )
    assert list(commands(text)) == [["judge", "--rules", "ee", "--table", "PATH"]]
