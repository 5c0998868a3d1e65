"""Rounds from the first look to the record, tap by tap."""

from __future__ import annotations

from playwright.sync_api import Route, expect
from tests.journeys.conftest import Apart, NewTablet, Served
from tests.journeys.harbour import KIT, LOW, TESTER
from tests.journeys.tablet import SAVED, Tablet

from lanewater.service.actor import SHELL
from lanewater.service.rounds import record_round
from lanewater.service.set_up import add


def the_last_round(site: Served, pool: str = "main") -> tuple[dict[str, str], str]:
    """Give the readings of a pool's last round on disk, and what the rules said."""
    state = site.book.state
    found = state.last_round(pool)
    assert found is not None
    overall = state.verdicts[found.id].overall
    return {row.parameter: row.value for row in found.readings}, overall


def without_kits(route: Route) -> None:
    """Answer as a site does where no kit is set up."""
    answer = route.fetch()
    carried = answer.json()
    for row in carried.get("pools", ()):
        row["context"]["kits"] = []
    route.fulfill(response=answer, json=carried)


def test_a_standard_round_is_saved_and_judged_in_sixteen_taps(site: Served, tablet: Tablet) -> None:
    tablet.sign_in("TT")
    tablet.look("Main")
    assert tablet.taps == 5
    tablet.type("152")
    expect(tablet.page.get_by_text("at least 0.8, at most 2.0")).to_be_visible()
    tablet.tap_key("Second tablet in")
    tablet.type("743")
    assert "Against the rules" not in tablet.words
    assert "4 of 5 in" in tablet.words
    tablet.type("168")
    expect(tablet.page.get_by_text("Against the rules: meets.")).to_be_visible()
    assert "0.16 ± " in tablet.words
    tablet.save("Main")
    assert tablet.taps == 16
    readings, overall = the_last_round(site)
    assert readings == {
        "clarity": "visible",
        "temperature_c": "28.4",
        "free_chlorine": "1.52",
        "ph": "7.43",
        "total_chlorine": "1.68",
    }
    assert overall == "meets"
    assert "Not open. A named person opens it." in tablet.words


def test_a_half_finished_number_is_never_judged(tablet: Tablet) -> None:
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.type("0")
    assert "reads none" not in tablet.words
    tablet.type("00")
    expect(tablet.page.get_by_role("alert")).to_contain_text("reads none")
    expect(tablet.page.get_by_role("alert")).to_contain_text("House stop, not a legal verdict.")


def test_low_free_shows_a_lifeguard_whom_to_tell_and_no_digit_of_an_amount(
    site: Served, tablet: Tablet
) -> None:
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.listen()
    tablet.type("062")
    assert "Keep everyone out" not in tablet.words
    tablet.tap_key("Second tablet in")
    tablet.type("743")
    tablet.type("078")
    expect(tablet.page.get_by_text("Keep everyone out.")).to_be_visible()
    expect(tablet.page.get_by_text("Against the rules: does not meet.")).to_be_visible()
    tablet.save("Main")
    assert tablet.taps == 16
    assert "Free 0.62. Rule: at least 0.8 (s.5). Does not meet." in tablet.words
    words = tablet.words
    order = [words.index(part) for part in ("Keep everyone out", "Free 0.62", "Tell the duty")]
    assert order == sorted(order)
    tablet.tap(tablet.key("Told Dagny Dutyvik, duty manager"))
    expect(tablet.page.get_by_text("Told, ")).to_be_visible()
    advised = tablet.page.evaluate(
        """() => fetch("/api/v1/advice", {method: "POST",
        headers: {"Content-Type": "application/json"}, body: JSON.stringify({pool: "main",
        questions: {everybody_out: "yes", pump_running: "yes", anything_added: "no",
        looked: "yes"}, volume_of: "circuit"})}).then((answer) => answer.text())"""
    )
    assert "What to add" not in tablet.words
    # What the page heard by itself comes when it comes; this one was asked for.
    assert '"state"' in advised
    assert '"call"' in advised
    told = [answer for answer in tablet.answers if '"state"' in answer]
    for answer in (*told, advised, tablet.words):
        for word in (" mL", "Hypo", "hypochlorite", "blue jug", '"amount"', '"product"'):
            assert word not in answer


