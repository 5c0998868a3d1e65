"""The command line: one file a command group, imported only when it is asked for."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Any

from lanewater.interfaces.cli.streams import (
    INTERRUPTED,
    NO_READER,
    no_more_answers,
    ready_streams,
)
from lanewater.terms.errors import InputError, LanewaterError, MissingError

GROUPS = {
    "calc": "water, additions: chemistry from the shell",
    "judge": "hold readings against local rules",
    "rules": "list, show and check the rules packs",
    "site": "set up a site and show it",
    "due": "what is to be tested and done today",
    "duty": "say that a duty was done, or that something happened",
    "round": "add a round of readings to the record",
    "incident": "begin an incident, step through it, see what is met, end it",
    "record": "show the record",
    "sheet": "write the record of a day, a month or a period as PDF, CSV or XLSX",
    "access": "make a first key for a new device",
    "people": "forget a person's name",
    "keys": "list the keys of the record, and make a new one for its stamps",
    "stamp": "show, send and compare the record's stamp",
    "backup": "copy the record, proved line by line",
    "restore": "put a backup or a bundle in place, or decide to go on from it",
    "export": "write the whole record as files that anybody can verify",
    "inspection": "links by which an inspector reads without an account",
    "verify": "hold a record that was exported to its keys and stamps",
    "demo": "make the demo site and serve it",
    "serve": "serve a site's pages",
    "certificate": "make the certificate by which tablets reach this site",
    "store": "prepare a PostgreSQL server to hold the record",
}

USAGE = """\
usage: lanewater COMMAND ...

{commands}

Each command takes --help. Exit codes: 0 answered; 1 some lines could not be read; 2 wrong use;
3 something is missing on this machine; 4 a check did not hold.
{everywhere}"""

EVERYWHERE = (
    "In any place: --json for an answer that a program can read, --data FOLDER for another data"
    " folder than LANEWATER_DATA or the checkout's .lanewater, --store ADDRESS for a record on a"
    " PostgreSQL server (LANEWATER_STORE)."
)
HELP = ("-h", "--help")
PLACES = {"--data": "a folder", "--store": "an address"}


class Parser(argparse.ArgumentParser):
    """A parser whose every help says what goes in any place, and that guesses no flag."""

    def __init__(self, **settings: Any) -> None:
        super().__init__(**{"allow_abbrev": False, "epilog": EVERYWHERE, **settings})


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and give its exit code.

    Parameters
    ----------
    arguments : sequence of str, optional
        What follows the program's name; the process's own arguments when left out.

    Returns
    -------
    int
        0 to 4, as the usage text says; 130 where it was interrupted.
    """
    try:
        ready_streams()
        code = command(list(sys.argv[1:] if arguments is None else arguments))
        sys.stdout.flush()
        return code
    except LanewaterError as error:
        sys.stderr.write(f"{error}\n")
        return error.exit_code
    except BrokenPipeError:
        no_more_answers()
        return NO_READER
    except OSError as error:
        no_more_answers()
        where = f"{error.filename}: " if error.filename else ""
        sys.stderr.write(f"stopped: {where}{error.strerror or error}\n")
        return MissingError.exit_code
    except KeyboardInterrupt:
        no_more_answers()
        sys.stderr.write("stopped\n")
        return INTERRUPTED


def command(given: list[str]) -> int:
    """Find the command, read its arguments and run it."""
    anywhere = argparse.Namespace(json=False, data=None, store=None)
    words = without_flags(given, anywhere)
    if not words or words[0] not in GROUPS:
        return usage(words)
    group = import_module(f"lanewater.interfaces.cli.{words[0]}")
    parser = Parser(prog=f"lanewater {words[0]}", description=GROUPS[words[0]])
    group.add_arguments(parser)
    return int(group.run(parser.parse_args(words[1:], anywhere)))


def without_flags(given: list[str], anywhere: argparse.Namespace) -> list[str]:
    """Take out --json, --data and --store, which every command takes in any place.

    Raises
    ------
    InputError
        Where --data or --store names nothing, or a flag's value is two dashes, which argparse
        drops.
    """
    words: list[str] = []
    rest = iter(given)
    for word in rest:
        if word == "--":
            return [*words, word, *rest]
        if word == "--json":
            anywhere.json = True
        elif word.partition("=")[0] in PLACES:
            flag, given_here, value = word.partition("=")
            named = value if given_here else next(rest, None)
            if named is None:
                raise InputError(flag, f"must name {PLACES[flag]}")
            setattr(anywhere, flag[2:], named)
        elif word.startswith("--") and word.endswith("=--"):
            raise InputError(word[:-3], "'--' is no value")
        else:
            words.append(word)
    return words


def usage(words: list[str]) -> int:
    """Say how the program is used: as the answer to --help, else as an error."""
    answered = bool(words) and words[0] in HELP
    if words and not answered:
        sys.stderr.write(f"lanewater: there is no command {words[0][:40]!r}\n\n")
    commands = "\n".join(f"  {name:<11} {about}" for name, about in GROUPS.items())
    stream = sys.stdout if answered else sys.stderr
    stream.write(USAGE.format(commands=commands, everywhere=EVERYWHERE) + "\n")
    return 0 if answered else InputError.exit_code
