"""The Water page: the index in a sentence, what comes first, charts with their numbers."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Locator, Page, expect
from tests.journeys.conftest import Made, Served, served
from tests.journeys.harbour import GOOD, LOW, MINUTE_MS, TESTER
from tests.journeys.tablet import Tablet
from tests.journeys.test_pages import SMALLEST, TOO_SMALL, WIDER

from lanewater.service.actor import ANYBODY
from lanewater.service.additions import answer_addition
from lanewater.service.clock import instant_text
from lanewater.service.rounds import record_round

HOUR = 60
# A page hears of its new size with the next frame, before that frame is drawn.
DRAWN = "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"
WHOLE = {"total_alkalinity": "95", "calcium_hardness": "180"}
NewTablet = Callable[..., Tablet]


def read(site: Served, pool: str, minutes_ago: int, **readings: str) -> None:
    """Record a round of some time ago."""
    at = instant_text(site.book.clock() - minutes_ago * MINUTE_MS)
    record_round(site.book, TESTER, {"pool": pool, "readings": GOOD | readings, "at": at})


def lane(page: Page, pool: str) -> Locator:
    """Find a pool's lane."""
    return page.locator(".lane").filter(has=page.get_by_role("heading", name=pool, exact=True))


def opened(tablet: Tablet, path: str = "/water") -> Page:
    """Open the page and wait for what it asked for."""
    tablet.load(path)
    tablet.page.wait_for_load_state("networkidle")
    return tablet.page


