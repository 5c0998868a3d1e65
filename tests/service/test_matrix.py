"""A site's own authority matrix: changed on record, enforced by the server and on a tablet."""

from __future__ import annotations

from typing import Any

import pytest
from tests.baths import Baths
from tests.offline_tablet import OfflineTablet

from lanewater.kernel.deciding.mayopen import may_open, opens_by_role
from lanewater.people.authority import ALWAYS, MATRIX
from lanewater.service.actor import ANYBODY, SHELL, Actor
from lanewater.service.carry import carry
from lanewater.service.matrix import matrix_told, set_matrix
from lanewater.service.opening import close_pool, everyone_out, open_pool
from lanewater.service.permission import NotAllowedError, may
from lanewater.terms.errors import InputError
from lanewater.terms.words import ROLES

CLOSED = {"pool": "main", "kind": "closed", "reason": "Storm"}


def change(baths: Baths, decision: str, role: str, answer: str) -> None:
    """Have the owner of the folder change one answer."""
    rows = [{"decision": decision, "role": role, "answer": answer}]
    set_matrix(baths.book, SHELL, {"rows": rows})


def carried_may(baths: Baths, person: str) -> dict[str, str]:
    """Give what a tablet carries of what somebody may."""
    device = {"id": "tab", "name": "Tablet", "kind": "shared"}
    rows = carry(baths.book, device, baths.now_ms)["people"]
    return dict(next(row["may"] for row in rows if row["id"] == person))


def test_at_first_the_site_has_the_default(baths: Baths) -> None:
    rows = matrix_told(baths.book)["rows"]
    assert {row["decision"]: row["answers"] for row in rows} == MATRIX
    assert all(row["changed"] == [] for row in rows)
    assert {row["decision"] for row in rows if row["always"]} == set(ALWAYS)


def test_a_change_holds_at_once_after_a_restart_and_on_the_tablet(baths: Baths) -> None:
    with pytest.raises(NotAllowedError):
        close_pool(baths.book, baths.who("tester"), CLOSED)
    assert carried_may(baths, "p-tester")["close"] == "no"
    change(baths, "close", "tester", "yes")
    assert carried_may(baths, "p-tester")["close"] == "yes"
    close_pool(baths.book, baths.who("tester"), CLOSED)
    assert may(baths.reopened().state, baths.who("tester"), "close") == "yes"
    changed = [row for row in matrix_told(baths.book)["rows"] if row["changed"]]
    assert [(row["decision"], row["changed"]) for row in changed] == [("close", ["tester"])]


def test_what_is_taken_from_a_role_is_refused_with_the_roles_that_may(baths: Baths) -> None:
    change(baths, "open", "duty-manager", "no")
    baths.round()
    with pytest.raises(NotAllowedError, match="the plant operator or the area manager"):
        open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    assert carried_may(baths, "p-manager")["open"] == "no"


@pytest.mark.parametrize("decision", ALWAYS)
@pytest.mark.parametrize("role", ROLES)
def test_nobody_is_kept_from_recording_calling_out_or_beginning_an_incident(
    baths: Baths, decision: str, role: str
) -> None:
    with pytest.raises(InputError, match=decision):
        change(baths, decision, role, "no")
    assert may(baths.book.state, ANYBODY, decision) == "yes"
    everyone_out(baths.book, ANYBODY, {"pool": "main", "stop": "glass"})


@pytest.mark.parametrize(
    "actor",
    [
        ANYBODY,
        Actor("p-manager", "pin", verified=True),
        Actor("p-tester", "pin", verified=True),
        Actor("p-area", "pin", verified=False),
        Actor("p-area", "none"),
    ],
)
def test_only_who_sets_up_changes_it(baths: Baths, actor: Actor) -> None:
    rows = [{"decision": "open", "role": "tester", "answer": "yes"}]
    with pytest.raises(NotAllowedError):
        set_matrix(baths.book, actor, {"rows": rows})
    assert matrix_told(baths.book)["rows"] == matrix_told(baths.book)["rows"]
    assert baths.book.state.matrix == MATRIX


def test_a_tester_opens_only_where_the_site_says_so_by_name(baths: Baths) -> None:
    baths.round()
    with pytest.raises(NotAllowedError):
        open_pool(baths.book, baths.who("tester"), {"pool": "main"})
    change(baths, "open", "tester", "yes")
    open_pool(baths.book, baths.who("tester"), {"pool": "main"})
    assert baths.book.state.openings["main"].by == "p-tester"


def test_the_way_to_open_follows_the_matrix_where_no_network_is(baths: Baths) -> None:
    baths.round()
    device = {"id": "tab", "name": "Tablet", "kind": "shared"}

    def way(person: str) -> Any:
        told = carry(baths.book, device, baths.now_ms)
        facts = next(row["facts"] for row in told["pools"] if row["pool"] == "main")
        known = next(row for row in told["people"] if row["id"] == person)
        return may_open(facts, known, told["authority"], baths.now_ms)["how"], known

    assert way("p-tester")[0] == "nobody"
    change(baths, "open", "tester", "yes")
    how, known = way("p-tester")
    assert (how, opens_by_role(known)) == ("own", True)


def test_a_tablet_s_decision_after_it_was_taken_from_its_person_is_noted(baths: Baths) -> None:
    tablet = OfflineTablet(baths.book, "Poolside").enrol()
    body = {"pool": "main", "kind": "closed"}
    for taken in (False, True):
        if taken:
            change(baths, "close", "duty-manager", "no")
        tablet.hear().write("pool-closed", body, user="p-manager", reason="Storm", pin=True)
        assert baths.book.state.openings["main"].without_authority is taken
