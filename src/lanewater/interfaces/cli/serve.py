"""`lanewater serve`: a site's pages and API, on this machine or behind a proxy that speaks TLS."""

from __future__ import annotations

import argparse
import os
import sys

from lanewater.interfaces.cli.lines import write_answer
from lanewater.service.config import HOST, PORT, data_folder, load_config

BACKUPS = "LANEWATER_BACKUPS"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    parser.add_argument("--host", metavar="ADDRESS", help=f"default: {HOST}, this machine only")
    parser.add_argument("--port", metavar="N", help=f"default: {PORT}; 0 takes any free one")
    parser.add_argument(
        "--behind-tls", action="store_true", help="a proxy that speaks TLS stands before it"
    )
    parser.add_argument("--backups", metavar="FOLDER", help=f"takes a backup a day (or {BACKUPS})")


def run(arguments: argparse.Namespace) -> int:
    """Serve until it is told to stop."""
    config = load_config(
        arguments.data,
        os.environ,
        host=arguments.host,
        port=arguments.port,
        store=arguments.store,
    )
    named = arguments.backups or os.environ.get(BACKUPS)
    backups = None if not named else data_folder(named, "--backups")
    # The server and all that it needs is wanted by this command and the demo alone.
    from lanewater.interfaces.serving import say_where, serve  # noqa: PLC0415

    def announce(where: str) -> None:
        if arguments.json:
            write_answer({"address": where, "data": str(config.data)})
            sys.stdout.flush()
        say_where(where)

    return serve(config, behind_tls=arguments.behind_tls, backups=backups, announce=announce)
