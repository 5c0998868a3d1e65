"""Who let people in is to be seen on a sheet: on whose word, whether confirmed, or nobody."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from tests.baths import Baths
from tests.offline_tablet import OfflineTablet
from tests.reports.sheet_cases import FIRST_DAY, part, rows, sheet

from lanewater.reports.overview import overview_of
from lanewater.service.authority import (
    allow_telephone,
    confirm_opening,
    give_authority,
    open_on_word,
    open_under_standing,
)
from lanewater.service.clock import instant_text
from lanewater.service.opening import close_pool, everyone_out, open_pool


def by_telephone(baths: Baths) -> str:
    """Open Main on the manager's word."""
    allow_telephone(baths.book, baths.who("area"), {"allowed": True})
    baths.round()
    given = {"pool": "main", "word_of": "p-manager"}
    return str(open_on_word(baths.book, baths.who("tester"), given)["entry"])


def opened(baths: Baths) -> Any:
    """Give the row of the one opening."""
    (row,) = rows(sheet(baths), "opened")
    return row


def test_an_opening_on_a_word_says_so_until_it_is_confirmed_and_after(baths: Baths) -> None:
    made = by_telephone(baths)
    row = opened(baths)
    assert row.text.startswith("opened on the word of DD by telephone, NOT CONFIRMED")
    assert (row.by, row.flags) == ("TT", ("NOT CONFIRMED",))
    assert part(sheet(baths)).counts["unconfirmed"] == 1
    assert row.text in [found.text for found in part(overview_of(sheet(baths))).rows]
    baths.wait(26 * 60)
    confirm_opening(baths.book, baths.who("manager"), {"pool": "main", "opening": made})
    row = opened(baths)
    assert row.text.startswith("opened on the word of DD by telephone, confirmed 2 Jul 07:51")
    assert row.flags == ()
    assert "unconfirmed" not in part(sheet(baths)).counts


def test_a_confirming_by_somebody_else_confirms_nothing(baths: Baths) -> None:
    made = by_telephone(baths)
    with baths.book.writing() as writing:
        body = {"pool": "main", "opening": made}
        writing.append("opening-confirmed", body, baths.who("area"))
    assert opened(baths).flags == ("NOT CONFIRMED",)
    assert baths.book.state.openings["main"].confirmed_ms == 0


def test_an_opening_under_standing_permission_says_so_and_the_permission_is_a_row(
    baths: Baths,
) -> None:
    until = instant_text(baths.now_ms + 86_400_000)
    given = {"person": "p-tester", "pools": ["main"], "from": instant_text(baths.now_ms)}
    made = give_authority(baths.book, baths.who("manager"), given | {"until": until})
    baths.round()
    given = {"pool": "main", "standing": made["entry"]}
    open_under_standing(baths.book, baths.who("tester"), given)
    assert opened(baths).text.startswith("opened under standing permission")
    told = [row.text for row in sheet(baths).others if "standing permission" in row.text]
    assert len(told) == 1
    assert all(word in told[0] for word in ("p-tester", "pools main", until))


def test_what_a_device_sent_without_authority_is_marked(baths: Baths) -> None:
    tablet = OfflineTablet(baths.book, "Tablet 2").enrol()
    body = {"pool": "main", "round": tablet.round(pin=True), "overall": "meets"}
    tablet.write("pool-opened", body, pin=True)
    assert opened(baths).flags == ("PIN checked on the device", "WITHOUT AUTHORITY")
    assert part(sheet(baths)).counts["unauthorised"] == 1


def test_a_pool_that_is_used_and_was_not_opened_is_a_row_of_its_own(baths: Baths) -> None:
    baths.round()
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    baths.wait(16 * 60)
    close_pool(baths.book, baths.who("manager"), {"pool": "main", "kind": "shut"})
    baths.wait(9 * 60)
    baths.round()
    days = {"last": FIRST_DAY + timedelta(days=1)}
    assert rows(sheet(baths, **days), "unopened") == []
    baths.wait(60)
    baths.round()
    (row,) = rows(sheet(baths, **days), "unopened")
    assert (row.at, "2 tests" in row.text) == ("2026-07-02 07:51", True)


def test_a_pool_that_is_closed_for_a_reason_is_tested_and_that_is_no_breach(baths: Baths) -> None:
    baths.round()
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    baths.wait(120)
    everyone_out(baths.book, baths.who("tester"), {"pool": "main", "stop": "glass"})
    for _ in range(3):
        baths.wait(30)
        baths.round()
    assert rows(sheet(baths), "unopened") == []


def test_where_nobody_ever_opens_on_record_nothing_is_told(baths: Baths) -> None:
    baths.wait(60)
    for _ in range(3):
        baths.wait(30)
        baths.round()
    assert rows(sheet(baths), "unopened") == []
