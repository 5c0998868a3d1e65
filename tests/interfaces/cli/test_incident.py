"""`lanewater incident`."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.baths import PINS
from tests.interfaces.cli.shell_case import Shell


def begun(shell: Shell, *words: str) -> str:
    """Begin an incident."""
    found: str = shell("incident", "start", *words, "--json").answer["incident"]
    return found


def pin_of(tmp_path: Path, person: str) -> tuple[str, ...]:
    """Give the flags of somebody who proves who they are."""
    file = tmp_path / person
    file.write_text(f"{PINS[person]}\n", encoding="utf-8")
    return ("--by", person, "--pin-from", str(file))


def test_one_is_begun_by_nobody_in_particular_stepped_through_and_ended(
    shell: Shell, tmp_path: Path
) -> None:
    incident = begun(shell, "glass", "plunge", "--words", "by the steps")
    assert incident in shell("incident", "list").out
    for step in ("people-out", "glass-gathered", "glass-searched"):
        assert shell("incident", "step", incident, step, "--by", "p-tester").code == 0
    said = shell("incident", "show", incident).out
    assert "to-do       glass-word" in said
    assert "Not met: steps-done, named-word." in said
    proved = pin_of(tmp_path, "p-manager")
    words = ("--words", "Looked over floor and steps: none left")
    assert shell("incident", "step", incident, "glass-word", *words, *proved).code == 0
    assert "All is met" in shell("incident", "show", incident).out
    assert shell("incident", "end", incident, "--by", "p-manager").code == 2
    ended = shell("incident", "end", incident, *proved, "--json").answer
    assert (ended["outcome"], ended["pools"]) == ("criteria-met", ["plunge"])
    assert "criteria-met" in shell("incident", "list").out


def test_the_rules_own_routes_are_shown_in_their_order_and_one_is_chosen(
    shell: Shell, tmp_path: Path
) -> None:
    incident = begun(shell, "formed-stool", "main")
    said = shell("incident", "show", incident).out
    first, second = said.index("2-for-half-an-hour"), said.index("equal-product")
    assert first < second
    assert "no time" in said
    chosen = ("solid-stool-or-vomit", "equal-product")
    assert shell("incident", "route", incident, *chosen, "--by", "p-tester").code == 2
    proved = pin_of(tmp_path, "p-manager")
    assert shell("incident", "route", incident, *chosen, *proved).code == 0
    assert "chosen  equal-product" in shell("incident", "show", incident).out


def test_thunder_is_noted_again_and_its_quiet_is_shown(shell: Shell) -> None:
    incident = begun(shell, "thunder", "main", "--nobody-in")
    assert shell("incident", "note", incident, "again").code == 0
    assert "(30 minutes)" in shell("incident", "show", incident).out
    assert shell("site", "thunder", "45").code == 0
    assert "(45 minutes)" in shell("incident", "show", incident).out


def test_a_wrong_pin_proves_nothing(shell: Shell, tmp_path: Path) -> None:
    incident = begun(shell, "glass", "plunge")
    file = tmp_path / "pin"
    file.write_text("000000", encoding="utf-8")
    wrong = ("--by", "p-manager", "--pin-from", str(file))
    said = shell("incident", "end", incident, "--false-alarm", "--reason", "a leaf", *wrong)
    assert said.code == 2
    assert shell("incident", "list", "--json").answer["incidents"]


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("start", "fire", "main"), 2),
        (("start", "glass", "nowhere"), 2),
        (("show", "inc-none"), 3),
        (("step", "inc-none", "people-out", "--by", "p-tester"), 3),
        (("note", "inc-none", "again"), 3),
        (("end",), 2),
    ],
)
def test_what_does_not_fit_or_is_not_there(shell: Shell, words: tuple[str, ...], code: int) -> None:
    assert shell("incident", *words).code == code


def test_without_an_incident_the_list_says_so(shell: Shell) -> None:
    assert shell("incident", "list").out == "No incident is on record.\n"


def test_an_incident_is_named_by_the_one_pool_at_which_it_is_open(shell: Shell) -> None:
    assert "0 incidents are open at main" in shell("incident", "show", "main").err
    incident = begun(shell, "formed-stool", "main")
    assert shell("incident", "show", "main", "--json").answer["incident"] == incident
    begun(shell, "thunder", "main")
    said = shell("incident", "show", "main")
    assert said.code == 2
    assert incident in said.err
