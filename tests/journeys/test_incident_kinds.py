"""Every kind of incident from the first tap to the reopening, alone in the middle, held on disk."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, expect
from tests.journeys.conftest import Made, Served, served
from tests.journeys.incidents import Journey, Tide
from tests.journeys.outboxes import learned
from tests.journeys.tablet import Tablet

from lanewater.kernel.deciding.incidentkinds import INCIDENTS
from lanewater.service.clock import MINUTE_MS
from lanewater.terms.words import INCIDENT_KINDS


@pytest.fixture(scope="module")
def tide() -> Tide:
    """One clock for the server and the tablet."""
    return Tide()


@pytest.fixture(scope="module")
def house(
    harbour_made: Made, tide: Tide, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Served]:
    """The harbour baths, served once for all kinds."""
    yield from served(harbour_made, tmp_path_factory.mktemp("house"), clock=tide)


@pytest.fixture(scope="module")
def hands(chromium: Browser, house: Served) -> Iterator[Tablet]:
    """One tablet in the hands of whoever is there; it has checked the manager's PIN before."""
    context = chromium.new_context(
        viewport={"width": 412, "height": 900}, base_url=house.address, service_workers="block"
    )
    tablet = Tablet(context.new_page(), house.first_key)
    tablet.page.clock.install()
    tablet.enrol()
    tablet.sign_in("DD")
    learned(tablet.page)
    yield tablet
    context.close()
    assert tablet.errors == []


@pytest.fixture
def journey(house: Served, tide: Tide, hands: Tablet) -> Callable[[str, str], Journey]:
    """Give a journey through one kind in one pool."""
    return lambda kind, pool: Journey(house, tide, hands, kind, pool)


NewJourney = Callable[[str, str], Journey]
Measured = dict[str, Callable[[], None]]


def held(found: Journey, free: str, minutes: int, dilution: int = 1) -> Callable[[], None]:
    """Hold the level of the chosen route for its time, as readings show it."""

    def hold() -> None:
        # What was raised mixes first; read at once it would stand beside the water as found.
        found.wait(45)
        found.read(free, dilution=dilution)
        expect(found.tablet.page.locator("[data-key=clock]")).to_contain_text("Not before ")
        found.wait(minutes)
        found.read(free, dilution=dilution)

    return hold


def quiet(found: Journey) -> None:
    """Hear thunder again, which begins the time anew, and wait for the end of it."""
    until = found.tablet.page.locator(".clock-now")
    before = until.inner_text()
    found.pass_by(4 * MINUTE_MS)
    found.tablet.key("Seen or heard again now").click()
    expect(until).not_to_have_text(before)
    found.wait(31)


def come_down(found: Journey) -> None:
    """Read the water once the level has come down again, which takes its time."""
    found.wait(45)
    found.read("1.60")


def by_level(found: Journey, route: str, free: str, minutes: int, dilution: int = 1) -> Measured:
    """Give what is measured where the rules hold a procedure."""
    return {
        "water-read": lambda: found.read("1.10"),
        "route": lambda: found.choose(route),
        "contact-time": held(found, free, minutes, dilution),
        "water-back": lambda: come_down(found),
    }


def by_tests(found: Journey) -> Measured:
    """Give what is measured where they hold none."""
    return {
        "water-read": lambda: found.read("1.10"),
        "read-diluted": lambda: found.read("1.60", dilution=5),
        "water-back": lambda: found.read("1.60"),
        "two-point-test": lambda: found.read("1.55"),
        "quiet": lambda: quiet(found),
    }


HALF_AN_HOUR = ("2-for-half-an-hour", "2.00", 31)
EIGHT_HOURS = ("20-for-8-hours", "4.10", 481, 5)
# Kind, where, and how its water comes back. Every other one is begun on a locked tablet without
# network, and ended on it; the rest lose the server in the middle.
KINDS: tuple[tuple[str, str, tuple[Any, ...]], ...] = (
    ("formed-stool", "main", HALF_AN_HOUR),
    ("diarrhoea", "terrace", EIGHT_HOURS),
    ("vomit", "terrace", HALF_AN_HOUR),
    ("blood", "terrace", ()),
    ("dead-animal", "terrace", ()),
    ("glass", "main", ()),
    ("chemical-spill", "terrace", ()),
    ("gas", "terrace", ()),
    ("circulation-failure", "main", ()),
    ("power-failure", "main", ()),
    ("overdose", "terrace", ()),
    ("thunder", "terrace", ()),
    ("complaints", "terrace", ()),
    ("injury", "teaching", ()),
)


def test_every_kind_has_a_journey() -> None:
    assert sorted(kind for kind, _, _ in KINDS) == sorted(INCIDENT_KINDS)


@pytest.mark.parametrize(
    ("kind", "pool", "level", "locked"),
    [(*one, place % 2 == 0) for place, one in enumerate(KINDS)],
    ids=[kind for kind, _, _ in KINDS],
)
def test_from_the_first_tap_to_the_reopening(
    journey: NewJourney, kind: str, pool: str, level: tuple[Any, ...], *, locked: bool
) -> None:
    found = journey(kind, pool)
    measured = by_level(found, *level) if level else by_tests(found)
    if locked:
        found.left_alone()
        with found.alone():
            found.begin()
            found.taken_up()
            steps = found.walk(measured)
            found.end()
    else:
        found.begin()
        with found.alone():
            steps = found.walk(measured)
        found.end()
    found.reopen()
    own = found.on_record("unlisted" if locked else "p-manager")
    asked = [one for one in INCIDENTS[kind]["steps"] if one in steps]
    assert [one for one in steps if one != "water-word"] == [
        one for one in asked if one != "water-word"
    ]
    chosen = [one["body"]["route"] for one in own if one["type"] == "incident-route-chosen"]
    assert chosen == ([level[0]] if level else [])
