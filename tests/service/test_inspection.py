"""An inspector reads one period without an account, for a limited time, and nothing else."""

from __future__ import annotations

from typing import Any

import pytest
from tests.baths import LOW, Baths
from tests.offline_tablet import OfflineTablet

from lanewater.records.store import log
from lanewater.records.store.schema import inspection_link
from lanewater.service.actor import ANYBODY, SHELL, Actor
from lanewater.service.inspection import (
    Asked,
    LinkError,
    end_link,
    link_of,
    list_links,
    look,
    make_link,
    printed,
)
from lanewater.service.permission import NotAllowedError
from lanewater.service.rounds import correct_reading, record_round
from lanewater.terms.errors import InputError, MissingError

JULY = {"from": "2026-07-01T00:00:00-04:00", "to": "2026-07-02T00:00:00-04:00", "hours": 24}


def made(baths: Baths, **changes: Any) -> dict[str, str]:
    """Make a link to the first day of July."""
    return make_link(baths.book, SHELL, JULY | changes)


def looked(baths: Baths, **asked: Any) -> dict[str, Any]:
    """Look at that day as an inspector."""
    link = link_of(baths.book, made(baths)["token"])
    return look(baths.book, link, Asked(**asked))


def main_of(told: dict[str, Any]) -> dict[str, Any]:
    """Give Main's part."""
    return next(pool for pool in told["pools"] if pool["pool"] == "main")


def test_a_token_is_shown_once_and_kept_as_a_digest_alone(baths: Baths) -> None:
    told = made(baths)
    with baths.book.reading() as connection:
        rows = [tuple(row) for row in connection.execute(inspection_link.select())]
    assert len(rows) == 1
    assert told["token"] not in repr(rows)
    assert len(told["token"]) >= 43
    assert told["token"] not in repr(list_links(baths.book, SHELL))
    with baths.book.reading() as connection:
        raws = [row.raw for row in log.rows_from(connection, baths.book.site, 0)]
    assert told["token"].encode() not in b"".join(raws)
    assert b"inspection-link-made" in raws[-1]


@pytest.mark.parametrize(
    "actor",
    [
        ANYBODY,
        Actor("p-area", "none"),
        Actor("p-area", "shell"),
        Actor("p-manager", "pin", verified=True),
        Actor("p-tester", "pin", verified=True),
    ],
)
def test_only_an_area_manager_a_first_key_or_the_shell_makes_and_ends_links(
    baths: Baths, actor: Actor
) -> None:
    link = made(baths)["link"]
    if actor.method != "shell":
        with pytest.raises(NotAllowedError):
            make_link(baths.book, actor, JULY)
        with pytest.raises(NotAllowedError):
            end_link(baths.book, actor, link)
        with pytest.raises(NotAllowedError):
            list_links(baths.book, actor)
    for who in (baths.who("area"), Actor(method="key", through="tab-1"), SHELL):
        assert make_link(baths.book, who, JULY)["token"]


def test_a_link_opens_until_it_runs_out_or_is_ended(baths: Baths) -> None:
    told = made(baths)
    assert link_of(baths.book, told["token"]).since == "2026-07-01T04:00:00.000Z"
    baths.wait(24 * 60 - 1)
    assert link_of(baths.book, told["token"])
    baths.wait(1)
    with pytest.raises(LinkError):
        link_of(baths.book, told["token"])
    other = made(baths)
    end_link(baths.book, SHELL, other["link"])
    with pytest.raises(LinkError):
        link_of(baths.book, other["token"])
    assert [row["opens"] for row in list_links(baths.book, SHELL)] == [False, False]


def test_a_clock_set_back_opens_no_link_again(baths: Baths) -> None:
    told = made(baths)
    baths.wait(-10)
    with pytest.raises(LinkError):
        link_of(baths.book, told["token"])


@pytest.mark.parametrize("token", ["", "x" * 43, "x" * 101, "\ud800", "a b", "é"])
def test_what_is_no_token_opens_nothing(baths: Baths, token: str) -> None:
    made(baths)
    with pytest.raises(LinkError):
        link_of(baths.book, token)


def test_ending_a_link_that_is_not_there_says_so(baths: Baths) -> None:
    with pytest.raises(MissingError):
        end_link(baths.book, SHELL, "0" * 12)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"hours": 0}, "hours"),
        ({"hours": 745}, "hours"),
        ({"to": JULY["from"]}, "to"),
        ({"to": "2030-07-01T00:00:00Z"}, "to"),
        ({"from": "yesterday"}, "from"),
        ({"from": "2026-07-01"}, "from"),
    ],
)
def test_a_link_to_no_period_is_refused_by_field(
    baths: Baths, changes: dict[str, Any], field: str
) -> None:
    with pytest.raises(InputError) as caught:
        made(baths, **changes)
    assert caught.value.field == field


