"""What the record's sheets and an inspector see of an incident."""

from __future__ import annotations

from datetime import timedelta

from tests.baths import MINUTE_MS, Baths
from tests.service.test_incidents import begin, read_both, step, told, walk_through
from tests.service.test_sheets import FIRST_DAY, part, rows, sheet

from lanewater.service.incidents import end_incident
from lanewater.service.opening import open_pool
from lanewater.service.record import lines
from lanewater.service.sheets import status_before
from lanewater.terms.instants import instant_text


def walked(baths: Baths) -> str:
    """Have a formed stool found in a pool that is open, and seen to until it is ended."""
    baths.round()
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    baths.wait(5)
    incident = begin(baths, words="near the steps")
    baths.wait(1)
    walk_through(baths, incident)
    end_incident(baths.book, baths.who("manager"), {"incident": incident})
    return incident


def test_the_sheet_says_kind_water_procedure_contact_time_and_who(baths: Baths) -> None:
    walked(baths)
    said = [row.text for row in rows(sheet(baths), "incident")]
    assert said[0] == "incident: formed stool, stopped: main, teaching: near the steps"
    ended = said[-1]
    assert ended.startswith("incident ended: everything asked for was met")
    assert "procedure solid-stool-or-vomit, route 2-for-half-an-hour" in ended
    assert "contact time 84.00 mg min/L in 42 min" in ended
    assert "main found free 1.20, pH 7.43, left free 2.00, pH 7.43" in ended
    assert "teaching found free 1.20" in ended
    assert rows(sheet(baths), "incident")[-1].by == "DD"


def test_every_pool_that_was_stopped_has_it_on_its_sheet(baths: Baths) -> None:
    walked(baths)
    for pool in ("main", "teaching"):
        found = part(sheet(baths), pool)
        texts = [row.text for row in found.rows if row.kind == "incident"]
        assert texts[0].startswith("incident: formed stool")
        assert texts[-1].startswith("incident ended")
    assert [row for row in part(sheet(baths), "plunge").rows if row.kind == "incident"] == []


def test_an_inspector_finds_it_among_what_was_not_met_with_what_was_done(baths: Baths) -> None:
    walked(baths)
    found = [(row, done) for row, done in part(sheet(baths)).failures if row.kind == "incident"]
    assert len(found) == 1
    row, done = found[0]
    assert "formed stool" in row.text
    assert any("remove it" in text for text in done)
    assert "incident ended" in done[-1]


def test_one_that_goes_on_says_so(baths: Baths) -> None:
    begin(baths)
    _, done = part(sheet(baths)).failures[0]
    assert done == ("Not ended in this period.",)


def test_no_test_is_missed_at_a_pool_that_an_incident_stops_over_the_night(baths: Baths) -> None:
    baths.round()
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    baths.wait(1)
    begin(baths)
    baths.wait(3 * 24 * 60)
    later = sheet(baths, FIRST_DAY + timedelta(days=1), FIRST_DAY + timedelta(days=2))
    assert rows(later, "gap") == []


def test_the_record_has_a_line_for_each_of_it(baths: Baths) -> None:
    incident = walked(baths)
    kinds = [row["type"] for row in lines(baths.book) if row["body"].get("incident") == incident]
    assert kinds[0] == "incident-started"
    assert kinds[-1] == "incident-ended"
    assert {"incident-step-done", "incident-route-chosen"} <= set(kinds)
    assert told(baths, incident)["ended"]["outcome"] == "criteria-met"


def test_how_long_circulation_stood_still_is_kept(baths: Baths) -> None:
    incident = begin(baths, "circulation-failure")
    for name in ("people-out", "feeders-off", "ventilated", "pump-nobody-in", "purged"):
        baths.wait(4)
        step(baths, incident, name)
    baths.wait(1)
    read_both(baths)
    end_incident(baths.book, baths.who("manager"), {"incident": incident})
    assert "circulation stood still 16 min" in rows(sheet(baths), "incident")[-1].text


def before_next_day(baths: Baths) -> str:
    """Give how Main stood before the next day, by its sheet."""
    with baths.book.reading() as connection:
        found = status_before(connection, baths.book.site, "main", baths.now_ms + 24 * 60 * 60_000)
    return found[0]


def test_an_incident_told_later_closes_the_pool_when_it_was_told(baths: Baths) -> None:
    baths.round()
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    baths.wait(60)
    begin(baths, at=instant_text(baths.now_ms - 180 * MINUTE_MS))
    assert before_next_day(baths) == "closed"
    baths.wait(24 * 60)
    assert rows(sheet(baths), "gap") == []
