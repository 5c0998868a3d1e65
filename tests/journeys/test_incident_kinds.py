"""Every kind of incident from the first tap to the reopening, alone in the middle, held on disk."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, expect
from tests.journeys.conftest import Made, Served, served
from tests.journeys.incidents import Journey, Tide
from tests.journeys.outboxes import learned
from tests.journeys.tablet import Tablet


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


def contact(found: Journey, free: str, minutes: int, dilution: int = 1) -> Callable[[], None]:
    """Hold the level of the chosen route for its time, as readings show it."""

    def held() -> None:
        found.read(free, dilution=dilution)
        expect(found.tablet.page.locator("[data-key=clock]")).to_contain_text("Not before ")
        found.wait(minutes)
        found.read(free, dilution=dilution)

    return held


def test_formed_stool_in_a_pool_that_shares_its_filter(journey: NewJourney) -> None:
    found = journey("formed-stool", "main")
    found.begin()
    with found.alone():
        steps = found.walk(
            {
                "water-read": lambda: found.read("1.10"),
                "route": lambda: found.choose("2-for-half-an-hour"),
                "contact-time": contact(found, "2.00", 31),
                "water-back": lambda: found.read("1.90"),
            }
        )
        found.end()
    found.reopen()
    own = found.on_record()
    assert steps[0] == "people-out"
    assert [one["body"]["route"] for one in own if "route" in one["body"]] == ["2-for-half-an-hour"]
