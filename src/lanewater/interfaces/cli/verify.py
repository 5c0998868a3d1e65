"""`lanewater verify`: is a record complete, and if not, what does not hold and where."""

from __future__ import annotations

import argparse
import re
import sys
from pathlib import Path

from lanewater.interfaces.cli.folder import config_of
from lanewater.interfaces.cli.lines import write_answer
from lanewater.records.verifying import Answer, answer_over_bundle
from lanewater.service.bundle_read import read_bundle, stamp_text, unlisted
from lanewater.service.whole_record import answer_for_site
from lanewater.terms.errors import InputError

NOT_COMPLETE = 4
LOG_KEY = re.compile(r"[0-9a-f]{64}", re.ASCII)
NOT_TOLD = (
    "Whether what was typed was true, no check can tell: a wrong number, typed in time by"
    " somebody who may, looks like any other.\n"
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    parser.add_argument(
        "bundle",
        nargs="?",
        help="the folder that `lanewater export` made; the site's own store where left out",
    )
    parser.add_argument(
        "--stamp",
        action="append",
        default=[],
        metavar="FILE",
        help="a stamp held elsewhere, on an old print or in a mailbox; may be given again",
    )
    parser.add_argument(
        "--accept-key",
        action="append",
        default=[],
        metavar="HEX",
        help="a log key somebody answers for, where the one before it was lost",
    )


def run(arguments: argparse.Namespace) -> int:
    """Check one bundle or the store; 0 where it is complete, 4 where it is not."""
    for key in arguments.accept_key:
        if LOG_KEY.fullmatch(key) is None:
            raise InputError("--accept-key", "must be 64 hexadecimal digits")
    texts = [stamp_text(Path(name)) for name in arguments.stamp]
    if arguments.bundle is None:
        answer, elsewhere = answer_for_site(config_of(arguments), texts)
    else:
        folder = Path(arguments.bundle)
        files = read_bundle(folder)
        answer = answer_over_bundle(files, texts, frozenset(arguments.accept_key))
        elsewhere = len(texts)
        others = unlisted(folder, files)
        if others:
            sys.stderr.write(f"not looked at, no part of the bundle: {', '.join(others[:10])}\n")
    if arguments.json:
        write_answer(answer.fields())
    else:
        sys.stdout.write(in_words(answer, elsewhere))
    return 0 if answer.complete else NOT_COMPLETE


def in_words(answer: Answer, outside: int) -> str:
    """Write an answer for people: the word first, then what it rests on."""
    lines = [f"{answer.outcome}: {answer.lines} lines\n"]
    told = answer.fields()
    lines += [f"  {finding['says']}\n" for finding in told["findings"]]
    if told["more"]:
        lines.append(f"  and {told['more']} more\n")
    lines += [f"  restored in line {line}, as the record itself says\n" for line in answer.restored]
    if answer.complete:
        lines.append(f"  every line as it was received; head {answer.root}\n")
        lines.append(f"  {answer.stamps_held} stamps beside it hold")
        lines.append(f", and {outside} from elsewhere\n" if outside else "\n")
        if not outside:
            lines.append(
                "  no stamp from elsewhere was given: a record put back whole to an older state,"
                " or made anew with its keys, would look the same\n"
            )
        lines.append(f"  {NOT_TOLD}")
    return "".join(lines)
