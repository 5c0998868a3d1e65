"""The bytes that a tablet signs are those of the record, and what releases them is checked."""

from __future__ import annotations

import json
import random
import unicodedata
from typing import Any

import pytest
import rfc8785
from playwright.sync_api import Page, Route, expect
from tests.journeys.apart import lines_on_disk
from tests.journeys.conftest import NewTablet, Served
from tests.journeys.outboxes import call_out, synced, waiting
from tests.journeys.tablet import Tablet

from lanewater.records.entries import canonical, parse
from lanewater.records.signing import device_of

CANONICAL = """async (values) => {
  const { canonical } = await import("/static/offline/canonical.js");
  return values.map((value) => canonical(value));
}"""
IN_PROFILE = """async (codes) => {
  const { inProfile } = await import("/static/offline/canonical.js");
  const text = inProfile({ text: String.fromCharCode(...codes), none: null }).text;
  return [...text].map((letter) => letter.codePointAt(0));
}"""
REFUSED = """async () => {
  const { canonical } = await import("/static/offline/canonical.js");
  return [1.5, NaN, Infinity, 2 ** 53, null, undefined, { "\\u00e9": 1 }, [[[[[[[]]]]]]]].map(
    (value) => { try { canonical(value); return "written"; } catch (error) { return "refused"; } },
  );
}"""
OWN = """async () => {
  const { ownDevice } = await import("/static/offline/device.js");
  const { device, algorithm, public_key, private: key } = ownDevice();
  return { device, algorithm, public_key, extractable: key.extractable };
}"""
NO_ED25519 = """
const make = crypto.subtle.generateKey.bind(crypto.subtle);
crypto.subtle.generateKey = (how, ...more) => how.name === "Ed25519"
  ? Promise.reject(new DOMException("", "NotSupportedError")) : make(how, ...more);"""
LETTERS = [*'aZ~"\\/\n\t', "\x01", "\x7f", "é", "ß", "€", "中", "🏊", "\u2028"]


def drawn(chance: random.Random, depth: int) -> Any:
    """Draw a value of the profile."""
    kind = chance.randrange(6 if depth < 5 else 3)
    if kind == 0:
        return chance.choice([0, 1, -1, 2**53 - 1, 1 - 2**53, chance.randrange(10**9)])
    if kind == 1:
        return chance.random() < 0.5
    if kind == 2:
        text = "".join(chance.choices(LETTERS, k=chance.randrange(8)))
        return unicodedata.normalize("NFC", text)
    if kind == 3:
        return [drawn(chance, depth + 1) for _ in range(chance.randrange(4))]
    names = ["a", "b", "aa", "B", "_", "a-b", "10", "9", "~", " "]
    return {name: drawn(chance, depth + 1) for name in chance.sample(names, chance.randrange(6))}


def test_a_thousand_values_have_the_bytes_that_the_library_writes(tablet: Tablet) -> None:
    chance = random.Random(20261126)  # noqa: S311 - values to compare, not secrets
    values = [{"a": drawn(chance, 2)} for _ in range(1000)]
    written = tablet.page.evaluate(CANONICAL, values)
    assert written == [rfc8785.dumps(value).decode() for value in values]


def test_what_lies_beyond_the_profile_is_not_written(tablet: Tablet) -> None:
    assert tablet.page.evaluate(REFUSED) == ["refused"] * 8


def test_what_people_type_is_brought_into_the_profile(tablet: Tablet) -> None:
    assert tablet.page.evaluate(IN_PROFILE, [0x65, 0x301, 0xD83C, 0x41]) == [0xE9, 0xFFFD, 0x41]


def test_the_key_stays_in_the_browser_and_the_device_follows_from_it(tablet: Tablet) -> None:
    own = tablet.page.evaluate(OWN)
    assert own["algorithm"] == "ed25519"
    assert own["extractable"] is False
    assert own["device"] == device_of(own["public_key"])


