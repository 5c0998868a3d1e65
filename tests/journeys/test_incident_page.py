"""The Incidents page beside the journeys: who may what, what is kept, how it looks and speaks."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, expect
from tests.journeys.apart import Apart
from tests.journeys.away import back, lane, of_kind, ready, type_pin
from tests.journeys.conftest import Made, NewTablet, Served, served
from tests.journeys.incidents import PATIENCE_MS, Journey, Tide
from tests.journeys.tablet import Tablet
from tests.journeys.test_look_modes import PRESSED, SMALLEST, TOO_SMALL, WIDER, WITHOUT_BORDER

LANGUAGES = ("en", "es", "fr", "de")
LOOKS = ("day", "sun", "dark")
CHOSEN = """([look, language]) => {
  localStorage.setItem("lanewater.choices", JSON.stringify({ look, language }));
}"""
# An amount stands with its unit of a product; what a procedure's words say is a level.
AMOUNT = re.compile(r"\d\s?(kg|g|ml|mL|l|L|litres?|oz|lb)\b")


def test_the_server_is_killed_and_the_incident_is_begun_gone_through_and_ended_without_it(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    tablet = new_tablet(site_apart, worker=True)
    ready(tablet, "DD")
    site_apart.kill()
    tablet.load("/incidents")
    tablet.tap(tablet.page.locator(".kind-keys [data-key='glass']"))
    tablet.tap(tablet.page.locator(".stop [data-key='main']"))
    expect(tablet.page.locator(".incident-head [data-key=on-record]")).to_contain_text("Not sent")
    # What is to be done now is not pushed off a phone's first screen by what the network is like.
    expect(tablet.page.locator("main > :first-child")).to_have_class("incident")
    tablet.page.set_viewport_size({"width": 360, "height": 900})
    expect(tablet.page.locator(".stage-next .key").first).to_be_in_viewport(ratio=1)
    tablet.page.set_viewport_size({"width": 412, "height": 900})
    tablet.load("/")
    tablet.tap(lane(tablet, "Main").locator(".lane-incident").get_by_role("link"))
    for step in ("people-out", "glass-gathered", "glass-searched"):
        tablet.page.locator(f".stage[data-key='{step}'] [data-key=done]").click()
        # What is done is folded away on a phone; the next one stands alone.
        expect(
            tablet.page.locator(f"[data-key=said] .stage-done[data-key='{step}']")
        ).to_be_attached()
        expect(tablet.page.locator("[data-key=now] .stage")).to_have_count(1)
    word = tablet.page.locator(".stage[data-key='glass-word']")
    word.get_by_role("textbox").fill("Floor looked over twice, none left")
    word.locator("[data-key=done]").click()
    tablet.tap_key("Criteria met: end the incident")
    type_pin(tablet, "DD")
    expect(tablet.page.locator("[data-key=ended]")).to_contain_text(
        "Main: still closed", timeout=PATIENCE_MS
    )
    lines = back(site_apart, tablet)
    own = [one["type"] for one in lines if "incident" in one["body"]]
    assert own == ["incident-started", *["incident-step-done"] * 4, "incident-ended"]
    assert of_kind(lines, "incident-ended")[0]["auth"]["method"] == "pin"


@pytest.fixture(scope="module")
def tide() -> Tide:
    """One clock for the server and the tablet."""
    return Tide()


@pytest.fixture(scope="module")
def house(
    harbour_made: Made, tide: Tide, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Served]:
    """The harbour baths, served once."""
    yield from served(harbour_made, tmp_path_factory.mktemp("house"), clock=tide)


@pytest.fixture(scope="module")
def hands(chromium: Browser, house: Served) -> Iterator[Tablet]:
    """One tablet; the policy is bypassed to let axe in."""
    context = chromium.new_context(base_url=house.address, bypass_csp=True, service_workers="block")
    tablet = Tablet(context.new_page(), house.first_key)
    tablet.page.clock.install()
    tablet.enrol()
    yield tablet
    context.close()
    assert tablet.errors == []


NewJourney = Callable[[str, str], Journey]


def unfold(hands: Tablet) -> None:
    """Unfold every part of the page that is folded on a phone."""
    folded = hands.page.locator(".folded:not([open]) > summary")
    for left in range(folded.count(), 0, -1):
        folded.first.click()
        expect(folded).to_have_count(left - 1)


@pytest.fixture
def journey(house: Served, tide: Tide, hands: Tablet) -> NewJourney:
    """Give a journey through one kind in one pool."""
    return lambda kind, pool: Journey(house, tide, hands, kind, pool)


def test_everyone_out_leads_on_to_what_happened_and_a_lifeguard_sees_no_amount_and_no_end(
    journey: NewJourney, hands: Tablet
) -> None:
    found = journey("formed-stool", "main")
    found.begin_from_out()
    hands.synced()
    assert [one["type"] for one in found.lines()] == ["everyone-out", "incident-started"]
    told = hands.page.locator("[data-key=people]")
    expect(told).to_contain_text("Formed stool in Main at ")
    told.get_by_role("button", name="Told Dagny Dutyvik, duty manager").click()
    expect(told.get_by_text("Told, ")).to_be_visible()
    hands.sign_in("TT")
    found.come_back()
    expect(hands.page.locator("[data-key=end]")).to_contain_text("Call:")
    expect(hands.page.get_by_role("link", name="555-0101").first).to_be_visible()
    for missing in ("Choose this route", "Criteria met: end the incident", "False alarm"):
        expect(hands.key(missing)).to_have_count(0)
    assert AMOUNT.search(hands.words) is None
    for forbidden in ("restart the pump", "earliest", "fastest", "best", "safe"):
        assert forbidden not in hands.words.casefold()


def test_the_routes_stand_in_the_rules_own_order_each_with_its_clause_and_its_own_time(
    journey: NewJourney, hands: Tablet
) -> None:
    hands.sign_in("DD")
    found = journey("formed-stool", "main")
    found.come_back()
    found.step("people-out").locator("[data-key=done]").click()
    found.read("2.40")
    routes = hands.page.locator(".route")
    expect(routes).to_have_count(2)
    expect(routes.nth(0)).to_contain_text("not less than 2.0 mg/L for 0.5 hours s.18(2)")
    expect(routes.nth(1)).to_contain_text("any other combination")
    for place in (0, 1):
        expect(routes.nth(place)).to_contain_text(
            re.compile(r"Not before \d\d:\d\d, if the next reading holds\.")
        )
    # The second ends earlier than the first, and stands behind it all the same.
    one, other = (routes.nth(place).locator(".route-time").inner_text() for place in (0, 1))
    assert other < one
    assert hands.page.locator(".route-chosen").count() == 0
    hands.go("/record")
    expect(hands.page.locator(".line-incident-started")).to_contain_text("Formed stool")
    expect(hands.page.locator("[data-key='incident-strip']")).to_contain_text("Formed stool, Main:")


def test_a_step_is_taken_back_by_a_line_of_its_own(journey: NewJourney, hands: Tablet) -> None:
    found = journey("formed-stool", "main")
    hands.go("/")
    found.come_back()
    step = found.step("remove-it")
    step.locator("[data-key='not-needed']").click()
    expect(step).to_contain_text("Not needed: ")
    step.locator("[data-key=change]").click()
    step.locator("[data-key='not-done']").click()
    expect(step).to_contain_text("Not yet: ")
    hands.synced()
    said = [one["body"] for one in found.lines() if one["type"] == "incident-step-done"]
    assert [one["answer"] for one in said if one["step"] == "remove-it"] == [
        "not-needed",
        "not-done",
    ]


def open_one(hands: Tablet) -> None:
    """Go into the incident that is open, one that is begun where none is."""
    keys = hands.page.locator(".kind-keys .key")
    expect(keys).to_have_count(14)
    if hands.page.locator("[data-key='go-on']").count() == 0:
        hands.page.locator(".kind-keys [data-key='vomit']").click()
        hands.page.locator(".stop [data-key='main']").click()
    else:
        hands.page.locator("[data-key='go-on']").first.click()
    expect(hands.page.locator(".incident")).to_be_visible()


def test_on_a_phone_what_is_to_do_now_stands_on_the_first_screen_and_the_rest_is_one_line_each(
    journey: NewJourney, hands: Tablet
) -> None:
    hands.page.set_viewport_size({"width": 360, "height": 780})
    hands.page.goto("/")
    found = journey("formed-stool", "main")
    found.come_back()
    key = hands.page.locator(".stage-next .key").first
    expect(key).to_be_in_viewport(ratio=1)
    assert hands.page.locator(".stage:visible").count() == 1
    assert hands.page.evaluate("document.documentElement.scrollHeight") < 2_000
    # Nothing that stops is folded: what happened, which pools, and how much there is to do.
    head = hands.page.locator(".incident-head")
    for words in ("Formed stool", "Everyone out of Main and Teaching", "steps to do"):
        expect(head).to_contain_text(words)
    expect(hands.page.locator("[data-key=end] > summary")).to_contain_text("To end it: 1 of 5 met")
    unfold(hands)
    assert hands.page.locator(".stage:visible").count() == 12


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_word_is_there_and_none_is_wider_than_320_px(
    journey: NewJourney, hands: Tablet, language: str
) -> None:
    hands.page.set_viewport_size({"width": 320, "height": 700})
    hands.page.evaluate(CHOSEN, ["auto", language])
    hands.page.goto("/incidents")
    expect(hands.page.locator(".kind-keys .key")).to_have_count(14)
    assert hands.page.evaluate(WIDER) <= 0
    assert hands.page.evaluate(TOO_SMALL, SMALLEST) == []
    open_one(hands)
    assert hands.page.evaluate(WIDER) <= 0
    assert hands.page.evaluate(TOO_SMALL, SMALLEST) == []
    assert hands.page.evaluate(f"() => {PRESSED}.length") > 0


@pytest.mark.parametrize("look", LOOKS)
def test_axe_finds_no_barrier_in_an_open_incident_in_any_look(hands: Tablet, look: str) -> None:
    hands.page.set_viewport_size({"width": 412, "height": 900})
    if hands.page.locator(".who").inner_text() != "DD":
        hands.page.evaluate(CHOSEN, ["auto", "en"])
        hands.page.goto("/")
        hands.sign_in("DD")
    hands.page.evaluate(CHOSEN, [look, "en"])
    hands.page.goto("/incidents")
    open_one(hands)
    unfold(hands)
    hands.tap_key("False alarm")
    found = Axe().run(hands.page)
    assert found.violations_count == 0, found.generate_report()
    hands.page.emulate_media(forced_colors="active")
    assert hands.page.evaluate(WITHOUT_BORDER) == []
    hands.page.emulate_media(forced_colors="none")


def test_it_goes_by_keyboard_alone(hands: Tablet) -> None:
    hands.page.evaluate(CHOSEN, ["day", "en"])
    hands.page.goto("/incidents")
    page = hands.page
    page.locator(".kind-keys [data-key='injury']").focus()
    page.keyboard.press("Enter")
    page.locator(".stop [data-key='terrace']").focus()
    page.keyboard.press("Enter")
    expect(page.locator(".incident-head")).to_contain_text("Injury. Terrace")
    page.locator(".stage-next [data-key=done]").focus()
    page.keyboard.press("Space")
    page.locator("[data-key=said] > summary").focus()
    page.keyboard.press("Enter")
    expect(page.locator(".stage-done").first).to_be_visible()


def test_a_false_alarm_takes_a_reason_and_a_pin_and_deletes_nothing(
    journey: NewJourney, hands: Tablet
) -> None:
    found = journey("injury", "terrace")
    hands.sign_in("DD")
    found.come_back()
    unfold(hands)
    hands.tap_key("False alarm")
    panel = hands.page.get_by_role("region", name="False alarm")
    expect(panel.locator(".pin")).to_have_count(0)
    panel.get_by_role("button", name="Tapped by mistake").click()
    type_pin(hands, "DD")
    expect(hands.page.locator("[data-key=ended]")).to_be_visible(timeout=PATIENCE_MS)
    hands.synced()
    (ended,) = of_kind(found.lines(), "incident-ended")
    assert (ended["body"]["outcome"], ended["reason"]) == ("false-alarm", "Tapped by mistake")
    assert len(of_kind(found.lines(), "incident-started")) == 2