def test_nothing_outside_the_period_is_given(baths: Baths) -> None:
    baths.round()
    baths.wait(24 * 60)
    baths.round(free_chlorine="1.99")
    token = made(baths, hours=100)["token"]
    link = link_of(baths.book, token)
    told = look(baths.book, link, Asked())
    assert "1.99" not in repr(told)
    assert "1.52" in repr(told)
    since, until = 1_782_878_400_000, 1_782_964_800_000
    for asked in (
        Asked(since_ms=since - 1),
        Asked(until_ms=until + 1),
        Asked(since_ms=until),
        Asked(since_ms=since, until_ms=since),
    ):
        with pytest.raises(InputError):
            look(baths.book, link, asked)
        with pytest.raises(InputError):
            printed(baths.book, link, asked)


def test_failures_come_with_what_was_done(baths: Baths) -> None:
    record_round(baths.book, baths.who("tester"), {"pool": "main", "readings": LOW})
    baths.wait(20)
    baths.round()
    [failure] = main_of(looked(baths))["failures"]
    assert failure["outcome"].startswith("does not meet")
    assert any("tested again by tt: free 1.52" in done.lower() for done in failure["done"])


def test_a_correction_keeps_what_stood_before(baths: Baths) -> None:
    first = baths.round(ph="4.43")["round"]
    change = {"round": first, "parameter": "ph", "value": "7.43", "reason": "Mistyped"}
    correct_reading(baths.book, baths.who("tester"), change)
    told = main_of(looked(baths))
    [row] = [row for row in told["rows"] if row["kind"] == "round"]
    assert row["values"]["ph"] == [{"text": "7.43", "was": ["4.43"], "computed": False}]
    assert "corrected" in row["flags"]
    assert told["counts"]["corrected"] == 1


def test_a_gap_is_a_row_of_its_own_and_a_late_entry_is_marked(baths: Baths) -> None:
    given = {"pool": "main", "readings": LOW, "at": "2026-07-01T05:51:00-04:00"}
    baths.wait(9 * 60)
    record_round(baths.book, baths.who("tester"), given)
    told = main_of(looked(baths))
    assert [row["kind"] for row in told["rows"] if row["kind"] == "gap"]
    [row] = [row for row in told["rows"] if row["kind"] == "round"]
    assert row["timing"] == "late"


def test_a_back_dated_round_of_a_tablet_is_marked(baths: Baths) -> None:
    tablet = OfflineTablet(baths.book, "Tablet 2").enrol()
    baths.wait(9 * 60)
    body = {
        "pool": "main",
        "source": "direct",
        "tester": {"person": "p-tester"},
        "readings": [{"parameter": "ph", "value": "7.40"}],
    }
    baths.round("plunge")
    tablet.hear().write("round-recorded", body, at_ms=baths.now_ms - 8 * 3_600_000)
    [row] = [row for row in main_of(looked(baths))["rows"] if row["kind"] == "round"]
    assert row["timing"] == "back-dated"


def test_one_pool_is_given_alone(baths: Baths) -> None:
    told = looked(baths, pool="plunge")
    assert [pool["pool"] for pool in told["pools"]] == ["plunge"]
    assert len(told["pools_all"]) == 3
    with pytest.raises(InputError, match="pool"):
        looked(baths, pool="nowhere")


def test_too_much_at_once_is_refused_by_saying_what_would_do(baths: Baths) -> None:
    token = made(baths, **{"from": "2025-01-01T00:00:00Z"})["token"]
    link = link_of(baths.book, token)
    year_ms = baths.now_ms - 540 * 86_400_000
    with pytest.raises(InputError, match="one pool, or"):
        look(baths.book, link, Asked(since_ms=year_ms))
    assert look(baths.book, link, Asked(since_ms=year_ms, pool="plunge"))["pools"]


def test_the_latest_month_is_given_where_nothing_is_asked_for(baths: Baths) -> None:
    link = link_of(baths.book, made(baths, **{"from": "2025-01-01T00:00:00Z"})["token"])
    shown = look(baths.book, link, Asked())["shown"]
    assert shown == {"since": "2026-05-31T09:51:00.000Z", "until": "2026-07-02T04:00:00.000Z"}
    assert look(baths.book, link_of(baths.book, made(baths)["token"]), Asked())["shown"] == {
        "since": "2026-07-01T04:00:00.000Z",
        "until": "2026-07-02T04:00:00.000Z",
    }


def test_no_phone_and_no_pin_is_in_what_an_inspector_reads(baths: Baths) -> None:
    baths.round()
    told = repr(looked(baths))
    assert "555-p-tester" not in told
    assert "918273" not in told
    assert ["TT", "Tove Testerlund"] in looked(baths)["people"]


def test_the_print_is_a_pdf(baths: Baths) -> None:
    baths.round()
    link = link_of(baths.book, made(baths)["token"])
    assert printed(baths.book, link, Asked()).startswith(b"%PDF-")


def test_the_stamp_of_the_record_goes_with_it(baths: Baths) -> None:
    told = looked(baths)
    assert told["stamp"].startswith("lanewater/")
    assert told["stamp"].splitlines()[1] == str(told["size"])
