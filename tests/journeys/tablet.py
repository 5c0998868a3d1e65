"""What a person does with a tablet, in the words of the pages; every tap is counted."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

from playwright.sync_api import Locator, Page, Response, expect
from tests.journeys.harbour import PINS

# Every page that somebody who works here sees.
PAGES = (
    "/",
    "/look",
    "/test",
    "/test?pool=main",
    "/water?pool=main",
    "/record",
    "/site",
    "/sign-in",
    "/out",
    "/handover",
    "/incidents",
    "/due",
)

# A text is looked for without regard to case: "it is saved as not verified" stands there before.
SAVED = re.compile(r"^Saved \d")

TITLES = {
    "/": "^Now ",
    "/look": "^Look ",
    "/test": "^Test ",
    "/water": "^Water ",
    "/record": "^Record ",
    "/site": "^Site ",
    "/sign-in": "^Who are you",
    "/out": "^Everyone out ",
    "/handover": "^Handover ",
    "/sign": "^Sign: ",
    "/sample": "^Laboratory sample: ",
    "/incidents": "^Incidents ",
    "/due": "^Due today ",
}


@dataclass
class Tablet:
    """One tablet in somebody's hands."""

    page: Page
    first_key: str
    taps: int = 0
    errors: list[str] = field(default_factory=list)
    answers: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.page.on("console", self.keep_console)

    def keep_console(self, message: Any) -> None:
        """Keep what the console says of scripts and styles that the policy refused."""
        if message.type == "error" and "Content Security Policy" in message.text:
            self.errors.append(message.text)

    def listen(self) -> None:
        """Keep every answer of the API from here on."""

        def keep(answer: Response) -> None:
            if "/api/" in answer.url:
                self.answers.append(answer.text())

        self.page.on("response", keep)

    # --- Taps ---------------------------------------------------------------------------------

    def tap(self, target: Locator) -> None:
        """Tap something once."""
        target.click()
        self.taps += 1

    def key(self, name: str, within: str = "main") -> Locator:
        """Find a key by its name."""
        return self.page.locator(within).get_by_role("button", name=name, exact=True)

    def tap_key(self, name: str, within: str = "main") -> None:
        """Tap a key by its name."""
        self.tap(self.key(name, within))

    def tap_link(self, name: str) -> None:
        """Tap a link by its name."""
        self.tap(self.page.locator("main").get_by_role("link", name=name, exact=True))

    def type(self, digits: str) -> None:
        """Type on the page's own keypad."""
        for digit in digits:
            self.tap(self.page.locator(f".keypad [data-key='{digit}']"))

    def choose(self, question: str, answer: str) -> None:
        """Answer a question by one of its keys."""
        group = self.page.get_by_role("group", name=question)
        self.tap(group.get_by_role("button", name=answer, exact=True))

    def answer_the_questions(self) -> None:
        """Answer the four questions, and which water, so that nothing stands against an amount."""
        self.choose("Is everybody out of the water?", "Yes, out")
        self.choose("Is the pump running?", "Yes, running")
        self.choose("Has anyone added anything since the reading?", "No, nothing")
        self.choose("Have you looked at the feeder, its tank and the controller?", "Yes, all three")
        self.choose("Which water does it go into?", "The whole filter, through the plant")

    # --- What people do -----------------------------------------------------------------------

    def go(self, path: str) -> None:
        """Go to a page inside the site, as one of its links does."""
        self.page.evaluate(
            "(path) => { history.pushState(null, '', path); dispatchEvent(new Event('popstate')) }",
            path,
        )
        self.arrive(path)

    def load(self, path: str) -> None:
        """Load a page by its address."""
        self.page.goto(path)
        self.arrive(path)

    def arrive(self, path: str) -> None:
        """Wait until a page is there."""
        expect(self.page).to_have_title(re.compile(TITLES[path.partition("?")[0]]))
        expect(self.page.locator("h1").first).to_be_visible()

    def enrol(self) -> None:
        """Enrol with the first key, as the printed link does."""
        self.page.goto(f"/#key={self.first_key}")
        self.page.get_by_label("What do you call this device?").fill("Poolside tablet")
        self.page.get_by_label("Shared at the poolside").check()
        self.page.get_by_role("button", name="Enrol").click()
        expect(self.page.get_by_role("navigation", name="Pages")).to_be_visible()

    def sign_in(self, initials: str) -> None:
        """Sign in by initials and PIN."""
        self.go("/sign-in")
        self.page.get_by_role("button", name=f"{initials}, ").click()
        for digit in PINS[initials]:
            self.page.locator(f".keypad [data-key='{digit}']").click()
        self.key(f"Sign in {initials}").click()
        expect(self.page.get_by_role("link", name=f"{initials}: switch person")).to_be_visible()
        expect(self.page).to_have_title(re.compile("^Now "))
        self.taps = 0

    def lock(self) -> None:
        """Leave the tablet alone until it has signed the person out."""
        self.page.context.clear_cookies(name="__Host-session")
        self.load("/sign-in")
        self.taps = 0

    def look(self, pool: str, temperature: str = "284") -> None:
        """Look at a pool, and go on to its test."""
        self.go("/look")
        self.taps = 0
        self.look_here(pool, temperature)

    def look_here(self, pool: str, temperature: str) -> None:
        """Look at a pool, on the Look page."""
        lane = self.page.get_by_role("listitem").filter(
            has=self.page.get_by_role("heading", name=pool, exact=True)
        )
        self.tap(lane.get_by_role("button", name="Bottom and drain cover seen", exact=True))
        self.type(temperature)
        self.tap_link(f"Test {pool}")
        # The lane on Look bears the pool's name too; the bench has it at its head.
        expect(self.page.locator("h1.pool-name")).to_have_text(pool)

    def test(self, free: str, ph: str, total: str) -> None:
        """Read free, drop the second tablet in, read pH, read total."""
        self.type(free)
        self.tap_key("Second tablet in")
        self.type(ph)
        self.type(total)

    def save(self, pool: str, *, sent: bool = True) -> None:
        """Save the round by its pool's name, and wait until the record has it where it can."""
        self.tap_key(f"Save {pool}")
        expect(self.page.get_by_text(SAVED).first).to_be_visible()
        if sent:
            self.synced()

    def synced(self) -> None:
        """Wait until everything that was said at this tablet is on the record."""
        expect(self.page.locator("body[data-unsent='0']")).to_be_attached()

    @property
    def words(self) -> str:
        """Give everything the page says."""
        return self.page.locator("main").inner_text()
