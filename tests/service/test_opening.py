"""People open, close and reopen; everybody may call everyone out; nothing opens by itself."""

from __future__ import annotations

from typing import Any

import pytest
from tests.baths import GOOD, LOW, MINUTE_MS, Baths

from lanewater.service.actor import ANYBODY, SHELL, Actor
from lanewater.service.additions import answer_addition, start_addition
from lanewater.service.opening import (
    close_pool,
    end_house_stop,
    everyone_out,
    open_pool,
    opening_answer,
    told,
)
from lanewater.service.permission import NotAllowedError
from lanewater.service.rounds import correct_reading, record_round
from lanewater.service.set_up import add
from lanewater.terms.errors import InputError, RefusedError


def status(baths: Baths, pool: str = "main") -> str:
    """Give the last word on a pool."""
    found = baths.book.state.openings.get(pool)
    return found.status if found else ""


def open_main(baths: Baths, **more: Any) -> dict[str, Any]:
    """Let the duty manager open Main."""
    return open_pool(baths.book, baths.who("manager"), {"pool": "main"} | more)


def test_the_duty_manager_opens_on_a_round_that_meets(baths: Baths) -> None:
    baths.round()
    assert open_main(baths)["marked"] == []
    assert status(baths) == "open"
    assert baths.book.state.openings["main"].by == "p-manager"


@pytest.mark.parametrize(
    "actor",
    [
        ANYBODY,
        SHELL,
        Actor("p-manager", "shell"),
        Actor("p-manager", "none"),
        Actor("unlisted", "key", through="tab-1"),
        Actor("p-nobody", "pin", verified=True),
        Actor("p-tester", "pin", verified=True),
        Actor("p-operator", "pin", verified=True),
    ],
)
def test_nobody_else_opens_ends_or_closes(baths: Baths, actor: Actor) -> None:
    baths.round()
    everyone_out(baths.book, ANYBODY, {"pool": "plunge", "stop": "glass"})
    with pytest.raises(NotAllowedError, match="duty manager"):
        open_pool(baths.book, actor, {"pool": "main", "reason": "r"})
    with pytest.raises(NotAllowedError):
        end_house_stop(baths.book, actor, {"pool": "plunge", "reason": "r"})
    if actor.person != "p-operator":
        with pytest.raises(NotAllowedError):
            close_pool(baths.book, actor, {"pool": "main", "kind": "closed", "reason": "r"})
    assert status(baths) == ""


def test_a_plant_operator_opens_where_it_was_delegated(baths: Baths) -> None:
    item = {"person": "p-operator", "name": "O", "initials": "O", "roles": ["plant-operator"]}
    add(baths.book, SHELL, "person", item | {"delegated": ["open"]})
    baths.round()
    open_pool(baths.book, baths.who("operator"), {"pool": "main"})
    assert status(baths) == "open"


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"free_chlorine": "0.62", "total_chlorine": "0.78"}, "does-not-meet"),
        ({"clarity": None}, "not-judged"),
    ],
)
def test_opening_on_less_than_meets_takes_a_reason_and_is_marked(
    baths: Baths, changes: dict[str, Any], why: str
) -> None:
    readings = {key: value for key, value in (LOW | changes).items() if value is not None}
    if "clarity" not in readings:
        readings |= {"free_chlorine": "1.52", "total_chlorine": "1.68"}
    record_round(baths.book, baths.who("tester"), {"pool": "main", "readings": readings})
    with pytest.raises(InputError, match=why):
        open_main(baths)
    assert why in open_main(baths, reason="the authority agreed")["marked"]
    assert baths.book.state.openings["main"].marked == (why,)


def test_opening_before_any_round_is_marked_as_that(baths: Baths) -> None:
    with pytest.raises(InputError, match="no-round"):
        open_main(baths)
    assert open_main(baths, reason="r")["marked"] == ["no-round"]


def test_opening_on_an_old_round_is_marked_as_that(baths: Baths) -> None:
    baths.round()
    baths.wait(5 * 60)
    assert open_main(baths, reason="r")["marked"] == ["round-out-of-date"]


