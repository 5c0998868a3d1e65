"""An incident from its first tap to the reopening: the same way for every kind, on one tablet.

Server and tablet go by one clock that a journey sets on, so that hours of contact time take none.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from playwright.sync_api import Locator, expect
from tests.journeys.apart import lines_on_disk
from tests.journeys.away import lane, of_kind, type_pin
from tests.journeys.conftest import Served
from tests.journeys.tablet import Tablet

from lanewater.kernel.deciding.incidentkinds import INCIDENTS
from lanewater.service.clock import MINUTE_MS, system_clock

NAMES = {"main": "Main", "teaching": "Teaching", "terrace": "Terrace"}
POINTS = ("shallow end", "deep end")
LONGEST = 40
# A PIN is stretched on the tablet itself; on a busy machine that takes its time.
PATIENCE_MS = 20_000
# Said as the tablet's own bench says it: the taps of a round are tested elsewhere.
SAY_ROUND = """async ({ pool, readings }) => {
  const { fact } = await import("/static/offline/local.js");
  const { whoIsHere } = await import("/static/offline/who.js");
  const { redraw } = await import("/static/ground/store.js");
  const at = new Date().toISOString();
  const { person } = whoIsHere();
  const tester = person ? { person } : { unlisted: true };
  const timed = readings.map((one) => ({ ...one, at }));
  const body = { pool, source: "direct", tester, readings: timed };
  await fact("round-recorded", body, { at }, () => { throw new Error("no outbox"); });
  redraw();
}"""


@dataclass
class Tide:
    """The clock of a house, which a journey sets on."""

    ahead_ms: int = 0

    def __call__(self) -> int:
        """Give the time. [UTC ms]"""
        return system_clock() + self.ahead_ms


def of_the_water(free: str, ph: str = "7.43", dilution: int = 1) -> list[dict[str, Any]]:
    """Give a test at two points; chlorine may be read in a diluted sample."""
    found: list[dict[str, Any]] = [
        {"parameter": "clarity", "value": "visible"},
        {"parameter": "temperature_c", "value": "28.4"},
    ]
    for point in POINTS:
        told = {"point": point, "kit": "photo-1"}
        chlorine = told | ({"dilution": dilution} if dilution > 1 else {})
        found.append({"parameter": "free_chlorine", "value": free} | chlorine)
        # At an incident's level free alone is titrated.
        if dilution == 1:
            found.append({"parameter": "total_chlorine", "value": free} | chlorine)
        found.append({"parameter": "ph", "value": ph} | told)
    return found


@dataclass
class Journey:
    """One incident in one pool, on a tablet that may be alone."""

    site: Served
    tide: Tide
    tablet: Tablet
    kind: str
    pool: str
    before: int = 0
    done: list[str] = field(default_factory=list)

    # --- The house ----------------------------------------------------------------------------

    @contextmanager
    def alone(self) -> Iterator[None]:
        """Lose the server, and find it again."""
        self.tablet.page.route("**/api/**", lambda route: route.abort())
        try:
            yield
        finally:
            self.tablet.page.unroute("**/api/**")
        self.tablet.page.evaluate("dispatchEvent(new Event('online'))")
        self.tablet.synced()

    def wait(self, minutes: int) -> None:
        """Let time pass for server and tablet; who was signed in comes back to it."""
        self.left_alone(minutes)
        self.taken_up()

    def pass_by(self, span_ms: int) -> None:
        """Set the clock of server and tablet on."""
        self.tide.ahead_ms += span_ms
        self.tablet.page.clock.fast_forward(span_ms)

    def left_alone(self, minutes: int = 6) -> None:
        """Let so much time pass that the tablet locks itself."""
        self.pass_by(minutes * MINUTE_MS)
        expect(self.tablet.page.get_by_role("heading", name="Who are you?")).to_be_visible()

    def taken_up(self) -> None:
        """Sign in, and go on with the incident."""
        self.tablet.sign_in("DD")
        self.come_back()

    def come_back(self) -> None:
        """Open the incident from the pool's lane on Now."""
        here = lane(self.tablet, NAMES[self.pool]).locator(".lane-incident").get_by_role("link")
        here.first.click()
        expect(self.tablet.page.locator(".incident")).to_be_visible()

    def read(self, free: str, ph: str = "7.43", dilution: int = 1) -> None:
        """Test every pool that the incident stops, at two points."""
        # Readings are timed to the second: nobody reads in the second in which it began.
        self.pass_by(2_000)
        for pool in self.pools:
            said = {"pool": pool, "readings": of_the_water(free, ph, dilution)}
            self.tablet.page.evaluate(SAY_ROUND, said)

    @property
    def pools(self) -> list[str]:
        """Give the pools that the kind stops."""
        scope = INCIDENTS[self.kind]["scope"]
        if scope == "site":
            others = list(NAMES)
        elif scope == "circuit" and self.pool in ("main", "teaching"):
            others = ["main", "teaching"]
        else:
            others = [self.pool]
        return [self.pool, *[one for one in others if one != self.pool]]

    # --- The page -----------------------------------------------------------------------------

    def begin(self) -> None:
        """Begin it from the navigation, signed in or not: two taps on the page."""
        self.before = len(lines_on_disk(self.site.folder))
        self.tablet.page.get_by_role("link", name="Incidents", exact=True).click()
        self.tablet.taps = 0
        self.tablet.tap(self.tablet.page.locator(f".kind-keys [data-key='{self.kind}']"))
        self.tablet.tap(self.tablet.page.locator(f".stop [data-key='{self.pool}']"))
        self.begun()
        assert self.tablet.taps == 2

    def begin_from_out(self) -> None:
        """Call everyone out, then say what happened."""
        self.before = len(lines_on_disk(self.site.folder))
        self.tablet.go("/out")
        self.tablet.tap_key(f"Everyone out: {NAMES[self.pool]}")
        self.tablet.tap(self.tablet.page.locator(f".kind-keys [data-key='{self.kind}']"))
        self.begun()

    def begun(self) -> None:
        """Hold what is shown to what began: all are out, and the pools beside it are looked at."""
        head = self.tablet.page.locator(".incident-head")
        expect(head.get_by_role("status")).to_contain_text("Saved ")
        expect(head).to_contain_text("Everyone out of")
        for pool in self.pools[1:]:
            expect(head).to_contain_text(f"{NAMES[pool]}: look now. Is everyone out?")

    def step(self, identity: str) -> Locator:
        """Find a step."""
        return self.tablet.page.locator(f".stage[data-key='{identity}']")

    def walk(self, measured: dict[str, Callable[[], None]]) -> list[str]:
        """Go through the steps as the page offers them; give them in the order they were begun."""
        for _ in range(LONGEST):
            following = self.tablet.page.locator(".stage-next")
            if following.count() == 0:
                break
            identity = following.get_attribute("data-key") or ""
            self.take(identity, measured)
            # A reading that the rules do not judge may ask for a named person's words first.
            offered = self.tablet.page.locator(f".stage-next[data-key='{identity}']")
            expect(offered).to_have_count(0, timeout=PATIENCE_MS)
            if identity not in self.done:
                self.done.append(identity)
        expect(self.tablet.page.locator(".stage-to-do, .stage-locked")).to_have_count(0)
        return self.done

    def take(self, identity: str, measured: dict[str, Callable[[], None]]) -> None:
        """Do one step: one tap, a named person's words, or what is measured."""
        step = self.step(identity)
        if identity in measured:
            measured[identity]()
            return
        field = step.get_by_role("textbox")
        if field.count():
            field.fill("Looked at all of it myself")
        step.locator("[data-key=done]").click()

    def choose(self, route: str) -> None:
        """Choose one of the rules' routes, with a PIN."""
        row = self.tablet.page.locator(f".route[data-key='{route}']")
        row.locator("[data-key=choose]").click()
        type_pin(self.tablet, "DD")
        chosen = self.tablet.page.locator(f".route-chosen[data-key='{route}']")
        expect(chosen).to_be_attached(timeout=PATIENCE_MS)
        # On a phone the routes fold away once one is chosen; the clock says which, and by whom.
        shown = self.tablet.page.locator("[data-key=clock] [data-key=chosen]")
        expect(shown).to_contain_text("Chosen ")
        expect(shown).to_be_visible()

    def end(self) -> None:
        """End it: all is met, somebody who may says so with a PIN; the pool is closed still."""
        self.tablet.tap_key("Criteria met: end the incident")
        type_pin(self.tablet, "DD")
        ended = self.tablet.page.locator("[data-key=ended]")
        expect(ended).to_contain_text("still closed", timeout=PATIENCE_MS)

    def reopen(self) -> None:
        """Test, and open the pool on Now, which the end of an incident never does."""
        name = NAMES[self.pool]
        self.tablet.go("/")
        expect(lane(self.tablet, name)).to_contain_text("CLOSED since")
        self.read("1.52")
        # With stabiliser the rules of this house leave it to a person, with a reason.
        judged = (
            "Not judged. Not a pass." if self.pool == "terrace" else "Against the rules: meets."
        )
        expect(lane(self.tablet, name)).to_contain_text(judged, timeout=PATIENCE_MS)
        self.tablet.tap_key(f"Open {name}")
        if self.pool == "terrace":
            self.tablet.tap_key("I have seen it and decide so")
        type_pin(self.tablet, "DD")
        opened = self.tablet.page.locator(".lane-open").filter(has_text=name)
        expect(opened).to_be_visible(timeout=PATIENCE_MS)

    # --- The record ---------------------------------------------------------------------------

    def lines(self) -> list[dict[str, Any]]:
        """Give what was written to the record since it began, as it lies on disk."""
        return lines_on_disk(self.site.folder)[self.before :]

    def on_record(self, begun_by: str) -> list[dict[str, Any]]:
        """Hold the record on disk to the journey: each line once, in order, by whom it was done."""
        self.tablet.synced()
        lines = self.lines()
        (started,) = of_kind(lines, "incident-started")
        body = started["body"]
        assert (body["kind"], body["pool"], sorted(body["pools"])) == (
            self.kind,
            self.pool,
            sorted(self.pools),
        )
        assert started["user"] == begun_by
        own = [one for one in lines if one["body"].get("incident") == body["incident"]]
        assert own[0] == started
        ended = own[-1]
        assert (ended["type"], ended["body"]["outcome"]) == ("incident-ended", "criteria-met")
        assert (ended["user"], ended["auth"]["method"]) == ("p-manager", "pin")
        said = [one["body"]["step"] for one in own if one["type"] == "incident-step-done"]
        # What the rules do not judge is answered for each time that the water is read.
        once = [step for step in said if step != "water-word"]
        assert [step for step in self.done if step in once] == once, (self.done, once)
        opened = of_kind(lines, "pool-opened")
        assert [one["body"]["pool"] for one in opened] == [self.pool]
        assert opened[0]["at"] >= ended["at"]
        assert lines.index(opened[0]) > lines.index(ended)
        return own
