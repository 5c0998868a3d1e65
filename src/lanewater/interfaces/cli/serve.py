"""`lanewater serve`: a site's pages and API, on this machine alone, or over TLS."""

from __future__ import annotations

import argparse
import os
import sys

from lanewater.interfaces.cli.lines import write_answer
from lanewater.service.certificate_folder import FOLDER, CertificateFolder
from lanewater.service.config import HOST, PORT, Config, data_folder, load_config, port_number
from lanewater.terms.errors import InputError

BACKUPS = "LANEWATER_BACKUPS"
ONBOARDING_PORT = 8322
EVERY_ADDRESS = "0.0.0.0"  # noqa: S104  over TLS alone: asked for with --certificate
NONE = "none"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    parser.add_argument("--host", metavar="ADDRESS", help=f"default: {HOST}, this machine only")
    parser.add_argument("--port", metavar="N", help=f"default: {PORT}; 0 takes any free one")
    parser.add_argument(
        "--behind-tls", action="store_true", help="a proxy that speaks TLS stands before it"
    )
    parser.add_argument(
        "--certificate",
        metavar="FOLDER",
        nargs="?",
        const="",
        help="speak TLS with the site's own certificate ('certificate new'), to every address "
        "unless --host names one",
    )
    parser.add_argument(
        "--onboarding-port",
        metavar="N",
        help=f"with --certificate: where tablets get its authority, over plain HTTP; default: "
        f"{ONBOARDING_PORT}; {NONE} for nowhere",
    )
    parser.add_argument("--backups", metavar="FOLDER", help=f"takes a backup a day (or {BACKUPS})")


def run(arguments: argparse.Namespace) -> int:
    """Serve until it is told to stop."""
    if arguments.certificate is not None and arguments.behind_tls:
        raise InputError("--certificate", "a proxy speaks TLS already, says --behind-tls")
    host = arguments.host
    if host is None and arguments.certificate is not None and "LANEWATER_HOST" not in os.environ:
        host = EVERY_ADDRESS
    config = load_config(
        arguments.data,
        os.environ,
        host=host,
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

    return serve(
        config,
        behind_tls=arguments.behind_tls,
        certificate=own_certificate(arguments, config),
        onboarding_port=onboarding_port(arguments),
        backups=backups,
        announce=announce,
    )


def own_certificate(arguments: argparse.Namespace, config: Config) -> CertificateFolder | None:
    """Give the folder of the site's own certificate, where it is asked for."""
    named = arguments.certificate
    if named is None:
        return None
    folder = data_folder(named, "--certificate") if named else config.data / FOLDER
    return CertificateFolder(folder)


def onboarding_port(arguments: argparse.Namespace) -> int | None:
    """Give where tablets learn to trust the certificate; None for nowhere."""
    asked = arguments.onboarding_port
    if arguments.certificate is None:
        if asked is not None:
            raise InputError("--onboarding-port", "goes with --certificate")
        return None
    return None if asked == NONE else port_number(asked or ONBOARDING_PORT, "--onboarding-port")