def test_opening_on_a_number_that_was_made_to_pass_takes_a_reason(baths: Baths) -> None:
    first = baths.round(**LOW)["round"]
    change = {"round": first, "parameter": "total_chlorine", "value": "1.68", "reason": "r"}
    correct_reading(baths.book, SHELL, change)
    change = {"round": first, "parameter": "free_chlorine", "value": "1.52", "reason": "r"}
    correct_reading(baths.book, SHELL, change)
    assert opening_answer(baths.book, "main", baths.now_ms) == {
        "may": "reason",
        "why": ["not-judged", "changed-to-pass"],
    }


@pytest.mark.parametrize("who", [ANYBODY, Actor("p-tester", "none")])
def test_opening_on_a_round_that_nobody_verified_made_takes_a_reason(
    baths: Baths, who: Actor
) -> None:
    record_round(baths.book, who, {"pool": "main", "readings": GOOD})
    with pytest.raises(InputError, match="round-not-verified"):
        open_main(baths)
    assert open_main(baths, reason="I stood beside")["marked"] == ["round-not-verified"]


@pytest.mark.parametrize("free", ["0.20", "6.20"])
def test_nobody_opens_while_the_rules_say_close(baths: Baths, free: str) -> None:
    found = baths.round(free_chlorine=free, total_chlorine=free)["verdict"]
    assert found["overall"] in ("close", "evacuate")
    with pytest.raises(RefusedError, match="rules-say"):
        open_main(baths, reason="the mayor is here")


@pytest.mark.parametrize("stop", ["stool", "smell-or-gas", "drain-cover", "other"])
def test_anybody_calls_everyone_out_and_nobody_opens_until_it_is_ended(
    baths: Baths, stop: str
) -> None:
    baths.round()
    open_main(baths)
    answer = everyone_out(baths.book, ANYBODY, {"pool": "main", "stop": stop})
    assert answer["also_look"] == ["teaching"]
    assert status(baths) == "closed"
    assert [row.id for row in baths.reopened().state.stops["main"]] == [stop]
    with pytest.raises(RefusedError, match=f"house-stop:{stop}"):
        open_main(baths, reason="it is fine")
    with pytest.raises(InputError, match="reason"):
        end_house_stop(baths.book, baths.who("manager"), {"pool": "main"})
    ended = {"pool": "main", "reason": "cleaned, looked again"}
    assert end_house_stop(baths.book, baths.who("manager"), ended)["ended"] == [stop]
    assert status(baths) == "closed"
    open_main(baths)
    assert status(baths) == "open"


def test_the_bottom_not_seen_in_a_round_puts_everyone_out(baths: Baths) -> None:
    baths.round()
    open_main(baths)
    baths.wait(30)
    baths.round(clarity="not-visible")
    assert [row.id for row in baths.book.state.stops["main"]] == ["bottom-not-seen"]
    assert status(baths) == "closed"
    baths.wait(10)
    baths.round()
    assert [row.id for row in baths.book.state.stops["main"]] == ["bottom-not-seen"]


def test_a_repeat_ends_the_stop_for_a_disinfectant_that_read_none(baths: Baths) -> None:
    baths.round("plunge", free_chlorine="0.00", total_chlorine="0.00")
    assert [row.id for row in baths.book.state.stops["plunge"]] == ["disinfectant-none"]
    baths.wait(10)
    assert baths.round("plunge")["verdict"]["overall"] == "meets"
    assert baths.book.state.stops["plunge"] == ()


def test_ending_a_stop_that_does_not_stand_is_refused(baths: Baths) -> None:
    with pytest.raises(RefusedError, match="no such house stop"):
        end_house_stop(baths.book, baths.who("manager"), {"pool": "main", "reason": "r"})
    everyone_out(baths.book, ANYBODY, {"pool": "main", "stop": "glass"})
    with pytest.raises(RefusedError, match="no such house stop"):
        end_house_stop(
            baths.book, baths.who("manager"), {"pool": "main", "reason": "r", "stop": "stool"}
        )


