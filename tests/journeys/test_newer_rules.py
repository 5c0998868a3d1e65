"""A newer text of the rules is seen and accepted on Site; a round stands under every pack."""

from __future__ import annotations

from playwright.sync_api import expect
from tests.journeys.away import type_pin
from tests.journeys.conftest import NewTablet, Served
from tests.journeys.harbour import GOOD, TESTER
from tests.journeys.tablet import Tablet
from tests.journeys.test_pages import SMALLEST, TOO_SMALL, WIDER

from lanewater.rules.judging import judge_case
from lanewater.service.actor import SHELL
from lanewater.service.every_pack import round_under_every_pack
from lanewater.service.packs import FOLDER, load_pack
from lanewater.service.rounds import record_round
from lanewater.service.rules_accept import rules_waiting


def accept_older(site: Served) -> str:
    """Let the site go by an older text, which asked for less free chlorine."""
    text = (FOLDER / "ca-qc.toml").read_text(encoding="utf-8")
    older = text.replace('at_least = "0.8"', 'at_least = "0.7"', 1)
    assert older != text
    digest = site.book.texts.put(older.encode())
    named = {"id": "ca-qc", "edition": "an older text", "hash": digest}
    with site.book.writing() as writing:
        writing.append("rules-chosen", {"rules": "ca-qc"}, SHELL, rules=named)
    return digest


def test_a_newer_text_is_accepted_by_pin_with_what_it_changes_before_ones_eyes(
    site: Served, tablet: Tablet
) -> None:
    older = accept_older(site)
    tablet.sign_in("AA")
    tablet.go("/site")
    part = tablet.page.locator("[data-key=new-rules]")
    expect(part).to_contain_text("Tighter: Free chlorine: at least 0.7 → at least 0.8 (s.5)")
    expect(part).to_contain_text("Touches: Main, Teaching and Terrace.")
    assert site.book.state.site.rules.hash == older
    part.locator("[data-key=accept]").click()
    type_pin(tablet, "TT")
    expect(part.get_by_role("alert")).to_have_text("That PIN does not fit.")
    assert site.book.state.site.rules.hash == older
    type_pin(tablet, "AA")
    expect(part).to_contain_text("Accepted: ca-qc.")
    expect(part).not_to_contain_text("Nothing changes until")
    assert rules_waiting(site.book) == []
    assert site.book.state.site.rules.hash == load_pack("ca-qc")["hash"]
    assert site.book.state.rules_known[-1].hash != older


def test_a_round_stands_under_every_pack_as_the_server_judges_it(
    site: Served, tablet: Tablet
) -> None:
    made = record_round(site.book, TESTER, {"pool": "main", "readings": GOOD})
    tablet.sign_in("TT")
    tablet.go("/record")
    tablet.page.locator(f"[data-key='every {made['round']}']").click()
    rows = tablet.page.locator(".every-pack [data-overall]")
    given = round_under_every_pack(site.book, made["round"])
    expect(rows).to_have_count(len(given["packs"]))
    shown = {row.get_attribute("data-key"): row.get_attribute("data-overall") for row in rows.all()}
    judged = {pack["id"]: judge_case(pack, given["case"])["overall"] for pack in given["packs"]}
    assert shown == judged
    assert {"meets", "not-judged"} <= set(judged.values())


def test_on_a_phone_every_set_of_rules_is_a_line_until_it_is_asked_for_and_ones_own_stands_open(
    site: Served, new_tablet: NewTablet
) -> None:
    made = record_round(site.book, TESTER, {"pool": "main", "readings": GOOD})
    phone = new_tablet(site, width=360, height=780)
    phone.enrol()
    phone.sign_in("TT")
    phone.go("/record")
    phone.page.locator(f"[data-key='every {made['round']}']").click()
    found = phone.page.locator(".every-pack")
    own = found.locator("[data-key=own] [data-key='ca-qc']")
    expect(own).to_contain_text("your rules")
    expect(own).to_contain_text("Free 1.52: at least 0.8 (s.5)")
    expect(found.locator("[data-overall]:visible")).to_have_count(1)
    group = found.locator("details[data-key=meets]")
    group.locator("> summary").click()
    first = group.locator("[data-overall]").first
    expect(first.locator("li").first).to_be_hidden()
    first.locator("summary").click()
    expect(first.locator("li").first).to_be_visible()
    assert phone.page.evaluate(WIDER) <= 0
    assert phone.page.evaluate(TOO_SMALL, SMALLEST) == []