def test_a_browser_without_ed25519_signs_with_the_other_curve(
    site: Served, new_tablet: NewTablet
) -> None:
    tablet = new_tablet(site)
    tablet.page.add_init_script(NO_ED25519)
    tablet.enrol()
    assert tablet.page.evaluate(OWN)["algorithm"] == "ecdsa-p256"
    call_out(tablet.page)
    synced(tablet.page)
    assert len(site.book.state.stops["main"]) == 1


def forged(page: Page, name: str) -> list[str]:
    """Change one field of every receipt on its way here, and give what was sent."""
    sent: list[str] = []

    def change(route: Route) -> None:
        answer = route.fetch()
        told = answer.json()
        for outcome in told["outcomes"]:
            sent.append(outcome["id"])
            was = outcome["receipt"][name]
            digit = "0" if str(was)[-1] != "0" else "1"
            outcome["receipt"][name] = was + 1 if isinstance(was, int) else was[:-1] + digit
        route.fulfill(response=answer, json=told)

    page.route("**/api/v1/sync/entries", change)
    return sent


@pytest.mark.parametrize("name", ["sig", "leaf", "id", "index", "received_at", "origin"])
def test_a_receipt_that_does_not_hold_releases_nothing(name: str, tablet: Tablet) -> None:
    page = tablet.page
    sent = forged(page, name)
    saved = call_out(page)
    expect(page.get_by_text("The server's receipt does not hold")).to_be_visible()
    assert waiting(page) == [saved]
    page.unroute("**/api/v1/sync/entries")
    synced(page)
    assert saved in sent


def test_what_goes_out_is_an_entry_in_its_one_form(tablet: Tablet) -> None:
    page = tablet.page
    with page.expect_request("**/api/v1/sync/entries") as asked:
        call_out(page, body={"words": "Gla\u0308ser \U0001f943"})
    sent = json.loads(asked.value.post_data or "")
    for row in sent["entries"]:
        entry = parse(row["entry"].encode())
        assert canonical(entry).decode() == row["entry"]
    synced(page)


def test_an_entry_says_how_far_its_clock_is_off_and_what_of_the_record_was_seen(
    site: Served, new_tablet: NewTablet
) -> None:
    tablet = new_tablet(site)
    page = tablet.page
    page.add_init_script("{ const now = Date.now; Date.now = () => now() + 3_600_000; }")
    tablet.enrol()
    page.evaluate(
        "() => import('/static/ground/witness.js').then(({ witness }) => witness({ now: true }))"
    )
    call_out(page)
    synced(page)
    entry = lines_on_disk(site.folder)[-1]
    assert abs(entry["clk"]["offset_ms"] - 3_600_000) <= entry["clk"]["rtt_ms"] + 1
    assert entry["clk"]["age_s"] < 60
    assert entry["seen"]["size"] > 0
    assert len(entry["seen"]["root"]) == 64


LET_GO = """async (days) => {
  const { letGo } = await import("/static/offline/outbox.js");
  const { asked, inStores } = await import("/static/offline/base.js");
  await letGo(Date.now() + days * 86_400_000);
  return inStores(["facts", "signed"], "readonly", ({ facts, signed }) =>
    Promise.all([asked(facts.count()), asked(signed.count())]));
}"""


def test_an_entry_is_kept_a_month_after_its_receipt_and_the_sequence_goes_on_after(
    site: Served, tablet: Tablet
) -> None:
    page = tablet.page
    first = call_out(page)
    synced(page)
    assert page.evaluate(LET_GO, 29) == [1, 1]
    assert page.evaluate(LET_GO, 31) == [0, 0]
    second = call_out(page, stop="blood")
    synced(page)
    assert [line["id"] for line in lines_on_disk(site.folder)[-2:]] == [first, second]
    page.route("**/api/v1/sync/entries", lambda route: route.abort())
    waits = call_out(page, stop="stool")
    assert page.evaluate(LET_GO, 4000) == [1, 1]
    assert waiting(page) == [waits]
