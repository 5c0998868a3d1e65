"""`lanewater site authority`: who decides what, shown and changed from the shell."""

from __future__ import annotations

from tests.interfaces.cli.shell_case import Shell

from lanewater.people.authority import MATRIX


def test_the_matrix_is_shown_for_people_and_for_programs(shell: Shell) -> None:
    told = shell("site", "authority", "show", "--json").answer["rows"]
    assert {row["decision"]: row["answers"] for row in told} == MATRIX
    said = shell("site", "authority", "show").out
    assert "end-incident     no" in said
    assert "*\n" not in said.split("delegated:")[0]


def test_one_answer_is_changed_and_marked(shell: Shell) -> None:
    said = shell("site", "authority", "set", "close", "tester", "yes")
    assert (said.code, said.out) == (0, "close, tester: yes from now on.\n")
    shown = shell("site", "authority", "show").out
    assert next(row for row in shown.splitlines() if row.startswith("close")).split()[1] == "yes*"
    told = shell("site", "authority", "show", "--json").answer["rows"]
    assert [row["decision"] for row in told if row["changed"]] == ["close"]


def test_calling_everyone_out_is_taken_from_nobody(shell: Shell) -> None:
    said = shell("site", "authority", "set", "everyone-out", "tester", "no")
    assert said.code == 2
    assert "everyone-out" in said.err
    assert "cannot be taken from anybody" in said.err


def test_a_word_that_is_no_decision_is_wrong_use(shell: Shell) -> None:
    assert shell("site", "authority", "set", "swim", "tester", "yes").code == 2
