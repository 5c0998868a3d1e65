"""`lanewater certificate`: a certificate for this site alone, for its tablets to trust."""

from __future__ import annotations

import argparse
import os
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from lanewater.interfaces.cli.lines import write_answer
from lanewater.service.certificate_folder import (
    FOLDER,
    CertificateFolder,
    make_certificate,
    read_certificate,
    renew_certificate,
    server_certificate,
    warnings_of,
)
from lanewater.service.certificates import days_left, fingerprint, names_in, names_of
from lanewater.service.config import data_folder, load_config

CHECK_FAILED = 4


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    verbs = parser.add_subparsers(dest="verb", required=True)
    new = verbs.add_parser("new", help="make an authority for these names alone, and a certificate")
    new.add_argument(
        "names", nargs="+", metavar="NAME", help="host name or address of this machine"
    )
    renew = verbs.add_parser("renew", help="make the server's next certificate; tablets go on")
    show = verbs.add_parser("show", help="names, fingerprint and end; exit code 4 near the end")
    for verb in (new, renew, show):
        verb.add_argument("--folder", help=f"where it lies; default: {FOLDER} in the data folder")


def run(arguments: argparse.Namespace) -> int:
    """Run one verb."""
    folder, now = folder_of(arguments), datetime.now(UTC)
    if arguments.verb == "new":
        make_certificate(folder, names_of(arguments.names), now)
    if arguments.verb == "renew":
        renew_certificate(folder, now)
    answer = told(folder, now)
    if arguments.json:
        write_answer(answer)
    else:
        sys.stdout.write("".join(f"{line}\n" for line in words_of(answer)))
    for line in answer["warnings"]:
        sys.stderr.write(f"{line}\n")
    return CHECK_FAILED if arguments.verb == "show" and answer["warnings"] else 0


def folder_of(arguments: argparse.Namespace) -> CertificateFolder:
    """Give the certificate's folder."""
    if arguments.folder is not None:
        return CertificateFolder(data_folder(arguments.folder, "--folder"))
    data: Path = load_config(arguments.data, os.environ, store=arguments.store).data
    return CertificateFolder(data / FOLDER)


def told(folder: CertificateFolder, now: datetime) -> dict[str, Any]:
    """Tell what stands in the folder."""
    server, authority = server_certificate(folder), read_certificate(folder.authority)
    names = names_in(server)
    return {
        "folder": str(folder.path),
        "names": [*names.hosts, *map(str, names.addresses)],
        "fingerprint": fingerprint(authority),
        "ends": f"{server.not_valid_after_utc:%Y-%m-%d}",
        "days_left": days_left(server, now),
        "authority_ends": f"{authority.not_valid_after_utc:%Y-%m-%d}",
        "key_here": folder.authority_key.exists(),
        "warnings": warnings_of(folder, now),
    }


def words_of(answer: dict[str, Any]) -> list[str]:
    """Say it to a person."""
    key = "here: keep it from others" if answer["key_here"] else "kept elsewhere"
    return [
        f"For      {', '.join(answer['names'])}, and nothing else",
        f"Ends     {answer['ends']} ({answer['days_left']} days); renewed by 'certificate renew'",
        f"         or by the server itself where authority.key lies in {answer['folder']}",
        f"Tablets  trust it until {answer['authority_ends']}, once they have its authority",
        f"Key      of the authority {key}",
        "SHA-256  of the authority, to be held beside what a tablet shows before it is trusted:",
        *[f"         {part}" for part in halves(answer["fingerprint"])],
        "Next     lanewater serve --certificate",
    ]


def halves(text: str) -> tuple[str, str]:
    """Give a fingerprint as two lines."""
    middle = len(text) // 2
    return text[:middle], text[middle + 1 :]
