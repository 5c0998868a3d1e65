"""Write docs/reference/cli.md from the commands themselves.

python -m tests.docs.cli_reference
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from importlib import import_module

from tests.contracts.house import ROOT

from lanewater.interfaces.cli.main import EVERYWHERE, GROUPS, Parser

PAGE = ROOT / "docs" / "reference" / "cli.md"

HEAD = """\
# Commands

Written from the commands themselves by `python -m tests.docs.cli_reference`; a test compares it.

In a checkout: `./run lanewater COMMAND ...`, or `.venv/bin/lanewater COMMAND ...`. Only answers go
to standard output; everything else goes to standard error. Where JSON Lines go in, JSON Lines come
out, one to one and in order. What is in a question and its answer:
[questions and answers](questions.md). What a command ends with: [exit codes](exit-codes.md). What
it says when something is wrong: [errors](errors.md). Where it looks for a site's data:
[settings](settings.md).

{everywhere}
"""


def parser_of(group: str) -> argparse.ArgumentParser:
    """Give a command group's parser, as the program itself puts it together."""
    parser = Parser(prog=f"lanewater {group}", description=GROUPS[group])
    import_module(f"lanewater.interfaces.cli.{group}").add_arguments(parser)
    return parser


def sub_parsers(parser: argparse.ArgumentParser) -> argparse._SubParsersAction | None:
    """Give a parser's own commands, where it has any."""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            return action
    return None


def cell(text: str) -> str:
    """Keep a text inside its cell of a table."""
    return " ".join(text.split()).replace("|", "\\|")


def named(action: argparse.Action) -> str:
    """Give an argument as it is typed."""
    value = ""
    if action.choices is not None:
        value = " or ".join(str(choice) for choice in action.choices)
    elif action.nargs != 0:
        value = str(action.metavar or action.dest.removeprefix("item_").upper())
    if not action.option_strings:
        return f"`{value}`"
    return f"`{', '.join(action.option_strings)}{' ' if value else ''}{value}`"


def section(parser: argparse.ArgumentParser, level: int, about: str) -> Iterator[str]:
    """Give one command's part of the page, and those of its own commands."""
    yield f"{'#' * level} {parser.prog}\n"
    yield f"{parser.description or about}\n"
    rows = [
        f"| {named(action)} | {cell(action.help or '')}{' (required)' if action.required else ''} |"
        for action in parser._actions
        if not isinstance(action, argparse._HelpAction | argparse._SubParsersAction)
        if action.help != argparse.SUPPRESS
    ]
    if rows:
        yield "\n".join(["| argument | meaning |", "|---|---|", *rows]) + "\n"
    own = sub_parsers(parser)
    if own is not None:
        abouts = {choice.dest: choice.help or "" for choice in own._choices_actions}
        for name, child in own.choices.items():
            yield from section(child, level + 1, abouts.get(name, ""))


def page() -> str:
    """Give the whole page."""
    parts = [HEAD.format(everywhere=EVERYWHERE)]
    for group, about in GROUPS.items():
        parts += section(parser_of(group), 2, about)
    return "\n".join(parts)


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
