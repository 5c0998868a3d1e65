"""Another language: every word from the catalogue, every number as it is written there."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, Route, expect
from tests.journeys.conftest import Served
from tests.journeys.tablet import PAGES, TITLES, Tablet

import lanewater.interfaces.web

STATIC = Path(lanewater.interfaces.web.__file__).parent / "static"
EN: dict[str, str] = json.loads((STATIC / "words" / "en.json").read_text(encoding="utf-8"))
# Names are nobody's to translate; the rules' own texts stand in the pack.
NAMES = (
    "Harbour Baths|Main|Teaching|Terrace|Hall filter|Photometer 1|Hypo 12 %|Lanewater|"
    "Poolside tablet|Tove Testerlund|Dagny Dutyvik, duty manager|Dagny Dutyvik|"
    "Olaf Plantmo, plant|Olaf Plantmo|Arne Areaberg|"
    "Ambulance, fire|English|Deutsch|Español|Français|TT|DD|OP|AA|"
    # Units and what chemistry writes are the same in every language.
    "mg/L|pH|CaCO₃|°[CF]|mV|NTU|meq/L|m³|HOCl|CCPP"
)
DATES = r"\d{1,2}\.? (?:Jan|Feb|März|Apr|Mai|Juni|Juli|Aug|Sept|Okt|Nov|Dez)\w*\.?"
TEXTS = """() => {
  const found = [];
  const walk = document.createTreeWalker(document.getElementById("page"), NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const one = walk.currentNode.parentElement;
    if (one.closest(".of-rules, .stamp-text, .link-text")) continue;
    found.push(walk.currentNode.data.trim());
  }
  for (const name of ["aria-label", "title", "placeholder"]) {
    const named = document.querySelectorAll(`#page [${name}]`);
    for (const one of named) found.push(one.getAttribute(name));
  }
  return found;
}"""


def marked(text: str) -> str:
    """Mark a text, so that it is seen where one is not from the catalogue."""
    return f"⟦{text}⟧" if text else ""


def pseudo(words: dict[str, str]) -> dict[str, str]:
    """Make a language in which every text is the English one, marked."""
    return {key: marked(text) for key, text in words.items() if "~" not in key}


def speak(page: Page, language: str, words: dict[str, str]) -> None:
    """Let a browser have a language with these words."""
    choices = (STATIC / "ground" / "choices.js").read_text(encoding="utf-8")
    offered = re.sub(
        r"LANGUAGES = \{[^}]*\}", f'LANGUAGES = {{ en: "English", {language}: "Deutsch" }}', choices
    )

    def with_language(route: Route) -> None:
        route.fulfill(body=offered, content_type="text/javascript")

    page.route("**/static/ground/choices.js", with_language)
    page.route(f"**/static/words/{language}.json", lambda route: route.fulfill(json=words))
    page.add_init_script(
        f"""if (!localStorage.getItem("lanewater.choices"))
          localStorage.setItem("lanewater.choices", '{{"language": "{language}"}}');"""
    )


@pytest.fixture
def german(chromium: Browser, site: Served) -> Iterator[Tablet]:
    """A tablet whose German is the English, marked."""
    context = chromium.new_context(base_url=site.address, service_workers="block")
    page = context.new_page()
    tablet = Tablet(page, site.first_key)
    tablet.enrol()
    tablet.sign_in("TT")
    speak(page, "de", pseudo(EN))
    page.reload()
    expect(page.locator("h1").first).to_be_visible()
    yield tablet
    assert tablet.errors == []
    context.close()


def unmarked(texts: list[str]) -> list[str]:
    """Give what is left of the texts of a page without what came from the catalogue."""
    found = []
    for text in texts:
        rest = text
        while (shorter := re.sub(r"⟦[^⟦⟧]*⟧", " ", rest)) != rest:
            rest = shorter
        rest = re.sub(rf"\b(?:{NAMES})(?!\w)|{DATES}", " ", rest)
        if re.search(r"[^\W\d_]{2,}", rest):
            found.append(text)
    return found


def open_page(tablet: Tablet, path: str) -> Page:
    """Open a page whose title is no longer English."""
    tablet.page.evaluate(
        "(path) => { history.pushState(null, '', path); dispatchEvent(new Event('popstate')) }",
        path,
    )
    # A page is fetched and then drawn: without its own title the one before it would be read.
    title = TITLES[path.partition("?")[0]].strip("^ ")
    expect(tablet.page).to_have_title(re.compile(f"^⟦*{title}"))
    tablet.page.wait_for_load_state("networkidle")
    expect(tablet.page.locator("h1").first).to_be_visible()
    return tablet.page


def test_every_word_of_every_page_is_from_the_catalogue(german: Tablet) -> None:
    expect(german.page.locator("html")).to_have_attribute("lang", "de")
    # Before the device has the site to carry, the pages only say that they wait.
    open_page(german, "/due")
    expect(german.page.locator("[data-key=due]")).to_be_visible()
    foreign = {}
    for path in PAGES:
        page = open_page(german, path)
        foreign[path] = unmarked(page.evaluate(TEXTS))
    assert {path: texts for path, texts in foreign.items() if texts} == {}


def test_the_engines_sentences_are_said_in_the_readers_language(german: Tablet) -> None:
    sentences = {
        "The bottom and the drain cover cannot be seen.": (
            "⟦The bottom and the drain cover cannot be seen.⟧"
        ),
        "Keep everyone out. House stop, not a legal verdict. Heating off, measure again.": (
            "⟦Keep everyone out. House stop, not a legal verdict.⟧ ⟦Heating off, measure again.⟧"
        ),
        "Free at deep end >5.00 is over the range; the water holds more.": (
            "⟦⟦Free⟧ ⟦at ⟦deep end⟧⟧ >5,00 is over the range; the water holds more.⟧"
        ),
        "Free reads 0.02, but the last round read 1.45 and no cause is logged. "
        "Very much chlorine can bleach the test to none.": (
            "⟦Free reads 0,02, but ⟦the last round read 1,45 and no cause is logged⟧. "
            "Very much chlorine can bleach the test to none.⟧"
        ),
        "Total 1.28 is under free 1.52: 0.24 apart, test error 0.13. They cannot both be right.": (
            "⟦Total 1,28 is under free 1,52: 0,24 apart, test error 0,13. "
            "They cannot both be right.⟧"
        ),
        "Reg. 4.2 (a): a rule's own text stands as it is, 0.5.": (
            "Reg. 4.2 (a): a rule's own text stands as it is, 0.5."
        ),
    }
    said = german.page.evaluate(
        """async (texts) => {
          const { told } = await import("/static/ground/words.js");
          return texts.map(told);
        }""",
        list(sentences),
    )
    assert said == list(sentences.values())


def test_a_round_of_yesterday_is_said_to_be_old_and_no_test_overdue_that_is_not(
    tablet: Tablet,
) -> None:
    tablet.sign_in("TT")
    said = tablet.page.evaluate(
        """async () => {
          const { heardSentence } = await import("/static/part/sentence.js");
          const heard = { at: Date.now(), device: "Tablet 2", through: "" };
          return [false, true].map((late) => heardSentence({ stale: true, due: { late }, heard }));
        }"""
    )
    assert "that round no longer says how it is now" in said[0]
    assert "overdue" not in said[0]
    assert "and a test is overdue" in said[1]


@pytest.mark.parametrize(
    ("language", "count", "words"),
    [
        ("de", 1, "1 Tag"),
        ("de", 2, "2 Tage"),
        ("de", 0, "0 Tage"),
        ("fr", 0, "0 jour"),
        ("fr", 1, "1 jour"),
        ("fr", 2, "2 jours"),
    ],
)
def test_a_counted_text_has_the_form_that_its_language_asks_for(
    tablet: Tablet, language: str, count: int, words: str
) -> None:
    own = {
        "de": {"water.days": "{count} Tage", "water.days~one": "{count} Tag"},
        "fr": {"water.days": "{count} jours", "water.days~one": "{count} jour"},
    }[language]
    tablet.page.route(f"**/static/words/{language}.json", lambda route: route.fulfill(json=own))
    said = tablet.page.evaluate(
        """async ([language, count]) => {
          const { loadWords, say } = await import("/static/ground/words.js");
          await loadWords(language);
          return [say("water.days", { count }), say("page.now")];
        }""",
        [language, count],
    )
    # What a language has no words for is said in English.
    assert said == [words, "Now"]


def test_numbers_are_shown_and_typed_with_the_languages_mark_and_kept_with_a_point(
    german: Tablet, site: Served
) -> None:
    page = open_page(german, "/look?pool=main")
    lane = page.get_by_role("listitem").filter(
        has=page.get_by_role("heading", name="Main", exact=True)
    )
    lane.get_by_role("button", name="⟦Bottom and drain cover seen⟧", exact=True).click()
    german.type("284")
    open_page(german, "/test?pool=main")
    point = page.locator(".keypad [data-key='.']")
    expect(point).to_have_text(",")
    german.type("1")
    point.click()
    german.type("52")
    page.locator(".keypad [data-key='tablet'], [data-key='tablet']").first.click()
    # A real keyboard of that language has a comma.
    page.locator('[data-key^="ph@"] .field').first.focus()
    page.keyboard.type("7,43")
    german.type("168")
    text = page.locator("main").inner_text()
    assert "1,52" in text
    assert "1.52" not in text
    page.get_by_role("button", name="⟦Save Main⟧", exact=True).click()
    expect(page.get_by_text(re.compile("^⟦Saved ")).first).to_be_visible()
    values: dict[str, Any] = {}
    for _ in range(100):
        found = site.book.state.last_round("main")
        values = {row.parameter: row.value for row in found.readings} if found else {}
        if values.get("free_chlorine") == "1.52":
            break
        page.wait_for_timeout(100)
    assert values["free_chlorine"] == "1.52"
    assert values["ph"] == "7.43"
    assert values["temperature_c"] == "28.4"


def test_each_person_has_the_language_that_they_chose_at_this_device(german: Tablet) -> None:
    page = german.page
    page.locator(".looks summary").click()
    page.get_by_role("button", name="English", exact=True).click()
    expect(page.locator("html")).to_have_attribute("lang", "en")
    expect(page.get_by_role("link", name="Record", exact=True)).to_be_visible()
    open_page(german, "/sign-in")
    page.get_by_role("button", name="Sign out").click()
    expect(page.locator("html")).to_have_attribute("lang", "de")
    german.page.reload()
    expect(page.locator("html")).to_have_attribute("lang", "de")
