"""What somebody begins before an earlier tap is answered stays theirs: no answer takes it away."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import expect
from tests.journeys.away import lane
from tests.journeys.conftest import Served
from tests.journeys.harbour import GOOD, TESTER, today
from tests.journeys.tablet import Tablet

from lanewater.service.actor import ANYBODY
from lanewater.service.incidents import start_incident
from lanewater.service.rounds import record_round

# Another tab writes: whatever this one says waits for the device's own sequence.
HOLD = """() => new Promise((held) => {
  navigator.locks.request("lanewater.chain", () => {
    held();
    return new Promise((done) => { window.letGo = done; });
  });
})"""
# What was waiting is on disk once the lock is had behind it, and answered a turn later.
LET_GO = """async () => {
  window.letGo();
  await navigator.locks.request("lanewater.chain", () => null);
  const { renew } = await import("/static/offline/view.js");
  await renew();
  await new Promise((done) => setTimeout(done));
}"""


@contextmanager
def answers_held(tablet: Tablet) -> Iterator[None]:
    """Let what is tapped wait for its answer until the end."""
    tablet.page.evaluate(HOLD)
    yield
    tablet.page.evaluate(LET_GO)
    tablet.synced()


def test_a_sample_is_said_to_be_saved_on_its_own_form_alone(tablet: Tablet) -> None:
    tablet.sign_in("DD")
    tablet.go("/sample?pool=main")
    tablet.page.locator("[data-key=e_coli] input").fill("0")
    tablet.page.locator("[data-key=day] input").fill(today(-3))
    tablet.page.locator("[data-key=time] input").fill("08:00")
    with answers_held(tablet):
        tablet.page.locator("[data-key=save]").click()
        tablet.go("/sample?pool=teaching")
        expect(tablet.page.locator("h1").first).to_contain_text("Teaching")
    expect(tablet.page.locator("[data-key=e_coli] input")).to_be_visible()
    expect(tablet.page.locator(".saved")).to_have_count(0)


def test_everyone_out_is_said_to_be_saved_of_the_pool_that_it_was_saved_of(tablet: Tablet) -> None:
    tablet.sign_in("TT")
    tablet.go("/out")
    said = tablet.page.locator("[data-key=after] > .saved")
    with answers_held(tablet):
        tablet.tap_key("Everyone out: Main")
        expect(said).to_contain_text("Saving")
        tablet.go("/out?pool=terrace")
        expect(tablet.page.locator("[data-key=confirm]")).to_be_visible()
    with answers_held(tablet):
        tablet.page.locator("[data-key=everyone]").click()
        expect(said).to_contain_text("Saving")
        expect(said).not_to_contain_text("Saved ")
    expect(said).to_contain_text("Saved ")


def test_a_panel_of_a_closing_stays_open_when_the_answer_to_another_key_comes(
    site: Served, tablet: Tablet
) -> None:
    record_round(site.book, TESTER, {"pool": "main", "readings": GOOD})
    tablet.sign_in("DD")
    main = lane(tablet, "Main")
    tablet.tap_key("Close Main")
    main.locator("[data-key=closed]").click()
    main.locator("[data-key=plant]").click()
    main.locator("[data-key=close-now]").click()
    expect(main).to_contain_text("Closed by your own decision")
    with answers_held(tablet):
        main.locator("[data-key=posted]").click()
        main.locator("[data-key=notify]").click()
        main.locator(".closure [data-key=authority] input").fill("Health office")
    expect(main.locator("[data-key=posted]")).to_have_count(0)
    expect(main.locator(".closure [data-key=authority] input")).to_have_value("Health office")


def test_a_step_that_is_being_changed_stays_open_when_another_one_is_answered(
    tablet: Tablet,
) -> None:
    tablet.sign_in("DD")
    tablet.go("/incidents")
    tablet.page.locator(".kind-keys [data-key='glass']").click()
    tablet.page.locator(".stop [data-key='main']").click()
    out = tablet.page.locator(".stage[data-key='people-out']")
    out.locator("[data-key=done]").click()
    tablet.page.locator("[data-key=said] > summary").click()
    with answers_held(tablet):
        tablet.page.locator(".stage-next [data-key=done]").click()
        out.locator("[data-key=change]").click()
        expect(out.locator("[data-key='not-done']")).to_be_visible()
    expect(tablet.page.locator(".stage-done")).to_have_count(2)
    expect(out.locator("[data-key='not-done']")).to_be_visible()


def test_what_is_half_typed_stays_when_the_network_is_lost_and_when_an_incident_begins_elsewhere(
    site: Served, tablet: Tablet
) -> None:
    tablet.sign_in("DD")
    tablet.go("/sample?pool=main")
    field = tablet.page.locator("[data-key=e_coli] input")
    field.press_sequentially("12")
    kept = field.element_handle()
    with tablet.page.expect_request("**/api/v1/me"):
        tablet.page.route("**/api/**", lambda route: route.abort())
        tablet.page.evaluate("dispatchEvent(new Event('online'))")
    expect(tablet.page.locator(".warning").first).to_contain_text("No answer from the server")
    expect(field).to_have_value("12")
    expect(field).to_be_focused()
    tablet.page.unroute("**/api/**")
    start_incident(site.book, ANYBODY, {"kind": "glass", "pool": "terrace"})
    tablet.page.evaluate("dispatchEvent(new Event('online'))")
    expect(tablet.page.locator(".incident-strip")).to_contain_text("Glass, Terrace")
    expect(field).to_have_value("12")
    expect(field).to_be_focused()
    assert tablet.page.evaluate("(kept) => kept.isConnected", kept)
