"""Run histories by their seeds, over a server in memory or over the book itself."""

from __future__ import annotations

import random
import shutil
from collections import Counter
from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path
from typing import Any

from tests.sync.deciding import decide
from tests.sync.device import Device
from tests.sync.histories import run_history
from tests.sync.ledger import Ledger
from tests.sync.shelf import Shelf, Template

from lanewater.records.signing import DeviceKey, make_key

MOST_DEVICES = 5


@lru_cache(maxsize=1)
def keys() -> tuple[DeviceKey, ...]:
    """Make the keys of five devices, the server and the log."""
    return tuple(make_key() for _ in range(MOST_DEVICES + 2))


def how_many(seed: int) -> int:
    """Give how many devices a history has."""
    return random.Random(seed).randint(2, MOST_DEVICES)  # noqa: S311 - replayed by its seed


def in_memory(
    seeds: Iterable[int], server: type[Ledger] = Ledger, kind: type[Device] = Device
) -> Counter[str]:
    """Run histories over the rules alone; give how many reached what."""
    reached: Counter[str] = Counter()
    for seed in seeds:
        used = keys()[: how_many(seed)]
        made = server(used, keys()[-2], keys()[-1])
        devices = [kind(key, made.site, made.log_key) for key in used]
        reached.update(dict.fromkeys(run_history(seed, made, devices, decide), 1))
    return reached


def over_the_book(seeds: Iterable[int], template: Template, folder: Path) -> Counter[str]:
    """Run histories over the server itself; give how many reached what."""
    reached: Counter[str] = Counter()
    for seed in seeds:
        place = folder / str(seed)
        made: Any = Shelf(template, place)
        used = template.keys[: how_many(seed)]
        devices = [Device(key, made.site, made.log_key) for key in used]
        try:
            reached.update(dict.fromkeys(run_history(seed, made, devices, decide), 1))
        finally:
            made.close()
            shutil.rmtree(place)
    return reached
