"""`lanewater access`."""

from __future__ import annotations

from tests.baths import Baths
from tests.interfaces.cli.shell_case import Shell

from lanewater.service.access import enrol
from lanewater.service.clock import DAY_MS, instant_text, system_clock


def test_a_first_key_made_in_the_shell_enrols_a_browser(shell: Shell, baths: Baths) -> None:
    where = ("--data", str(baths.folder))
    key = shell("access", "new", "--json", *where).answer["first_key"]
    baths.now_ms = system_clock()
    made = enrol(baths.book, key, "Tablet 2")
    rows = shell("access", "devices", "--json", *where).answer
    assert [(row["id"], row["name"]) for row in rows] == [(made["device"], "Tablet 2")]
    assert "token" not in str(rows)
    assert shell("access", "unlock", "p-manager", made["device"], *where).code == 0
    said = shell("access", "unlock", "p-nobody", made["device"], *where)
    assert (said.code, said.out) == (2, "")
    said = shell("access", "unlock", "p-manager", "tab-none", *where)
    assert "not enrolled" in said.err


def test_a_key_is_shown_in_words_too(shell: Shell) -> None:
    assert "shown this once" in shell("access", "new").out


def test_a_lost_device_is_revoked_once_it_is_named(baths: Baths, shell: Shell) -> None:
    where = ("--data", str(baths.folder))
    key = shell("access", "new", "--json", *where).answer["first_key"]
    made = enrol(baths.book, key, "Tablet 2")
    lost = ("--lost-at", "2026-07-01T05:00:00-04:00")
    assert shell("access", "revoke", "tab-none", *where).code == 2
    said = shell("access", "revoke", made["device"], *lost, *where)
    assert (said.code, "not recorded" in said.out) == (0, True)
    assert shell("access", "devices", "--json", *where).answer == []
    assert shell("access", "revoke", made["device"], *where).code == 2


def test_standing_permission_is_given_listed_and_ended(shell: Shell) -> None:
    now = system_clock()
    times = ("--from", instant_text(now), "--until", instant_text(now + DAY_MS))
    made = shell("access", "standing", "give", "p-tester", "main", *times, "--json").answer
    (row,) = shell("access", "standing", "list", "--json").answer
    assert (row["authority"], row["person"], row["pools"]) == (
        made["authority"], "p-tester", ["main"],
    )  # fmt: skip
    assert made["authority"] in shell("access", "standing", "list").out
    assert shell("access", "standing", "end", made["authority"]).out == "Ended.\n"
    assert shell("access", "standing", "list", "--json").answer == []
    said = shell("access", "standing", "give", "p-nobody", "main", *times)
    assert (said.code, "not on the list" in said.err) == (2, True)
