"""Nobody senior there: a word by telephone and standing authority open only what meets."""

from __future__ import annotations

from typing import Any

import pytest
from tests.baths import LOW, MINUTE_MS, Baths
from tests.offline_tablet import OfflineTablet

from lanewater.service.actor import ANYBODY, SHELL, Actor
from lanewater.service.authority import (
    LONGEST_MS,
    allow_telephone,
    authorities,
    confirm_opening,
    end_authority,
    give_authority,
    open_on_word,
    open_under_standing,
)
from lanewater.service.clock import instant_text
from lanewater.service.opening import close_pool, everyone_out
from lanewater.service.permission import NotAllowedError
from lanewater.service.record import lines
from lanewater.service.set_up import add
from lanewater.service.state import Opening
from lanewater.terms.errors import InputError, RefusedError

ON_WORD = {"pool": "main", "word_of": "p-manager"}


@pytest.fixture
def allowed(baths: Baths) -> Baths:
    """Let pools be opened on a word by telephone."""
    allow_telephone(baths.book, baths.who("area"), {"allowed": True})
    return baths


def opening(baths: Baths) -> Opening:
    """Give the last word on Main."""
    return baths.book.state.openings["main"]


def on_word(baths: Baths, **changes: Any) -> dict[str, Any]:
    """Open Main as the tester, on the manager's word."""
    return open_on_word(baths.book, baths.who("tester"), ON_WORD | changes)


def give(baths: Baths, **changes: Any) -> dict[str, str]:
    """Let the tester open Main for a day, as the manager."""
    given = {
        "person": "p-tester",
        "pools": ["main"],
        "from": instant_text(baths.now_ms),
        "until": instant_text(baths.now_ms + 24 * 60 * MINUTE_MS),
    }
    return give_authority(baths.book, baths.who("manager"), given | changes)


def test_a_tester_opens_on_a_word_and_it_is_shown_as_that_until_confirmed(allowed: Baths) -> None:
    allowed.round()
    made = on_word(allowed)["entry"]
    told = opening(allowed)
    assert (told.status, told.by, told.word_of, told.confirmed_ms) == (
        "open", "p-tester", "p-manager", 0,
    )  # fmt: skip
    allowed.wait(90)
    confirm_opening(allowed.book, allowed.who("manager"), {"pool": "main", "opening": made})
    told = opening(allowed)
    assert (told.confirmed_ms, told.confirmed_by) == (allowed.now_ms, "p-manager")
    assert allowed.reopened().state.openings["main"] == told
    with pytest.raises(RefusedError, match="confirmed already"):
        confirm_opening(allowed.book, allowed.who("manager"), {"pool": "main", "opening": made})


def test_only_who_gave_their_word_confirms_it(allowed: Baths) -> None:
    allowed.round()
    given = {"pool": "main", "opening": on_word(allowed)["entry"]}
    for actor in (allowed.who("area"), allowed.who("tester"), Actor("p-manager", "none"), SHELL):
        with pytest.raises(NotAllowedError, match="gave their word"):
            confirm_opening(allowed.book, actor, given)
    assert opening(allowed).confirmed_ms == 0


def test_an_opening_of_before_is_confirmed_after_the_pool_was_closed(allowed: Baths) -> None:
    allowed.round()
    given = {"pool": "main", "opening": on_word(allowed)["entry"]}
    close_pool(allowed.book, allowed.who("manager"), {"pool": "main", "kind": "shut"})
    confirm_opening(allowed.book, allowed.who("manager"), given)
    assert [row["type"] for row in lines(allowed.book)][-1] == "opening-confirmed"
    assert opening(allowed).status == "shut"


def test_what_is_not_on_a_word_is_not_confirmed(allowed: Baths) -> None:
    with pytest.raises(RefusedError, match="on somebody's word"):
        confirm_opening(allowed.book, allowed.who("manager"), {"pool": "main", "opening": "x"})


def test_a_site_that_did_not_say_so_opens_on_no_word(baths: Baths) -> None:
    baths.round()
    with pytest.raises(RefusedError, match="by telephone"):
        on_word(baths)
    allow_telephone(baths.book, SHELL, {"allowed": True})
    allow_telephone(baths.book, SHELL, {"allowed": False})
    with pytest.raises(RefusedError, match="by telephone"):
        on_word(baths)
    site = baths.book.state.site
    assert (site.name, site.rules.id, site.timezone) == (
        "Harbour Baths", "ca-qc", "America/Toronto",
    )  # fmt: skip


@pytest.mark.parametrize("name", ["tester", "manager", "operator"])
def test_only_who_sets_the_site_up_allows_the_telephone(baths: Baths, name: str) -> None:
    with pytest.raises(NotAllowedError):
        allow_telephone(baths.book, baths.who(name), {"allowed": True})


@pytest.mark.parametrize(
    ("changes", "error"),
    [
        ({"word_of": "p-operator"}, NotAllowedError),
        ({"word_of": "p-nobody"}, NotAllowedError),
        ({"word_of": "p-tester"}, InputError),
        ({"pool": "nowhere"}, InputError),
    ],
)
def test_a_word_is_worth_what_its_giver_may(
    allowed: Baths, changes: dict[str, str], error: type[Exception]
) -> None:
    allowed.round()
    with pytest.raises(error):
        on_word(allowed, **changes)


def test_who_takes_the_call_is_on_the_list_and_signed_in(allowed: Baths) -> None:
    allowed.round()
    for actor in (ANYBODY, SHELL, Actor("p-tester", "none"), Actor("p-gone", "pin", verified=True)):
        with pytest.raises(NotAllowedError):
            open_on_word(allowed.book, actor, ON_WORD)


