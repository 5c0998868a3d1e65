"""What is asked last counts: of the server, whether it can be reached; of the device, to send."""

from __future__ import annotations

from playwright.sync_api import Route, expect
from tests.journeys.tablet import Tablet

ASK = """async (path) => {
  const { get } = await import("/static/ground/api.js");
  await get(path).catch(() => null);
}"""
BEGIN = """async (path) => {
  const { get } = await import("/static/ground/api.js");
  window.early = get(path).then(() => "answered", () => "lost");
}"""

# Nothing waits: a flush counts once, finds nothing to send, counts again and is over.
ASK_AT_THE_END = """async () => {
  const { flush, onChange } = await import("/static/offline/sync.js");
  await flush();
  const counted = [];
  onChange(() => {
    counted.push(Date.now());
    if (counted.length === 2) flush();
  });
  await flush();
  for (let tries = 0; counted.length < 4 && tries < 50; tries += 1) {
    await new Promise((then) => setTimeout(then, 20));
  }
  return counted.length;
}"""


def test_a_late_answer_to_what_was_asked_before_the_loss_does_not_say_the_server_is_back(
    tablet: Tablet,
) -> None:
    tablet.sign_in("TT")
    tablet.load("/sign-in")
    page = tablet.page
    held: list[Route] = []

    def hold(route: Route) -> None:
        held.append(route)

    page.route("**/api/v1/people?early=1", hold)
    page.evaluate(BEGIN, "/people?early=1")
    for _ in range(500):
        if held:
            break
        page.wait_for_timeout(20)
    # From here nothing that the page asks by itself is answered.
    page.route("**/api/v1/**", lambda route: route.abort())
    page.evaluate(ASK, "/people?lost=1")
    away = page.locator("body[data-offline='yes']")
    expect(away).to_be_attached()
    held[0].continue_()
    assert page.evaluate("window.early") == "answered"
    expect(away).to_be_attached()
    page.unroute("**/api/v1/**")
    page.evaluate(ASK, "/people?back=1")
    expect(page.locator("body[data-offline='no']")).to_be_attached()


def test_what_is_asked_for_while_a_sending_ends_is_sent_by_another(tablet: Tablet) -> None:
    tablet.sign_in("TT")
    tablet.load("/sign-in")
    expect(tablet.page.locator("body[data-unsent='0']")).to_be_attached()
    assert tablet.page.evaluate(ASK_AT_THE_END) >= 4