def test_low_free_gives_a_competent_operator_an_amount_after_the_questions(
    site: Served, tablet: Tablet
) -> None:
    # Somebody else saw the same just now on both pools, so that the number is no surprise.
    for pool in ("main", "teaching"):
        record_round(site.book, TESTER, {"pool": pool, "readings": LOW})
    tablet.sign_in("OP")
    tablet.look("Main")
    tablet.test("062", "743", "078")
    tablet.save("Main")
    assert "Hypo" not in tablet.words
    expect(tablet.key("What to add")).to_be_disabled()
    tablet.answer_the_questions()
    expect(tablet.page.get_by_text("of Hypo 12 %, in the blue jug", exact=False)).to_be_visible()
    assert "Do not talk someone else through this." in tablet.words
    assert "Nobody in the water while it is added" in tablet.words
    tablet.tap_key("Adding it now")
    expect(tablet.page.get_by_text("Adding: shown on every device")).to_be_visible()
    tablet.tap_key("Added")
    tablet.synced()
    done = tablet.page.locator(".advice, [data-key=answered]")
    expect(done).to_contain_text("OP. Wait, then test at two points.")
    for gone in ("in the blue jug", "Ask again", "Adding it now", "What to add, with"):
        assert gone not in tablet.words
    for pool in ("Main", "Teaching"):
        tablet.go(f"/test?pool={pool.lower()}")
        expect(tablet.page.get_by_role("note").first).to_contain_text("mixing until")
        points = tablet.page.locator(".point h2")
        expect(points).to_have_text(["shallow end", "deep end"])
    additions = site.book.state.additions.values()
    assert [one.answer for one in additions] == ["added"]


def test_an_amount_is_hidden_on_a_device_that_cannot_hear_of_the_others(
    site: Served, tablet: Tablet
) -> None:
    for pool in ("main", "teaching"):
        record_round(site.book, TESTER, {"pool": pool, "readings": LOW})
    tablet.sign_in("OP")
    tablet.look("Main")
    tablet.test("062", "743", "078")
    tablet.save("Main")
    tablet.answer_the_questions()
    amount = tablet.page.get_by_text("of Hypo 12 %, in the blue jug", exact=False)
    expect(amount).to_be_visible()
    lost: list[str] = []

    def from_the_tap_on(route: Route) -> None:
        # Before it, what the page asks by itself would already hide the amount, and the key.
        if lost or route.request.method == "POST":
            lost.append(route.request.url)
            route.abort()
        else:
            route.continue_()

    tablet.page.route("**/api/**", from_the_tap_on)
    tablet.tap_key("Adding it now")
    said = tablet.page.locator("[data-key=not-heard]")
    expect(said).to_contain_text("has not heard from the others since")
    expect(said).to_contain_text("Ask who has dosed")
    expect(amount).to_have_count(0)
    assert not site.book.state.additions
    tablet.page.unroute("**/api/**")


def test_what_to_add_is_offered_after_a_round_that_meets_to_whom_may_add(
    site: Served, tablet: Tablet
) -> None:
    for initials, offered in (("OP", 1), ("TT", 0)):
        tablet.sign_in(initials)
        tablet.look("Main")
        tablet.test("152", "743", "168")
        tablet.save("Main")
        fold = tablet.page.locator("[data-key='fold add'] summary")
        expect(fold).to_have_count(offered)
        if offered:
            tablet.tap(fold)
            expect(tablet.key("What to add")).to_be_visible()
            assert " mL" not in tablet.words


def test_an_amount_is_not_left_for_the_next_person_at_a_shared_tablet(
    site: Served, tablet: Tablet
) -> None:
    for pool in ("main", "teaching"):
        record_round(site.book, TESTER, {"pool": pool, "readings": LOW})
    tablet.sign_in("OP")
    tablet.look("Main")
    tablet.test("062", "743", "078")
    tablet.save("Main")
    tablet.answer_the_questions()
    expect(tablet.page.get_by_text("in the blue jug", exact=False)).to_be_visible()
    tablet.sign_in("TT")
    tablet.go("/test?pool=main")
    for told in ("blue jug", "Hypo", " mL"):
        assert told not in tablet.words
    tablet.sign_in("OP")
    tablet.go("/test?pool=main")
    assert "blue jug" not in tablet.words


