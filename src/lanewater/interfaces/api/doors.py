"""How often signing in, enrolling and links may be tried: buckets that fill again, no lock."""

from __future__ import annotations

import ipaddress
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Lock

from lanewater.interfaces.api.errors import WireError
from lanewater.service.clock import system_clock

MINUTE_MS = 60_000
MOST_KEYS = 4096
TOO_MANY = "too many tries; wait {seconds} s. Testing, recording and Everyone out need no PIN"


@dataclass
class Buckets:
    """One bucket of tries a key; each try takes one out, and time puts them back.

    Attributes
    ----------
    size : int
        Tries that a full bucket holds.
    per_minute : int
        Tries put back in a minute.
    """

    size: int
    per_minute: int
    levels: OrderedDict[str, tuple[float, int]] = field(default_factory=OrderedDict)

    def level(self, key: str, now_ms: int) -> float:
        """Give how many tries are left."""
        level, at_ms = self.levels.get(key, (float(self.size), now_ms))
        if now_ms < at_ms:
            # The clock was set back: time counts from here, else nothing would come back for long.
            self.levels[key] = (level, now_ms)
            return level
        return min(level + (now_ms - at_ms) * self.per_minute / MINUTE_MS, float(self.size))

    def wait_ms(self, key: str, now_ms: int) -> int:
        """Give how long until a try is left, 0 where one is."""
        missing = 1.0 - self.level(key, now_ms)
        return 0 if missing <= 0 else int(missing * MINUTE_MS / self.per_minute) + 1

    def change(self, key: str, now_ms: int, by: float) -> None:
        """Take tries out or put them back; the longest unused key is forgotten first."""
        self.levels[key] = (min(self.level(key, now_ms) + by, float(self.size)), now_ms)
        self.levels.move_to_end(key)
        while len(self.levels) > MOST_KEYS:
            self.levels.popitem(last=False)


class Doors:
    """The two doors, and their buckets.

    A PIN is tried against the bucket of its device and that of this person on this device, so
    nobody elsewhere can use up somebody's tries. A right one gives its try back.
    """

    def __init__(self, clock: Callable[[], int] = system_clock) -> None:
        self.clock = clock
        self.lock = Lock()
        self.of_device = Buckets(size=20, per_minute=20)
        self.of_person = Buckets(size=5, per_minute=5)
        self.of_network = Buckets(size=10, per_minute=10)
        self.of_senders = Buckets(size=60, per_minute=60)
        self.of_links = Buckets(size=30, per_minute=30)
        self.of_prints = Buckets(size=4, per_minute=2)

    def try_pin(self, device: str, person: str) -> None:
        """Take out one try of a PIN.

        Raises
        ------
        WireError
            Where none is left.
        """
        self.take([(self.of_device, device), (self.of_person, f"{device} {person}")])

    def pin_was_right(self, device: str, person: str) -> None:
        """Put back the try of a PIN that fitted."""
        with self.lock:
            now = self.clock()
            self.of_device.change(device, now, 1.0)
            self.of_person.change(f"{device} {person}", now, 1.0)

    def try_first_key(self, address: str) -> None:
        """Take out one try of a first key from a network.

        Raises
        ------
        WireError
            Where none is left.
        """
        self.take([(self.of_network, network_of(address))])

    def try_send(self, device: str) -> None:
        """Take out one sending of a device: a minute's hold the backlog of any shift.

        Raises
        ------
        WireError
            Where none is left.
        """
        self.take([(self.of_senders, device)])

    def try_link(self, address: str) -> None:
        """Take out one look of an inspector's network, whether its token opens something or not.

        Raises
        ------
        WireError
            Where none is left.
        """
        self.take([(self.of_links, network_of(address))])

    def try_print(self, link: str) -> None:
        """Take out one print of a link: each takes seconds of this machine.

        Raises
        ------
        WireError
            Where none is left.
        """
        self.take([(self.of_prints, link)])

    def take(self, asked: list[tuple[Buckets, str]]) -> None:
        """Take one try out of each bucket, or out of none where one is empty."""
        with self.lock:
            now = self.clock()
            wait_ms = max(buckets.wait_ms(key, now) for buckets, key in asked)
            if wait_ms == 0:
                for buckets, key in asked:
                    buckets.change(key, now, -1.0)
                return
        seconds = -(-wait_ms // 1000)
        raise WireError("too-many", TOO_MANY.format(seconds=seconds), {"Retry-After": str(seconds)})


def network_of(address: str) -> str:
    """Give the network of an address: itself, or of an IPv6 address the /64 that one host holds."""
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return "unknown"
    if found.version == 6:
        return str(ipaddress.ip_network(f"{found}/64", strict=False))
    return str(found)
