"""`lanewater due`, `lanewater duty`, `lanewater site duty` and `lanewater site closed-days`."""

from __future__ import annotations

import pytest
from tests.interfaces.cli.shell_case import Shell

DUTY = ("--kind", "backwash", "--every", "1-weeks", "--pool", "main", "--role", "tester")


def test_a_duty_is_set_up_asked_for_done_and_ended_from_the_shell(shell: Shell) -> None:
    made = shell("site", "duty", "add", "Backwash filter one", *DUTY, "--json")
    assert made.answer == {"id": "backwash-filter-one"}
    listed = shell("site", "duty", "list")
    assert "backwash-filter-one  Backwash filter one  backwash  every 1 weeks  main" in listed.out
    due = shell("due", "--person", "p-tester", "--json").answer
    assert "site:backwash-filter-one" in [row["id"] for row in due["mine"]]
    said = shell("due", "--person", "p-tester").out
    assert "Due today:" in said
    assert "Main: Backwash filter one  (site:backwash-filter-one)" in said
    done = shell("duty", "done", "site:backwash-filter-one", "--pool", "main", "--words", "Both")
    assert (done.code, done.out) == (0, "It is on the record.\n")
    after = shell("due", "--json").answer
    assert "site:backwash-filter-one" in [row["id"] for row in after["later"]]
    assert shell("site", "duty", "end", "backwash-filter-one").code == 0
    assert shell("site", "duty", "list", "--json").answer == []
    assert shell("site", "duty", "end", "backwash-filter-one").code == 3


def test_closed_days_are_set_shown_and_taken_away(shell: Shell) -> None:
    assert shell("site", "closed-days", "2030-12-25", "2030-12-24").code == 0
    assert "site: 2030-12-24, 2030-12-25" in shell("site", "closed-days").out
    shell("site", "closed-days", "2030-12-31", "--pool", "main")
    assert "main: 2030-12-31" in shell("site", "closed-days").out
    assert shell("site", "closed-days", "--none").code == 0
    assert shell("site", "closed-days", "--json").answer == [
        {"days": [{"day": "2030-12-31"}], "pool": "main"}
    ]


def test_an_event_is_kept_and_a_wrong_one_is_refused(shell: Shell) -> None:
    assert shell("duty", "event", "rain", "--pool", "main", "--json").code == 0
    assert shell("duty", "event", "rain", "--pool", "lagoon").code == 2
    assert shell("duty", "event", "snow").code == 2


@pytest.mark.parametrize("every", ["weekly", "1", "1-fortnights", "x-weeks", "500-years"])
def test_how_often_must_be_a_number_and_a_unit(shell: Shell, every: str) -> None:
    given = ("--kind", "other", "--every", every)
    assert shell("site", "duty", "add", "Sweep", *given).code == 2
