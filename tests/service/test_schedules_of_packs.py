"""The schedules of the rules that come with the program, on a day at the pool."""

from __future__ import annotations

from typing import Any

import pytest
from tests.kernel.deciding.deciding_cases import reading
from tests.kernel.deciding.schedule_cases import asked, at, read_at, word

from lanewater.kernel.deciding.schedules import duties_now
from lanewater.service.duty_facts import names_read, rules_schedules
from lanewater.service.packs import load_pack, pack_ids

ALL = ("free_chlorine", "total_chlorine", "ph", "clarity", "temperature_c")
OUTDOOR = {"kind": "pool", "location": "outdoor", "disinfectant": "chlorine", "control": "orp"}


def ruled(rules: str, pool: dict[str, Any], **more: Any) -> dict[str, Any]:
    """Give what is known of a pool under shipped rules, open since the morning."""
    pack = load_pack(rules)
    rows = rules_schedules(pack, pool)
    of = {
        "pool": pool,
        "parameters": sorted(names_read(rows)),
        "borrow_seconds": pack["borrow_seconds"],
    }
    opened = word("open", at("2026-07-01T07:00"))
    return asked(*rows, asked_of=of, opening=opened, **more)


def found(facts: dict[str, Any], now: str, *ids: str) -> list[tuple[str, str, int]]:
    """Give state and time of some rows."""
    rows = duties_now(facts, at(now))
    return [(row["id"], row["state"], row["due_ms"]) for row in rows if row["id"] in ids]


def test_case_8_victoria_four_hours_and_ten_minutes_after_the_last_test_is_overdue() -> None:
    read = read_at(at("2026-07-01T06:50"), at("2026-07-01T08:00"), parameters=ALL)
    facts = ruled("au-vic", OUTDOOR, read=read)
    due = at("2026-07-01T12:00")
    assert found(facts, "2026-07-01T12:10", "rules:while-open") == [
        ("rules:while-open", "overdue", due)
    ]
    assert found(facts, "2026-07-01T12:00", "rules:while-open") == [
        ("rules:while-open", "due", due)
    ]


@pytest.mark.parametrize(
    ("stabiliser", "hourly"), [("25", True), ("29.9", True), ("30", False), (None, True)]
)
def test_case_25_oregon_is_hourly_under_thirty_and_where_nobody_measured(
    stabiliser: str | None, hourly: bool
) -> None:
    earlier = at("2026-06-30T08:00")
    readings = [] if stabiliser is None else [reading("cyanuric_acid", stabiliser)]
    values = [{"at": earlier // 1000, "round": "r1", "readings": readings}]
    pool = OUTDOOR | {"stabiliser": "used"}
    read = read_at(at("2026-07-01T06:50"), parameters=ALL)
    facts = ruled("us-or", pool, read=read, read_values=values if readings else [])
    rows = found(facts, "2026-07-01T08:05", "rules:hourly-under-thirty")
    wanted = [("rules:hourly-under-thirty", "overdue", at("2026-07-01T07:50"))]
    assert rows == (wanted if hourly else [])


def test_case_28_montana_without_a_manual_test_before_opening_is_a_breach_though_a_probe_read() -> (
    None
):
    times = [at("2026-07-01T06:30"), at("2026-07-01T06:59")]
    probe = dict.fromkeys(("orp_mv", "controller_free", "controller_ph"), times)
    facts = ruled("us-mt@2010", OUTDOOR, read=probe)
    manual = [
        f"rules:{row['id']}"
        for row in load_pack("us-mt@2010")["schedules"]
        if row["by"] == "hand" and row["form"] in ("before-opening", "at")
    ]
    assert manual
    missed = [row for row in duties_now(facts, at("2026-07-01T12:00")) if row["state"] == "missed"]
    assert set(manual) & {row["id"] for row in missed}
    assert all(row["clause"] for row in missed if row["id"] in manual)
    after = ruled("us-mt@2010", OUTDOOR, read=read_at(at("2026-07-01T07:10"), parameters=ALL))
    late = [row for row in duties_now(after, at("2026-07-01T12:00")) if row["state"] == "missed"]
    assert set(manual) & {row["id"] for row in late}
    by_hand = ruled("us-mt@2010", OUTDOOR, read=probe | read_at(*times, parameters=ALL))
    rows = duties_now(by_hand, at("2026-07-01T12:00"))
    assert not set(manual) & {row["id"] for row in rows if row["state"] == "missed"}


@pytest.mark.parametrize("rules", pack_ids())
def test_the_schedules_of_every_pack_can_be_told_at_any_time_of_the_day(rules: str) -> None:
    pack = load_pack(rules)
    for pool in ({}, OUTDOOR, {"kind": "spa", "location": "indoor", "disinfectant": "bromine"}):
        facts = ruled(rules, pool, read=read_at(at("2026-07-01T06:50"), parameters=ALL))
        for hour in (0, 6, 7, 12, 21, 23):
            for row in duties_now(facts, at(f"2026-07-01T{hour:02d}:30")):
                known = {f"rules:{one['id']}" for one in pack["schedules"]}
                assert row["id"] in known | {"opened-before-test"}
                assert row["clause"] or row["id"] not in known