def test_people_in_the_water_refuse_the_amount_by_name(site: Served, tablet: Tablet) -> None:
    tablet.sign_in("OP")
    tablet.look("Main")
    tablet.test("062", "743", "078")
    tablet.save("Main")
    tablet.choose("Is everybody out of the water?", "No, people are in")
    tablet.choose("Is the pump running?", "Don't know")
    tablet.choose("Has anyone added anything since the reading?", "Don't know")
    tablet.choose("Have you looked at the feeder, its tank and the controller?", "Not yet")
    tablet.choose("Which water does it go into?", "Main alone, by hand")
    panel = tablet.page.locator(".advice")
    for why in (
        "People are in the water.",
        "Nobody said whether the pump runs.",
        "Nobody knows whether something was added since the reading.",
        "were not looked at",
    ):
        expect(panel).to_contain_text(why)
    assert " mL" not in panel.inner_text()


def test_total_below_free_is_tested_again_and_both_pairs_are_kept(
    site: Served, tablet: Tablet
) -> None:
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.test("152", "743", "128")
    expect(tablet.page.get_by_text("These two can't both be right")).to_be_visible()
    assert "Save Main" not in tablet.words
    pair = tablet.page.get_by_role("alert").filter(has_text="These two")
    names = [key.inner_text() for key in pair.get_by_role("button").all()]
    assert names == ["Test both again", "I typed them in the wrong boxes", "Save as it is"]
    tablet.tap_key("Test both again")
    expect(tablet.page.locator(".tries s").first).to_have_text("Free 1.52")
    tablet.type("150")
    tablet.type("166")
    expect(tablet.page.locator(".combined")).to_contain_text("0.16 ± ")
    expect(tablet.page.locator(".rows")).to_contain_text("Combined 0.16")
    expect(tablet.page.locator(".against")).to_have_text("Against the rules: meets.")
    tablet.save("Main")
    expect(tablet.page.locator(".rows")).to_contain_text("Combined 0.16")
    expect(tablet.page.locator(".rows")).to_contain_text("Free 1.50")
    readings, overall = the_last_round(site)
    assert (readings["free_chlorine"], readings["total_chlorine"]) == ("1.50", "1.66")
    assert overall == "meets"
    found = site.book.state.last_round("main")
    assert found is not None
    first = [(row["parameter"], row["value"]) for row in found.changed_after_result]
    assert first == [("free_chlorine", "1.52"), ("total_chlorine", "1.28")]
    assert "First try, tested again: Free 1.52, Total 1.28." in found.note


def test_an_impossible_pair_saved_as_it_is_is_not_judged(site: Served, tablet: Tablet) -> None:
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.test("152", "743", "128")
    tablet.tap_key("Save as it is")
    expect(tablet.page.get_by_text(SAVED).first).to_be_visible()
    expect(tablet.page.locator(".against")).to_have_text("Not judged. Not a pass.")
    tablet.synced()
    _, overall = the_last_round(site)
    assert overall == "not-judged"


def test_swapping_that_would_turn_a_fail_into_a_pass_stays_not_judged(
    site: Served, tablet: Tablet
) -> None:
    tablet.sign_in("TT")
    tablet.look("Main")
    # 2.40 is over the maximum of 2.0; swapped, free would read 1.90 and pass.
    tablet.test("240", "743", "190")
    tablet.tap_key("I typed them in the wrong boxes")
    expect(tablet.page.get_by_text("Swapping would turn a fail into a pass.")).to_be_visible()
    tablet.save("Main")
    readings, overall = the_last_round(site)
    assert readings["free_chlorine"] == "2.40"
    assert overall == "not-judged"