@pytest.fixture(scope="module")
def weeks(harbour_made: Made, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The harbour baths after two weeks: a gap, an addition, a low round, one over range."""
    making = served(harbour_made, tmp_path_factory.mktemp("weeks"))
    site = next(making)
    for day in (13, 12, 11, 6, 5, 4, 3, 2, 1):
        for hour, free in ((2, "1.52"), (8, "1.31")):
            low = (
                {"free_chlorine": "0.62", "total_chlorine": "0.79"} if (day, hour) == (4, 8) else {}
            )
            values = {"free_chlorine": free, "ph": "7.43"} | (WHOLE if hour == 2 else {}) | low
            read(site, "main", (day * 24 - hour) * HOUR, **values)
    given = {"pool": "teaching", "product": "hypo", "amount": "1.234", "unit": "L"}
    answer_addition(site.book, ANYBODY, {**given, "answer": "added"})
    read(site, "main", 4, **WHOLE)
    read(site, "terrace", 3, **WHOLE)
    yield site
    for _ in making:
        pass


@pytest.fixture(scope="module")
def desk(chromium: Browser, weeks: Served) -> Iterator[Tablet]:
    """One browser that only looks; the policy is bypassed to let axe in."""
    context = chromium.new_context(base_url=weeks.address, bypass_csp=True)
    tablet = Tablet(context.new_page(), weeks.first_key)
    tablet.enrol()
    tablet.sign_in("TT")
    yield tablet
    assert tablet.errors == []
    context.close()


def test_water_is_reached_from_every_page_and_asks_to_sign_in(tablet: Tablet) -> None:
    tablet.page.get_by_role("navigation", name="Pages").get_by_role("link", name="Water").click()
    expect(tablet.page).to_have_title(re.compile("^Water "))
    expect(tablet.page.locator("main")).to_contain_text("Sign in first.")
    tablet.tap_link("Sign in")
    expect(tablet.page).to_have_title(re.compile("^Who are you"))


def test_a_lane_says_the_index_its_band_what_it_rests_on_and_what_comes_first(
    desk: Tablet,
) -> None:
    words = lane(opened(desk), "Main").inner_text()
    assert re.search(r"Saturation index -?\d\.\d, between -?\d\.\d and -?\d\.\d:", words)
    assert "First:" in words
    assert re.search(r"pH 7\.43 ± 0\.\d+, \d\d:\d\d, \d+ min old\.", words)
    assert "To narrow it, repeat" in words
    assert "The handbook's table says" in words
    assert re.search(r"HOCl\), an estimate: [\d.]+ to [\d.]+ mg/L", words)


def test_what_is_missing_is_named_with_how_to_get_it(desk: Tablet) -> None:
    words = lane(opened(desk), "Terrace").inner_text()
    assert "No saturation index yet. Missing:" in words
    assert "Cyanuric acid (stabiliser): never read here." in words
    assert "under More, “More readings”" in words
    teaching = lane(desk.page, "Teaching").inner_text()
    assert "Temperature: never read here. Read it at the poolside, on the Look page." in teaching
    assert "Balanced" not in teaching + words


def test_older_values_say_of_which_round_they_are(site: Served, tablet: Tablet) -> None:
    read(site, "main", 3)
    tablet.sign_in("TT")
    words = lane(opened(tablet), "Main").inner_text()
    older = r"Alkalinity 95 ± \d+ mg/L as CaCO₃, of an earlier round: .*, \d h old\."
    assert re.search(older, words)
    assert re.search(r"Calcium 180 ± \d+ mg/L as CaCO₃, of an earlier round", words)


@pytest.mark.parametrize(
    ("readings", "said"),
    [
        ({"ph": "7.91"}, "First: pH. It does not meet the rules."),
        ({"free_chlorine": "0.62", "total_chlorine": "0.78"}, "does not meet them: Free chlorine."),
        ({"total_chlorine": "1.20"}, "First: a round that can be judged."),
    ],
)
def test_nothing_is_called_balanced_while_the_round_fails_or_is_not_judged(
    site: Served, tablet: Tablet, readings: dict[str, str], said: str
) -> None:
    for minutes in (9, 3):
        read(site, "main", minutes, **WHOLE, **readings)
    tablet.sign_in("TT")
    words = lane(opened(tablet), "Main").inner_text()
    assert said in words
    assert "Balanced" not in words
    if "not meet" in said:
        assert words.index(said) < words.index("Saturation index")


def test_the_rest_is_folded_away_and_opened_by_keyboard(desk: Tablet) -> None:
    page = opened(desk)
    more = lane(page, "Main").locator("summary")
    expect(lane(page, "Main").get_by_text("CCPP:", exact=False)).to_be_hidden()
    more.focus()
    page.keyboard.press("Enter")
    expect(lane(page, "Main").get_by_text("CCPP:", exact=False)).to_be_visible()
    expect(lane(page, "Main").get_by_text("Buffer:", exact=False)).to_be_visible()


def test_no_amount_and_no_product_comes_over_the_wire(desk: Tablet) -> None:
    desk.answers.clear()
    desk.listen()
    opened(desk, "/water?pool=main")
    text = " ".join(desk.answers)
    assert '"events"' in text
    assert "1.234" not in text
    assert "Hypo" not in text


def test_a_chart_tells_what_it_shows_and_has_its_numbers_beneath(desk: Tablet) -> None:
    page = opened(desk, "/water?pool=main")
    chart = page.get_by_role("img", name="Free chlorine", exact=False)
    label = chart.get_attribute("aria-label") or ""
    assert "20 readings, 0.62 to 1.52." in label
    assert "Past a limit of the rules then: 1." in label
    assert "Long times without a reading: 1." in label
    summary = page.get_by_text("The numbers of Free chlorine: 20")
    summary.first.focus()
    page.keyboard.press("Enter")
    table = page.get_by_role("table", name="The numbers of Free chlorine: 20")
    expect(table).to_be_visible()
    expect(table.get_by_role("row")).to_have_count(21)
    low = table.get_by_role("row").filter(has_text="0.62")
    expect(low).to_contain_text("past the limit")
    expect(low).to_contain_text("0.8 to 2.0")
    expect(table).to_contain_text("long time without a reading before it")


def test_a_chart_draws_limits_gaps_openings_and_what_was_added(desk: Tablet) -> None:
    page = opened(desk, "/water?pool=main")
    chart = page.get_by_role("img", name="Free chlorine", exact=False)
    expect(chart.locator(".limit")).to_have_count(2)
    expect(chart.get_by_text("at least 0.8")).to_have_count(1)
    expect(chart.get_by_text("at most 2.0")).to_have_count(1)
    expect(chart.locator(".no-reading")).to_have_count(1)
    expect(chart.locator(".event")).to_have_count(1)
    course = chart.locator("path.course").get_attribute("d") or ""
    # The pen is lifted over the gap: two courses, no line through days nobody tested.
    assert course.count("M") == 2
    page.get_by_text("What happened: 1").first.click()
    expect(page.get_by_role("table", name="What happened")).to_contain_text(
        "Same filter, Teaching: Something was added."
    )


def test_a_longer_time_is_one_key_away_and_a_row_is_then_a_day(desk: Tablet) -> None:
    page = opened(desk, "/water?pool=main")
    page.get_by_role("button", name="90 days").click()
    chart = page.get_by_role("img", name="Free chlorine", exact=False)
    expect(chart).to_have_attribute("aria-label", re.compile("days with readings"))
    expect(page.get_by_role("button", name="90 days")).to_have_attribute("aria-pressed", "true")


@pytest.mark.parametrize("path", ["/water", "/water?pool=main"])
def test_the_page_has_no_barrier_and_never_scrolls_sideways(desk: Tablet, path: str) -> None:
    page = opened(desk, path)
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true })")
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    for width in (320, 360, 768, 1280):
        page.set_viewport_size({"width": width, "height": 800})
        page.evaluate(DRAWN)
        assert page.evaluate(WIDER) <= 0, width
        assert page.evaluate(TOO_SMALL, SMALLEST) == [], width
        for box in page.locator(".chart").all():
            shown: Any = box.bounding_box()
            assert shown["x"] + shown["width"] <= width


def test_forced_colours_keep_every_line_of_a_chart_in_one_ink(
    chromium: Browser, weeks: Served, desk: Tablet
) -> None:
    context = chromium.new_context(
        base_url=weeks.address,
        forced_colors="active",
        color_scheme="dark",
        storage_state=desk.page.context.storage_state(),
    )
    page = context.new_page()
    page.goto("/water?pool=main")
    expect(page.locator(".chart").first).to_be_visible()
    inks = page.evaluate(
        """() => ["course", "limit", "event", "tick"].map((name) =>
          getComputedStyle(document.querySelector(`.chart .${name}`)).stroke)"""
    )
    paper = page.evaluate(
        "() => getComputedStyle(document.querySelector('.chart')).backgroundColor"
    )
    assert len(set(inks)) == 1
    assert inks[0] != paper
    context.close()


def test_without_the_server_the_page_says_so(desk: Tablet) -> None:
    page = opened(desk)
    desk.page.context.set_offline(True)
    desk.page.get_by_role("link", name="Trends of Main").click()
    expect(page.get_by_text("No answer from the server.", exact=False).first).to_be_visible()
    desk.page.context.set_offline(False)


QUESTIONS = (
    ("Is everybody out of the water?", "Yes, out"),
    ("Is the pump running?", "Yes, running"),
    ("Has anyone added anything since the reading?", "No, nothing"),
    ("Have you looked at the feeder, its tank and the controller?", "Yes, all three"),
    ("Which water does it go into?", "The whole filter, through the plant"),
)


@pytest.mark.parametrize("initials", ["TT", "DD", "AA"])
def test_who_may_not_dose_is_offered_no_plan(site: Served, tablet: Tablet, initials: str) -> None:
    record_round(site.book, TESTER, {"pool": "main", "readings": LOW})
    tablet.sign_in(initials)
    opened(tablet)
    expect(tablet.page.get_by_role("button", name="Plan for this water")).to_have_count(0)


def test_a_plan_asks_the_four_questions_and_gives_no_amount_for_now(
    site: Served, tablet: Tablet
) -> None:
    for _ in range(2):
        for pool in ("main", "teaching"):
            record_round(site.book, TESTER, {"pool": pool, "readings": LOW})
    tablet.sign_in("OP")
    page = opened(tablet)
    tablet.tap(page.get_by_role("button", name="Plan for this water: Main"))
    panel = page.get_by_role("region", name="Plan for this water: Main")
    expect(panel).to_contain_text("Add nothing from this list.")
    show = panel.get_by_role("button", name="Show the plan")
    expect(show).to_be_disabled()
    tablet.listen()
    for question, told in QUESTIONS:
        tablet.choose(question, told)
    expect(panel).to_contain_text("Raise chlorine: Hypo 12 %. Its amount comes from What to add")
    assert re.search(r"\d (mL|L|g|kg) of", panel.inner_text()) is None
    assert not any('"advice"' in answer for answer in tablet.answers)
    assert site.book.state.advices == {}
    assert page.evaluate(WIDER) <= 0


def test_a_plan_stays_on_no_shared_tablet(site: Served, tablet: Tablet) -> None:
    record_round(site.book, TESTER, {"pool": "main", "readings": LOW})
    tablet.sign_in("OP")
    page = opened(tablet)
    tablet.tap(page.get_by_role("button", name="Plan for this water: Main"))
    for question, told in QUESTIONS:
        tablet.choose(question, told)
    expect(page.get_by_role("region", name="Plan for this water: Main")).to_contain_text("plan")
    tablet.go("/")
    tablet.go("/water")
    expect(page.get_by_role("button", name="Plan for this water: Main")).to_be_visible()
    expect(page.get_by_role("region", name="Plan for this water: Main")).to_have_count(0)


def test_a_plan_is_refused_by_name(site: Served, tablet: Tablet) -> None:
    record_round(site.book, TESTER, {"pool": "main", "readings": LOW})
    tablet.sign_in("OP")
    page = opened(tablet)
    tablet.tap(page.get_by_role("button", name="Plan for this water: Main"))
    for question, told in (("Is everybody out of the water?", "No, people are in"), *QUESTIONS[1:]):
        tablet.choose(question, told)
    expect(page.get_by_role("region", name="Plan for this water: Main")).to_contain_text(
        "In the way"
    )


def test_combined_over_its_limit_asks_first_and_tells_no_amount(
    site: Served, tablet: Tablet
) -> None:
    for minutes in (9, 3):
        read(site, "main", minutes, **WHOLE, total_chlorine="2.60")
    tablet.sign_in("TT")
    page = opened(tablet)
    block = page.get_by_role("region", name="Combined chlorine over its limit")
    expect(block).to_have_count(1)
    expect(block).to_contain_text("One question comes first.")
    tablet.choose("Was a chlorine-free oxidiser (monopersulfate) used in the last days?", "No")
    expect(block).to_contain_text("Combined 1.08 mg/L, at most 0.50.")
    expect(block).to_contain_text("It is not known what it is made of.")
    tablet.choose("Did many people bathe just before?", "Yes")
    expect(block).to_contain_text("already enough to take it away")
    expect(block).to_contain_text("“Ten times combined” is a misreading.")
    assert re.search(r"\d (mL|L|g|kg)\b", block.inner_text().replace("mg/L", "")) is None
    tablet.choose("Was a chlorine-free oxidiser (monopersulfate) used in the last days?", "Yes")
    expect(block).to_contain_text("Monopersulfate reads as combined chlorine.")
    found = page.evaluate(WIDER)
    assert found <= 0
