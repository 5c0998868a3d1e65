"""What to add, worked out on a tablet that hears of nobody: for the competent, on record once."""

from __future__ import annotations

from playwright.sync_api import expect
from tests.journeys.apart import Apart
from tests.journeys.away import at_the_book, back, lane, of_kind, ready, stand_once
from tests.journeys.conftest import NewTablet
from tests.journeys.harbour import LOW, TESTER
from tests.journeys.tablet import Tablet

from lanewater.service.rounds import record_round


def low_round(tablet: Tablet) -> None:
    """Test Main with free under the rules, and save it on the tablet."""
    tablet.look("Main")
    tablet.test("062", "743", "078")
    tablet.save("Main", sent=False)


def test_an_operator_gets_an_amount_alone_and_all_of_it_is_on_record_once(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    with at_the_book(site_apart) as book:
        for pool in ("main", "teaching"):
            record_round(book, TESTER, {"pool": pool, "readings": LOW})
    tablet = new_tablet(site_apart, worker=True)
    ready(tablet, "OP")
    site_apart.kill()
    low_round(tablet)
    expect(tablet.page.locator(".against")).to_have_text("Against the rules: does not meet.")
    assert "Hypo" not in tablet.words
    tablet.answer_the_questions()
    expect(tablet.page.get_by_text("of Hypo 12 %, in the blue jug", exact=False)).to_be_visible()
    expect(tablet.page.locator("[data-key=not-heard]")).to_contain_text("Ask who has dosed.")
    expect(tablet.page.get_by_text("Worked out on this device")).to_be_visible()
    tablet.tap_key("Adding it now")
    expect(tablet.page.get_by_text("Adding: shown on every device")).to_be_visible()
    tablet.tap_key("Added")
    expect(tablet.page.locator("[data-key=answered]")).to_contain_text("OP. Wait, then test")
    tablet.go("/")
    expect(lane(tablet, "Main")).to_contain_text("What was added is mixing until")
    expect(lane(tablet, "Teaching")).to_contain_text("Same filter, Main")

    lines = back(site_apart, tablet)
    stand_once(lines, "advice-given", "addition-started", "addition-answered")
    (advice,), (started,), (answered,) = (
        of_kind(lines, kind) for kind in ("advice-given", "addition-started", "addition-answered")
    )
    assert (advice["user"], advice["auth"]["method"]) == ("p-operator", "pin")
    assert started["body"]["advice"] == advice["id"]
    assert answered["body"]["addition"] == started["id"]
    assert float(advice["body"]["low"]) <= float(advice["body"]["high"])
    assert started["body"]["amount"] == advice["body"]["amount"]
    tablet.load("/")
    expect(lane(tablet, "Main")).to_contain_text("What was added is mixing until")


def test_a_tester_alone_is_told_whom_to_call_and_reads_no_digit_of_an_amount(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    with at_the_book(site_apart) as book:
        record_round(book, TESTER, {"pool": "main", "readings": LOW})
    tablet = new_tablet(site_apart, worker=True)
    ready(tablet, "TT")
    site_apart.kill()
    low_round(tablet)
    tablet.tap(tablet.key("Told Dagny Dutyvik, duty manager"))
    expect(tablet.page.get_by_text("Told, ")).to_be_visible()
    for word in (" mL", "Hypo", "blue jug", "What to add"):
        assert word not in tablet.words
    lines = back(site_apart, tablet)
    stand_once(lines, "told")
    assert of_kind(lines, "advice-given") == []
