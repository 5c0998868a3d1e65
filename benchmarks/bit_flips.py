"""Flip bits of a bundle and of a store's file: none may change what is said in silence.

python -m benchmarks.bit_flips bundle [MINUTES]   every bit of a small bundle, in a drawn order, the
                                                  manifest made to fit
python -m benchmarks.bit_flips store [MINUTES] [COUNT]   bits of a store's file, drawn from a seed

It ends after so many minutes at the latest and says how many it did.
Exit 0 where nothing was silent and the planted careless checker was caught, else 4.
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from tests.baths import Baths, set_up
from tests.records.flip_cases import (
    REPORTED,
    SILENT,
    UNCHANGED,
    Careless,
    bits_of,
    bundle_flip,
    careless_bundle_flip,
    said_by,
    small_record,
    store_flip,
)

from lanewater.records.bundle import MANIFEST
from lanewater.service.stamping import stamp

COUNT = 20_000
SEED = 20261125


def bundle_campaign(minutes: float) -> int:
    """Flip the bits of a bundle, each once, in a drawn order."""
    files = small_record().files()
    told: Counter[str] = Counter()
    started = time.monotonic()
    bits = list(bits_of(files))
    random.Random(SEED).shuffle(bits)  # noqa: S311 - repeatable, no secret
    for bit in bits:
        told[bundle_flip(files, bit, seal=bit.file != MANIFEST)] += 1
        if time.monotonic() - started > minutes * 60:
            break
    planted = any(
        careless_bundle_flip(files, bit) == SILENT for bit in list(bits_of(files))[::5000]
    )
    size = sum(map(len, files.values()))
    done = f"{told.total():,} of its {len(bits):,} bits"
    print(f"bundle of {size:,} bytes, {done}, {time.monotonic() - started:.0f} s")
    return figures(told, planted)


def store_campaign(minutes: float, count: int) -> int:
    """Flip bits of a store's file."""
    with tempfile.TemporaryDirectory() as folder:
        raw, note = closed_store(Path(folder) / "site")
        place = Path(folder) / "flipped.db"
        place.write_bytes(raw)
        before = said_by(place)
        if before is None:
            raise RuntimeError("the store cannot be read")
        draw = random.Random(SEED)  # noqa: S311 - repeatable, no secret
        told: Counter[str] = Counter()
        started = time.monotonic()
        for _ in range(count):
            told[store_flip(place, raw, draw.randrange(len(raw) * 8), note, before)] += 1
            if time.monotonic() - started > minutes * 60:
                break
        at = raw.index(b'"value":"7.43"') * 8 + 80
        planted = store_flip(place, raw, at, note, before, Careless) == SILENT
    seconds = time.monotonic() - started
    print(f"store of {len(raw):,} bytes, {told.total():,} bits, seed {SEED}, {seconds:.0f} s")
    return figures(told, planted)


def closed_store(folder: Path) -> tuple[bytes, str]:
    """Make a small site; give its store's file and a stamp held elsewhere."""
    set_up(folder)
    baths = Baths(folder)
    baths.round()
    note = stamp(baths.book)
    baths.book.connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
    baths.book.close()
    return baths.config.store.read_bytes(), note


def figures(told: Counter[str], planted: bool) -> int:
    """Print what was found and give the exit code."""
    for name in (REPORTED, UNCHANGED, SILENT):
        print(f"  {name}: {told[name]:,}")
    print(f"  the planted careless checker was {'caught' if planted else 'NOT caught'}")
    return 0 if told[SILENT] == 0 and planted else 4


if __name__ == "__main__":
    what, *numbers = sys.argv[1:]
    limit = float(numbers[0]) if numbers else 60.0
    if what == "bundle":
        sys.exit(bundle_campaign(limit))
    sys.exit(store_campaign(limit, int(numbers[1]) if len(numbers) > 1 else COUNT))