def test_a_number_changed_after_its_result_is_kept_beside_the_new_one(
    site: Served, tablet: Tablet
) -> None:
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.test("077", "743", "090")
    expect(tablet.page.get_by_text("Against the rules: does not meet")).to_be_visible()
    tablet.tap(tablet.page.get_by_role("button", name="Free chlorine"))
    tablet.type("081")
    expect(tablet.page.locator(".field s")).to_have_text("0.77")
    expect(tablet.page.locator(".against")).to_have_text("Not judged. Not a pass.")
    assert "meets" not in tablet.page.locator(".result").inner_text()
    tablet.save("Main")
    expect(tablet.page.locator(".against")).to_have_text("Not judged. Not a pass.")
    expect(tablet.page.get_by_text("A fail became a pass by a change.")).to_be_visible()
    found = site.book.state.last_round("main")
    assert found is not None
    assert [row["value"] for row in found.changed_after_result] == ["0.77"]


def test_over_range_and_a_diluted_repeat_are_both_on_record(site: Served, tablet: Tablet) -> None:
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.tap_key("Over range")
    expect(tablet.page.get_by_role("button", name="Free chlorine")).to_contain_text(">6.00")
    expect(tablet.page.get_by_text("Free is over range, >6.00.")).to_be_visible()
    tablet.type("743")
    tablet.tap_key("Diluted")
    tablet.choose("How was the sample diluted?", "1 part pool water made up to 5 (×5)")
    tablet.type("148")
    expect(tablet.page.get_by_role("button", name="Total chlorine")).to_contain_text(
        "counts as 7.40"
    )


def test_somebody_not_on_the_list_tests_and_is_marked_not_verified(
    site: Served, tablet: Tablet
) -> None:
    tablet.lock()
    tablet.tap_key("Not on the list")
    expect(tablet.page.get_by_role("heading", name="Look", exact=True)).to_be_visible()
    tablet.look("Main")
    tablet.test("152", "743", "168")
    expect(tablet.page.get_by_text("You are not on the list.")).to_be_visible()
    tablet.tap_key("Save Main, not verified")
    expect(tablet.page.get_by_text(SAVED).first).to_be_visible()
    tablet.synced()
    found = site.book.state.last_round("main")
    assert found is not None
    assert (found.by, found.verified) == ("unlisted", False)
    tablet.go("/record")
    expect(tablet.page.locator(".line-round-recorded").first).to_contain_text(
        "somebody not on the list (not verified)"
    )


def test_a_round_half_typed_is_there_after_a_reload(tablet: Tablet) -> None:
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.type("15")
    tablet.page.reload()
    free = tablet.page.get_by_role("button", name="Free chlorine")
    expect(free).to_contain_text("1.5")
    expect(tablet.page.get_by_text("Bottom and drain cover seen")).to_be_visible()