def test_one_of_two_stops_is_ended_and_the_other_stands(baths: Baths) -> None:
    for stop in ("glass", "blood", "glass"):
        everyone_out(baths.book, ANYBODY, {"pool": "main", "stop": stop})
    given = {"pool": "main", "reason": "r", "stop": "glass", "false_alarm": True}
    end_house_stop(baths.book, baths.who("manager"), given)
    assert [row.id for row in baths.book.state.stops["main"]] == ["blood"]


def test_nobody_opens_while_something_is_being_added_or_mixes(baths: Baths) -> None:
    baths.round()
    started = start_addition(
        baths.book, baths.who("operator"), {"pool": "teaching", "product": "hypo"}
    )
    with pytest.raises(RefusedError, match="dose-running"):
        open_main(baths, reason="r")
    answer_addition(baths.book, ANYBODY, {"addition": started["addition"], "answer": "added"})
    with pytest.raises(RefusedError, match="wait"):
        open_main(baths, reason="r")
    baths.wait(31)
    assert opening_answer(baths.book, "main", baths.now_ms)["may"] == "reason"
    baths.retest("main")
    baths.retest("teaching")
    assert opening_answer(baths.book, "main", baths.now_ms) == {"may": "open", "why": []}


def test_an_open_pool_is_not_opened_again(baths: Baths) -> None:
    baths.round()
    open_main(baths)
    with pytest.raises(RefusedError, match="open already"):
        open_main(baths)


def test_closing_for_a_cause_takes_a_reason_and_shutting_for_the_hours_none(baths: Baths) -> None:
    who = baths.who("manager")
    with pytest.raises(InputError, match="reason"):
        close_pool(baths.book, who, {"pool": "main", "kind": "closed"})
    close_pool(baths.book, who, {"pool": "main", "kind": "closed", "reason": "storm"})
    assert baths.book.state.openings["main"].reason == "storm"
    close_pool(baths.book, who, {"pool": "main", "kind": "shut"})
    assert status(baths) == "shut"


def test_that_somebody_was_told_is_kept(baths: Baths) -> None:
    first = baths.round(**LOW)["round"]
    told(baths.book, ANYBODY, {"pool": "main", "about": first, "whom": "p-manager"})
    assert [row.about for row in baths.book.state.told] == [first]
    with pytest.raises(InputError, match=r"^about: "):
        told(baths.book, ANYBODY, {"pool": "main", "about": "nothing", "whom": "p-manager"})


@pytest.mark.parametrize(
    ("command", "given", "field"),
    [
        (everyone_out, {"pool": "zz", "stop": "glass"}, "pool"),
        (everyone_out, {"pool": "main"}, "stop"),
        (everyone_out, {"pool": "main", "stop": "boredom"}, "stop"),
        (everyone_out, {"pool": "main", "stop": "glass", "nobody_in": "no"}, "nobody_in"),
        (everyone_out, {"pool": "main", "stop": "glass", "at": "2026-07-02T00:00:00Z"}, "at"),
        (open_pool, {"pool": ["main"]}, "pool"),
        (open_pool, {"pool": "main", "force": True}, "force"),
        (close_pool, {"pool": "main", "kind": "ajar"}, "kind"),
        (end_house_stop, {"pool": "main", "reason": "x" * 601}, "reason"),
        (told, {"pool": "main", "about": "x"}, "whom"),
    ],
)
def test_what_does_not_fit_is_refused_by_field(
    baths: Baths, command: Any, given: dict[str, Any], field: str
) -> None:
    with pytest.raises(InputError) as caught:
        command(baths.book, baths.who("manager"), given)
    assert caught.value.field == field


def test_a_stop_keeps_the_time_it_was_called(baths: Baths) -> None:
    before = baths.now_ms
    baths.wait(4)
    given = {"pool": "main", "stop": "stool", "at": "2026-07-01T09:51:00Z"}
    everyone_out(baths.book, ANYBODY, given)
    assert baths.book.state.stops["main"][0].since_ms == before == baths.now_ms - 4 * MINUTE_MS
