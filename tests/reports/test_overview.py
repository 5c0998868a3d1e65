"""A long time is an overview with a sheet for each month; together they hold every row."""

from __future__ import annotations

import io
from collections.abc import Callable
from concurrent.futures import Future
from datetime import timedelta
from itertools import pairwise

import pytest
from pypdf import PdfReader
from tests.baths import LOW, Baths
from tests.reports.sheet_cases import FIRST_DAY, ZONE, correct, part, sheet

from lanewater.reports import overview
from lanewater.reports.overview import fits, overview_of, rows_in
from lanewater.reports.sheet import Sheet
from lanewater.service import sheet_files
from lanewater.service.sheet_days import sheet_wanted
from lanewater.service.sheet_files import months_of, printed, printed_alone
from lanewater.service.stamping import stamp

LAST_DAY = FIRST_DAY + timedelta(days=61)


@pytest.fixture
def summer(baths: Baths) -> Baths:
    """Give the site with a round every few days of two months and a bit, one low, one corrected."""
    for number in range(8):
        entry = baths.round(**(LOW if number == 3 else {}))["round"]
        if number == 5:
            correct(baths, entry, "ph", "7.34")
        baths.wait(8 * 24 * 60)
    return baths


class Inline:
    """Printers of this process, so that what a test sets holds for them."""

    def __enter__(self) -> Inline:
        return self

    def __exit__(self, *_: object) -> None:
        return None

    def submit(self, work: Callable[[Sheet], bytes], sheet: Sheet) -> Future[bytes]:
        """Do the work at once."""
        done: Future[bytes] = Future()
        done.set_result(work(sheet))
        return done


def texts(summer: Baths) -> dict[str, str]:
    """Print the two months and give the text of each file."""
    wanted = sheet_wanted("Sheet", ZONE, FIRST_DAY, LAST_DAY)
    signed = stamp(summer.book)
    made = sheet(summer, FIRST_DAY, LAST_DAY)
    return {
        name: " ".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages)
        for name, content in printed(summer.book, wanted, made, signed)
    }


def test_a_process_of_its_own_prints_the_same_bytes(
    summer: Baths, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = sheet(summer)
    here = printed_alone(made)
    monkeypatch.setattr(sheet_files, "SHORT_ROWS", 0)
    assert printed_alone(made) == here


def test_what_fits_is_one_file(summer: Baths) -> None:
    assert list(texts(summer)) == [""]


def test_what_does_not_fit_is_an_overview_and_a_sheet_for_each_month(
    summer: Baths, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sheet_files, "printers", Inline)
    monkeypatch.setattr(overview, "MOST_ROWS", rows_in(sheet(summer, FIRST_DAY, LAST_DAY)) - 1)
    found = texts(summer)
    assert list(found) == ["", "-2026-07", "-2026-08"]
    assert "overview" in found[""].lower()
    assert "7.34" in found[""]
    assert "0.62" in found[""]
    both = found["-2026-07"] + found["-2026-08"]
    for row in part(sheet(summer, FIRST_DAY, LAST_DAY)).rows:
        if row.kind == "round":
            assert row.values["free_chlorine"][0].text in both


def test_a_month_that_is_too_long_is_a_sheet_a_pool(
    summer: Baths, monkeypatch: pytest.MonkeyPatch
) -> None:
    july = sheet(summer, FIRST_DAY, FIRST_DAY + timedelta(days=30))
    monkeypatch.setattr(sheet_files, "printers", Inline)
    monkeypatch.setattr(overview, "MOST_ROWS", rows_in(july) - 1)
    assert list(texts(summer)) == [""] + [
        f"-2026-{month}{pool}"
        for month, pools in (("07", ("-main", "-teaching", "-plunge")), ("08", ("",)))
        for pool in pools
    ]


def test_an_overview_leaves_out_what_is_as_usual_and_nothing_else(summer: Baths) -> None:
    whole = sheet(summer, FIRST_DAY, LAST_DAY)
    short = overview_of(whole)
    assert short.events == whole.events
    assert "left out" in short.left_out
    for before, after in zip(whole.pools, short.pools, strict=True):
        gone = [row for row in before.rows if row not in after.rows]
        assert all(row.kind in ("round", "opened", "shut") and not row.flags for row in gone)
        assert not any(row.fails for row in gone)
        assert after.failures == before.failures
        assert after.counts == before.counts
    assert rows_in(short) < rows_in(whole)


def test_where_too_much_stands_out_it_is_said_in_numbers(
    summer: Baths, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(overview, "MOST_ROWS", 1)
    short = overview_of(sheet(summer, FIRST_DAY, LAST_DAY))
    assert fits(short)
    assert part(short).counts["failures"] == 1
    assert "in numbers" in short.left_out


def test_months_cover_every_day_once(summer: Baths) -> None:
    wanted = sheet_wanted("Sheet", ZONE, FIRST_DAY + timedelta(days=9), LAST_DAY)
    months = list(months_of(summer.book, wanted))
    assert months[0].since_ms == wanted.since_ms
    assert months[-1].until_ms == wanted.until_ms
    for one, following in pairwise(months):
        assert one.until_ms == following.since_ms
