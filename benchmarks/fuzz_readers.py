"""The readers of what comes from outside, fed with bytes that a coverage-guided fuzzer makes.

`python -m benchmarks.fuzz_readers TARGET SECONDS` needs the package atheris, which no lock holds
(3.0.0 was used); each target begins with honest examples and gives the number of its runs. A
reader may refuse in its own words and in no others, and takes under five seconds.
"""

from __future__ import annotations

import json
import sys
import tempfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["lanewater"]):
    from pydantic import ValidationError
    from tests.records.entry_cases import KEY, chain
    from tests.records.test_receiving import SENDER, fact, ground, sealed

    from lanewater.interfaces.api.schemas.sync import EntriesSent
    from lanewater.records.bundle import read_lines, read_manifest
    from lanewater.records.entries import canonical, parse
    from lanewater.records.receiving import Sealed, weigh
    from lanewater.records.stamps import Head, make_stamp, read_stamp
    from lanewater.terms.cells import guarded
    from lanewater.terms.errors import InputError
    from lanewater.terms.jsontext import read_json
    from lanewater.terms.tabletext import table_rows


def hold(held: bool, what: str) -> None:
    """Stop the fuzzer where something does not hold."""
    if not held:
        raise AssertionError(what)


def entry(data: bytes) -> None:
    """Read an entry; what is read is written as the same bytes."""
    with suppress(InputError):
        hold(canonical(parse(data)) == data, "two forms of one entry")


def sync(data: bytes) -> None:
    """Read what a device sends, and weigh each entry of it."""
    try:
        sent = EntriesSent.model_validate(read_json(data))
    except (InputError, ValidationError):
        return
    for one in sent.entries:
        found = weigh(Sealed(one.entry, one.sig), SENDER, ground())
        hold(found.outcome in ("record", "known", "refused"), found.outcome)


def stamp(data: bytes) -> None:
    """Read a stamp; what is read holds nothing that was not written."""
    with suppress(InputError):
        hold(read_stamp(data.decode("utf-8", "replace")).head.size >= 0, "size")


def bundle(data: bytes) -> None:
    """Read the lines of a bundle and its manifest."""
    hold(all(line is None or line.raw for line in read_lines(data)), "a line of nothing")
    read_manifest(data)


def table(data: bytes) -> None:
    """Read a table, and guard its cells; guarding twice changes nothing."""
    text = data.decode("utf-8", "replace")
    with suppress(InputError):
        for _, cells, _ in table_rows(iter(text.splitlines(keepends=True))):
            for cell in cells:
                hold(guarded(guarded(cell)) == guarded(cell), "guarded twice")


def examples(target: str) -> list[bytes]:
    """Give honest examples, from which the fuzzer goes on."""
    entries = [raw for _, raw, _ in chain(3)]
    told = sealed(fact())
    batch = {"entries": [{"entry": told.text, "sig": told.sig}]}
    note = make_stamp(Head("lanewater/baths/0123456789abcdef/1", 3, b"r" * 32), KEY)
    return {
        "entry": entries,
        "sync": [json.dumps(batch).encode()],
        "stamp": [note.encode()],
        "bundle": [b'{"index":0,"received_at":"","entry":"","sig":""}\n', b"0" * 64 + b"  a\n"],
        "table": [b"ph,x\n7.2,=1\n", b"ph;x\n7,2;-1.2\n"],
    }[target]


TARGETS: dict[str, Callable[[bytes], None]] = {
    "entry": entry,
    "sync": sync,
    "stamp": stamp,
    "bundle": bundle,
    "table": table,
}


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        for number, raw in enumerate(examples(sys.argv[1])):
            (Path(folder) / str(number)).write_bytes(raw)
        limits = [f"-max_total_time={sys.argv[2]}", "-timeout=5", "-rss_limit_mb=512"]
        more = ["-max_len=20000", "-print_final_stats=1", f"-artifact_prefix={folder}-"]
        atheris.Setup([sys.argv[0], *limits, *more, folder], TARGETS[sys.argv[1]])
        atheris.Fuzz()
