"""Tries of a PIN or a first key: few at a time, never a lock for anybody else."""

from __future__ import annotations

import pytest

from lanewater.interfaces.api.doors import MOST_KEYS, Doors, network_of
from lanewater.interfaces.api.errors import WireError


class Clock:
    """A clock that a test moves."""

    def __init__(self) -> None:
        self.now_ms = 1_000_000

    def __call__(self) -> int:
        """Give UTC milliseconds."""
        return self.now_ms


def tries(doors: Doors, device: str, person: str, most: int = 50) -> int:
    """Try until it is refused; give how often it was not."""
    for number in range(most):
        try:
            doors.try_pin(device, person)
        except WireError:
            return number
    return most


def test_a_person_has_five_tries_on_a_device() -> None:
    assert tries(Doors(Clock()), "tab-1", "anna") == 5


def test_twelve_seconds_give_one_try_back() -> None:
    clock = Clock()
    doors = Doors(clock)
    tries(doors, "tab-1", "anna")
    clock.now_ms += 11_000
    assert tries(doors, "tab-1", "anna") == 0
    clock.now_ms += 1_100
    assert tries(doors, "tab-1", "anna") == 1


def test_a_right_pin_costs_nothing() -> None:
    doors = Doors(Clock())
    for _ in range(100):
        doors.try_pin("tab-1", "anna")
        doors.pin_was_right("tab-1", "anna")
    assert tries(doors, "tab-1", "anna") == 5


def test_one_devices_tries_cost_another_device_nothing() -> None:
    doors = Doors(Clock())
    tries(doors, "tab-1", "anna")
    assert tries(doors, "tab-2", "anna") == 5


def test_trying_many_people_on_one_device_runs_out() -> None:
    doors = Doors(Clock())
    assert sum(tries(doors, "tab-1", f"person-{number}") for number in range(10)) == 20


def test_a_refused_try_costs_the_other_bucket_nothing() -> None:
    doors = Doors(Clock())
    tries(doors, "tab-1", "anna")
    for _ in range(100):
        tries(doors, "tab-1", "anna")
    assert tries(doors, "tab-1", "berta") == 5


def test_the_wait_that_is_told_is_long_enough() -> None:
    clock = Clock()
    doors = Doors(clock)
    tries(doors, "tab-1", "anna")
    with pytest.raises(WireError) as refused:
        doors.try_pin("tab-1", "anna")
    clock.now_ms += int(refused.value.headers["Retry-After"]) * 1000
    doors.try_pin("tab-1", "anna")


def test_a_clock_set_back_locks_nobody_for_long() -> None:
    clock = Clock()
    doors = Doors(clock)
    tries(doors, "tab-1", "anna")
    clock.now_ms -= 500_000
    assert tries(doors, "tab-1", "anna") == 0
    clock.now_ms += 13_000
    assert tries(doors, "tab-1", "anna") == 1


def test_first_keys_are_tried_ten_times_a_minute_from_a_network() -> None:
    doors = Doors(Clock())
    for number in range(10):
        doors.try_first_key(f"2001:db8:1:2::{number}")
    with pytest.raises(WireError):
        doors.try_first_key("2001:db8:1:2::ffff")
    doors.try_first_key("2001:db8:1:3::1")


def test_no_flood_of_addresses_fills_the_memory() -> None:
    doors = Doors(Clock())
    for number in range(MOST_KEYS + 500):
        doors.try_first_key(f"10.{number >> 16}.{number >> 8 & 255}.{number & 255}")
    assert len(doors.of_network.levels) == MOST_KEYS


@pytest.mark.parametrize(
    ("address", "network"),
    [
        ("192.0.2.7", "192.0.2.7"),
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1:2::/64"),
        ("", "unknown"),
        ("testclient", "unknown"),
    ],
)
def test_an_address_stands_for_its_network(address: str, network: str) -> None:
    assert network_of(address) == network
