"""The command line: one file a command group, imported only when it is asked for."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from importlib import import_module

from lanewater.terms.errors import LanewaterError

GROUPS = {
    "calc": "water, additions: chemistry from the shell",
    "judge": "hold readings against local rules",
    "rules": "list, show and check the rules packs",
    "site": "set up a site and show it",
    "round": "add a round of readings to the record",
    "record": "show the record",
    "access": "make a first key for a new device",
    "demo": "make the demo site and serve it",
    "serve": "serve a site's pages",
}

USAGE = """\
usage: lanewater COMMAND ...

{commands}

Each command takes --help, and --json for an answer that a program can read.
Exit codes: 0 answered; 1 some lines could not be read; 2 wrong use; 3 something is missing
on this machine; 4 a check did not hold."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and give its exit code.

    Parameters
    ----------
    arguments : sequence of str, optional
        What follows the program's name; the process's own arguments when left out.

    Returns
    -------
    int
        0 to 4, as the usage text says.
    """
    given = list(sys.argv[1:] if arguments is None else arguments)
    if not given or given[0] in {"-h", "--help"} or given[0] not in GROUPS:
        commands = "\n".join(f"  {name:<8} {about}" for name, about in GROUPS.items())
        answered = bool(given) and given[0] in {"-h", "--help"}
        stream = sys.stdout if answered else sys.stderr
        stream.write(USAGE.format(commands=commands) + "\n")
        return 0 if answered else 2
    group = import_module(f"lanewater.interfaces.cli.{given[0]}")
    parser = argparse.ArgumentParser(prog=f"lanewater {given[0]}", description=GROUPS[given[0]])
    group.add_arguments(parser)
    try:
        return int(group.run(parser.parse_args(given[1:])))
    except LanewaterError as error:
        sys.stderr.write(f"{error}\n")
        return error.exit_code
    except BrokenPipeError:
        return 1
