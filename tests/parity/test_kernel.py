"""The kernel says the same in CPython and in Chromium: numbers closely, decisions exactly."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser
from tests.parity import (
    suites_carried,
    suites_causes,
    suites_chloramine,
    suites_closing,
    suites_contact,
    suites_deciding,
    suites_exchanging,
    suites_handover,
    suites_incidents,
    suites_openings,
    suites_page,
    suites_plan,
    suites_planning,
    suites_rules,
    suites_schedules,
    suites_sea,
    suites_supply,
    suites_water,
)
from tests.parity.sides import Sides, Suite, kernel_sides

SUITES = (
    *suites_carried.SUITES,
    *suites_causes.SUITES,
    *suites_chloramine.SUITES,
    *suites_closing.SUITES,
    *suites_contact.SUITES,
    *suites_deciding.SUITES,
    *suites_exchanging.SUITES,
    *suites_handover.SUITES,
    *suites_incidents.SUITES,
    *suites_openings.SUITES,
    *suites_page.SUITES,
    *suites_plan.SUITES,
    *suites_planning.SUITES,
    *suites_schedules.SUITES,
    *suites_rules.SUITES,
    *suites_sea.SUITES,
    *suites_supply.SUITES,
    *suites_water.SUITES,
)


@pytest.fixture(scope="module")
def sides(chromium: Browser) -> Sides:
    """Both sides of the kernel."""
    return kernel_sides(chromium)


@pytest.mark.parametrize("suite", SUITES, ids=lambda suite: suite.name)
def test_both_sides_say_the_same(sides: Sides, suite: Suite) -> None:
    assert sides.faults(suite.name, suite.rows(), suite.within) == []


@pytest.mark.parametrize(
    "suite", [each for each in SUITES if each.changed is not tuple], ids=lambda suite: suite.name
)
def test_both_sides_say_the_same_of_what_is_missing(sides: Sides, suite: Suite) -> None:
    assert sides.faults_of_missing(suite) == []