def test_a_round_is_saved_and_judged_here_while_the_server_does_not_answer(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    tablet = new_tablet(site_apart)
    tablet.enrol()
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.test("152", "743", "168")
    site_apart.kill()
    tablet.save("Main", sent=False)
    expect(tablet.page.locator("[data-key=on-record]")).to_contain_text("Not sent yet")
    expect(tablet.page.get_by_text("Against the rules: meets.")).to_be_visible()
    expect(tablet.page.get_by_text("No answer from the server.").first).to_be_visible()
    expect(tablet.page.locator("[data-key=unsent]")).to_contain_text("1")


def test_what_the_page_judged_is_what_the_record_says(tablet: Tablet) -> None:
    tablet.sign_in("TT")
    for free, ph, total in (("062", "743", "078"), ("081", "779", "131"), ("301", "690", "350")):
        tablet.look("Teaching")
        tablet.test(free, ph, total)
        expect(tablet.page.locator(".against")).to_be_visible()
        live = [tablet.page.locator(part).inner_text() for part in (".against", ".rows")]
        tablet.save("Teaching")
        saved = [tablet.page.locator(part).inner_text() for part in (".against", ".rows")]
        assert saved == live


def test_the_second_tablet_stands_on_while_another_pool_is_tested(tablet: Tablet) -> None:
    tablet.page.clock.install()
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.type("152")
    tablet.tap_key("Second tablet in")
    tablet.page.clock.run_for(40_000)
    expect(tablet.page.locator(".stand")).to_contain_text("1:20 of 2:00 left")
    tablet.look("Terrace")
    tablet.page.clock.run_for(81_000)
    tablet.go("/test?pool=main")
    expect(tablet.page.get_by_role("status")).to_have_text("Stand is over: read total now.")


def test_a_total_read_before_its_stand_is_over_is_taken_and_noted(
    site: Served, tablet: Tablet
) -> None:
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.test("152", "743", "168")
    tablet.save("Main")
    found = site.book.state.last_round("main")
    assert found is not None
    assert "of 2:00, before its stand was over" in found.note
    assert found.note in tablet.words


def test_a_tablet_left_alone_signs_the_person_out_and_keeps_the_round(tablet: Tablet) -> None:
    tablet.page.clock.install()
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.type("15")
    tablet.page.clock.fast_forward(301_000)
    expect(tablet.page.get_by_role("heading", name="Who are you?")).to_be_visible()
    expect(tablet.page.get_by_role("link", name="Everyone out", exact=True)).to_be_visible()
    tablet.go("/test?pool=main")
    expect(tablet.page.get_by_role("button", name="Free chlorine")).to_contain_text("1.5")
    expect(tablet.page.get_by_text("Nobody is signed in.", exact=False)).to_be_visible()


def test_with_two_kits_the_one_in_use_is_said_before_a_number_is_typed(
    site: Served, tablet: Tablet
) -> None:
    comparator = {"kit": "disc", "name": "Disc comparator", "kind": "comparator"}
    ranges = [{"parameter": "free_chlorine", "low": "0.5", "high": "4.0", "step": "0.5"}]
    add(site.book, SHELL, "kit", comparator | {"ranges": ranges})
    tablet.sign_in("TT")
    tablet.look("Main")
    assert tablet.page.locator(".pad").count() == 0
    tablet.choose("Which kit?", "Disc comparator")
    expect(tablet.key("No colour")).to_be_visible()
    tablet.type("15")
    expect(tablet.page.get_by_role("button", name="Free chlorine")).to_contain_text("1.5 mg/L")
    tablet.save("Main")
    found = site.book.state.last_round("main")
    assert found is not None
    assert [row.kit for row in found.readings if row.parameter == "free_chlorine"] == ["disc"]


def test_a_second_point_is_tested_and_the_worse_one_is_judged(site: Served, tablet: Tablet) -> None:
    tablet.sign_in("TT")
    tablet.look("Terrace")
    tablet.test("152", "743", "168")
    tablet.page.get_by_text("More: another point by name").click()
    tablet.page.get_by_label("Its name").fill("deep end")
    tablet.tap_key("Add this point")
    tablet.test("071", "745", "090")
    expect(tablet.page.get_by_text("Against the rules: does not meet.")).to_be_visible()
    tablet.save("Terrace")
    found = site.book.state.last_round("terrace")
    assert found is not None
    free = [(row.point, row.value) for row in found.readings if row.parameter == "free_chlorine"]
    assert free == [("", "1.52"), ("deep end", "0.71")]


def test_without_a_kit_the_second_tablet_finishes_free_and_the_keys_go_on_to_ph(
    site: Served, tablet: Tablet
) -> None:
    tablet.page.route("**/carry?*", without_kits)
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.type("1.5")
    tablet.tap_key("Second tablet in")
    tablet.type("7.43")
    expect(tablet.page.get_by_role("button", name="Free chlorine")).to_contain_text("1.5 mg/L")
    expect(tablet.page.get_by_role("button", name="pH")).to_contain_text("7.43")


def test_a_kit_that_is_said_late_finishes_what_is_typed_and_takes_no_further_digit(
    site: Served, tablet: Tablet
) -> None:
    other = {"kit": "photo-2", "name": "Photometer 2", "kind": "photometer"}
    add(site.book, SHELL, "kit", other | {"ranges": KIT["ranges"]})
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.tap(tablet.page.get_by_role("button", name="Free chlorine"))
    tablet.type("152")
    tablet.choose("Which kit?", "Photometer 2")
    tablet.type("743")
    expect(tablet.page.get_by_role("button", name="Free chlorine")).to_contain_text("1.52 mg/L")
    expect(tablet.page.get_by_role("button", name="pH")).to_contain_text("7.43")
    tablet.save("Main")
    readings, _ = the_last_round(site)
    assert (readings["free_chlorine"], readings["ph"]) == ("1.52", "7.43")
