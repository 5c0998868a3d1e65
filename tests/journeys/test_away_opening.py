"""05:45 and no network: who may open, on whose word, and what stands on record afterwards."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from playwright.sync_api import expect
from tests.journeys.apart import Apart
from tests.journeys.away import (
    at_the_book,
    back,
    good_round,
    lane,
    of_kind,
    ready,
    stand_once,
    type_pin,
)
from tests.journeys.conftest import NewTablet
from tests.journeys.harbour import PINS

from lanewater.service.actor import SHELL
from lanewater.service.authority import allow_telephone, give_authority


def test_a_manager_opens_with_a_pin_that_the_tablet_checks_and_it_is_on_record_once(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    tablet = new_tablet(site_apart, worker=True)
    ready(tablet, "DD")
    site_apart.kill()
    good_round(tablet)
    tablet.go("/")
    expect(lane(tablet, "Main")).to_contain_text("Against the rules: meets.")
    expect(tablet.page.locator("[data-key=not-heard]")).to_contain_text("Ask who has dosed.")
    tablet.tap_key("Open Main")
    for digit in "111222":
        tablet.page.locator(f".pin .keypad [data-key='{digit}']").click()
    tablet.page.locator("[data-key='pin-done']").click()
    expect(lane(tablet, "Main").get_by_role("alert")).to_contain_text("PIN does not fit")
    type_pin(tablet, "DD")
    opened = tablet.page.locator(".lane-open")
    expect(opened).to_contain_text("Dagny Dutyvik")
    expect(opened).to_contain_text("PIN checked on the device")
    expect(tablet.page.locator("[data-key=unsent]")).to_contain_text("2")
    tablet.load("/")
    expect(tablet.page.locator(".lane-open")).to_contain_text("Dagny Dutyvik")

    lines = back(site_apart, tablet)
    stand_once(lines, "pool-opened")
    (found,) = of_kind(lines, "pool-opened")
    assert (found["user"], found["auth"]["method"]) == ("p-manager", "pin")
    assert found["body"]["overall"] == "meets"
    rounds = [one for one in of_kind(lines, "round-recorded") if one["dev"] == found["dev"]]
    assert [one["body"]["shown"]["overall"] for one in rounds] == ["meets"]
    assert found["body"]["round"] == rounds[0]["id"]
    tablet.go("/record")
    expect(tablet.page.locator(".line-pool-opened")).to_contain_text("PIN checked on the device")


OPEN_LATE = """async ({ pin }) => {
  const { callOut, open } = await import("/static/offline/local.js");
  const { now } = await import("/static/offline/view.js");
  const drawn = now().pools.find((one) => one.pool === "main");
  await callOut("main", "glass");
  return open(drawn, { pin }).then(() => "opened", (error) => error.id);
}"""


def test_a_key_that_was_drawn_before_everyone_was_called_out_opens_nothing(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    tablet = new_tablet(site_apart, worker=True)
    ready(tablet, "DD")
    site_apart.kill()
    good_round(tablet)
    assert tablet.page.evaluate(OPEN_LATE, {"pin": PINS["DD"]}) == "opening-refused"
    lines = back(site_apart, tablet)
    stand_once(lines, "everyone-out")
    assert of_kind(lines, "pool-opened") == []


def test_a_tester_opens_on_a_word_by_telephone_until_that_person_confirms_it(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    with at_the_book(site_apart) as book:
        allow_telephone(book, SHELL, {"allowed": True})
    tablet = new_tablet(site_apart, worker=True)
    ready(tablet, "DD")
    tablet.sign_in("TT")
    site_apart.kill()
    good_round(tablet)
    tablet.go("/")
    tablet.tap_key("Open Main by telephone")
    panel = tablet.page.get_by_role("region", name="Open Main by telephone")
    expect(panel).to_contain_text("Main: Free 1.52")
    expect(panel).to_contain_text("555-0101")
    expect(panel.locator(".pin")).to_have_count(0)
    panel.get_by_role("button", name="Dagny Dutyvik says: open").click()
    type_pin(tablet, "TT")
    opened = tablet.page.locator(".lane-open")
    expect(opened).to_contain_text("on the word of Dagny Dutyvik by telephone")
    expect(opened).to_contain_text("taken by Tove Testerlund")
    expect(opened).to_contain_text("not confirmed yet")

    lines = back(site_apart, tablet)
    stand_once(lines, "pool-opened")
    assert of_kind(lines, "pool-opened")[0]["body"]["word_of"] == "p-manager"
    tablet.sign_in("DD")
    tablet.key("Confirm the opening of Main").click()
    type_pin(tablet, "DD")
    expect(tablet.page.locator(".lane-open")).to_contain_text("on the word of Dagny Dutyvik")
    expect(tablet.page.locator(".lane-open")).not_to_contain_text("not confirmed yet")
    stand_once(site_apart.lines(), "pool-opened", "opening-confirmed")


def test_a_tester_opens_by_standing_permission_where_every_reading_meets(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    now = datetime.now(UTC)
    with at_the_book(site_apart) as book:
        given = {
            "person": "p-tester",
            "pools": ["main"],
            "from": (now - timedelta(hours=1)).isoformat(),
            "until": (now + timedelta(days=2)).isoformat(),
        }
        give_authority(book, SHELL, given)
    tablet = new_tablet(site_apart, worker=True)
    ready(tablet, "TT")
    site_apart.kill()
    expect(tablet.key("Open Main")).to_have_count(0)
    good_round(tablet)
    good_round(tablet, "Teaching")
    tablet.go("/")
    expect(tablet.key("Open Teaching")).to_have_count(0)
    tablet.tap_key("Open Main")
    expect(tablet.page.get_by_text("by standing permission, because every")).to_be_visible()
    type_pin(tablet, "TT")
    expect(tablet.page.locator(".lane-open")).to_contain_text("by standing permission")
    lines = back(site_apart, tablet)
    stand_once(lines, "pool-opened")
    (given_line,) = of_kind(lines, "standing-authority-given")
    assert of_kind(lines, "pool-opened")[0]["body"]["standing"] == given_line["id"]


def test_where_nobody_here_may_open_the_page_says_whom_to_call_and_what_to_say(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    tablet = new_tablet(site_apart, worker=True)
    ready(tablet, "TT")
    site_apart.kill()
    good_round(tablet)
    tablet.go("/")
    call = tablet.page.locator("[data-key=who-opens]")
    expect(call).to_contain_text("Nobody here may open Main")
    expect(call).to_contain_text("Dagny Dutyvik")
    expect(call.get_by_role("link", name="555-0101")).to_be_visible()
    call.get_by_text("What to say").click()
    expect(call.locator(".say").first).to_contain_text("Main: Free 1.52, Total 1.68, pH 7.43")
    for key in ("Open Main", "Open Main by telephone", "Close Main"):
        expect(tablet.key(key)).to_have_count(0)
    expect(lane(tablet, "Main")).to_contain_text("NOT OPEN")
    assert of_kind(back(site_apart, tablet), "pool-opened") == []


def test_a_manager_closes_alone_and_a_stop_is_called_and_ended_alone(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    tablet = new_tablet(site_apart, worker=True)
    ready(tablet, "DD")
    site_apart.kill()
    tablet.go("/out?pool=main&stop=glass")
    tablet.tap_key("Everyone is out")
    expect(tablet.page.get_by_role("status")).to_contain_text("Saved ")
    expect(tablet.page.locator("[data-key=on-record]")).to_contain_text("Not sent yet")
    tablet.go("/")
    expect(lane(tablet, "Main")).to_contain_text("EVERYONE OUT since")
    tablet.tap_key("End the house stop of Main")
    tablet.tap_key("Cleaned up and tested")
    type_pin(tablet, "DD")
    expect(tablet.page.locator(".lane-everyone-out")).to_have_count(0)
    expect(lane(tablet, "Main")).to_contain_text("CLOSED since")
    good_round(tablet)
    tablet.go("/")
    tablet.tap_key("Open Main")
    type_pin(tablet, "DD")
    expect(tablet.page.locator(".lane-open")).to_be_visible()
    tablet.tap_key("Close Main")
    panel = tablet.page.get_by_role("region", name="Close Main")
    panel.get_by_role("button", name="Shut (hours)").click()
    panel.get_by_role("button", name="Close Main").click()
    expect(lane(tablet, "Main")).to_contain_text("SHUT (hours)")

    lines = back(site_apart, tablet)
    stand_once(lines, "everyone-out", "house-stop-ended", "pool-opened", "pool-closed")
    assert of_kind(lines, "house-stop-ended")[0]["reason"] == "Cleaned up and tested"
    tablet.load("/")
    expect(lane(tablet, "Main")).to_contain_text("SHUT (hours)")