@pytest.mark.parametrize("how", ["word", "standing"])
@pytest.mark.parametrize("case", ["no-round", "low", "unverified", "stop", "old", "adding"])
def test_neither_opens_what_takes_a_reason_or_a_second_look(
    allowed: Baths, how: str, case: str
) -> None:
    standing = give(allowed)["entry"]
    if case == "low":
        allowed.round(**LOW)
    elif case != "no-round":
        allowed.round()
    if case == "unverified":
        allowed.wait(1)
        OfflineTablet(allowed.book, "T").enrol().round()
    if case == "stop":
        everyone_out(allowed.book, ANYBODY, {"pool": "main", "stop": "glass"})
    if case == "old":
        allowed.wait(300)
    if case == "adding":
        with allowed.book.writing() as writing:
            body = {"pool": "main", "product": "hypo", "circuit": "hall"}
            writing.append("addition-started", body, allowed.who("operator"))
    command = open_on_word if how == "word" else open_under_standing
    given = ON_WORD if how == "word" else {"pool": "main", "standing": standing}
    with pytest.raises(RefusedError, match="takes somebody who may open pools"):
        command(allowed.book, allowed.who("tester"), given)
    assert "main" not in allowed.book.state.openings or opening(allowed).status != "open"


def test_standing_authority_opens_for_the_person_the_pool_and_the_time(baths: Baths) -> None:
    made = give(baths)
    baths.round()
    given = {"pool": "main", "standing": made["entry"]}
    with pytest.raises(NotAllowedError, match="no standing authority"):
        open_under_standing(baths.book, baths.who("operator"), given)
    with pytest.raises(NotAllowedError, match="no standing authority"):
        open_under_standing(baths.book, baths.who("tester"), given | {"pool": "teaching"})
    with pytest.raises(NotAllowedError, match="no standing authority"):
        open_under_standing(baths.book, baths.who("tester"), given | {"standing": "another"})
    open_under_standing(baths.book, baths.who("tester"), given)
    told = opening(baths)
    assert (told.status, told.standing, told.word_of) == ("open", made["entry"], "")


@pytest.mark.parametrize(
    ("minutes", "opens"), [(-1, False), (0, True), (1439, True), (1440, False)]
)
def test_standing_authority_begins_and_ends_by_the_clock(
    baths: Baths, minutes: int, opens: bool
) -> None:
    begins = baths.now_ms + MINUTE_MS
    until = begins + 1440 * MINUTE_MS
    made = give(baths, **{"from": instant_text(begins), "until": instant_text(until)})
    baths.now_ms = begins + minutes * MINUTE_MS
    baths.round()
    given = {"pool": "main", "standing": made["entry"]}
    if opens:
        assert open_under_standing(baths.book, baths.who("tester"), given)["entry"]
    else:
        with pytest.raises(NotAllowedError):
            open_under_standing(baths.book, baths.who("tester"), given)


def test_standing_authority_that_was_ended_opens_nothing(baths: Baths) -> None:
    made = give(baths)
    assert [row["authority"] for row in authorities(baths.book, baths.now_ms)] == [
        made["authority"]
    ]
    end_authority(baths.book, baths.who("area"), {"authority": made["authority"]})
    assert authorities(baths.book, baths.now_ms) == []
    baths.round()
    given = {"pool": "main", "standing": made["entry"]}
    with pytest.raises(NotAllowedError):
        open_under_standing(baths.book, baths.who("tester"), given)
    with pytest.raises(RefusedError, match="ended already"):
        end_authority(baths.book, baths.who("area"), {"authority": made["authority"]})
    assert baths.reopened().state.authorities[made["authority"]].ended_ms > 0


def test_who_may_open_or_owns_the_folder_gives_standing_authority(baths: Baths) -> None:
    given = {
        "person": "p-tester",
        "pools": ["main", "main"],
        "from": instant_text(baths.now_ms),
        "until": instant_text(baths.now_ms + LONGEST_MS),
    }
    for actor in (baths.who("manager"), baths.who("area"), SHELL):
        made = give_authority(baths.book, actor, given)
        assert baths.book.state.authorities[made["authority"]].pools == ("main",)
    for name in ("tester", "operator"):
        with pytest.raises(NotAllowedError):
            give_authority(baths.book, baths.who(name), given)
    with pytest.raises(NotAllowedError):
        give_authority(baths.book, ANYBODY, given)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"until": "2026-07-01T05:51:00-04:00"}, "until"),
        ({"until": "2026-10-02T05:51:01-04:00"}, "until"),
        ({"until": "tomorrow"}, "until"),
        ({"person": "p-nobody"}, "person"),
        ({"pools": ["nowhere"]}, "pool"),
        ({"pools": []}, "pools"),
    ],
)
def test_what_does_not_fit_is_refused_by_its_name(
    baths: Baths, changes: dict[str, Any], field: str
) -> None:
    with pytest.raises(InputError) as caught:
        give(baths, **changes)
    assert caught.value.field == field


def test_a_person_who_is_gone_gives_and_gets_nothing(allowed: Baths) -> None:
    gone = {"person": "p-manager", "name": "D", "initials": "DD", "roles": ["duty-manager"]}
    add(allowed.book, SHELL, "person", gone | {"gone": True})
    allowed.round()
    with pytest.raises(NotAllowedError, match="may not open"):
        on_word(allowed)
    with pytest.raises(InputError):
        give_authority(
            allowed.book,
            allowed.who("area"),
            {
                "person": "p-manager",
                "pools": ["main"],
                "from": instant_text(allowed.now_ms),
                "until": instant_text(allowed.now_ms + MINUTE_MS),
            },
        )
