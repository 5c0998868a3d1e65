"""Fold what is to be done and what was: duties, closed days, events, and when what was read.

Rows are made by the kernel, so that a tablet counts its own lines to the same. What is of no pool
is kept under "".
"""

from __future__ import annotations

from typing import Any

from lanewater.kernel.deciding.dutiesafter import (
    EVENTS_KEPT,
    done_row,
    done_with,
    event_row,
    latest_rows,
    row_in_time,
)
from lanewater.kernel.deciding.readtimes import read_with
from lanewater.records.entries import Entry
from lanewater.service.clock import DAY_MS, MINUTE_MS, known_instant, offset_minutes
from lanewater.service.fold.draft import Draft
from lanewater.service.state import Round

OF_SITE = ""
# No claimed time makes more days than these of one opening.
OPEN_DAYS = 460


def line_of(entry: Entry) -> dict[str, Any]:
    """Give an entry as the kernel takes it."""
    at_ms = known_instant(entry.at)
    return {"id": entry.id, "at": at_ms, "user": entry.user, "body": dict(entry.body)}


def put(draft: Draft, part: str, key: str, value: Any) -> None:
    """Put one thing of a part anew; what was given out before stays as it was."""
    draft.asked[part] = {**draft.asked.get(part, {}), key: value}


def take_duty(draft: Draft, entry: Entry) -> None:
    """Set up a duty, or set it up again; one that is gone is no more."""
    body = dict(entry.body)
    known = draft.asked.get("duties", {}).get(body["duty"], {})
    row = {**body, "since": known.get("since", known_instant(entry.at))}
    put(draft, "duties", body["duty"], row)


def take_duty_done(draft: Draft, entry: Entry) -> None:
    """Take in that a duty was done, not needed, or not done."""
    scope = entry.body.get("pool", OF_SITE)
    rows = draft.asked.get("done", {}).get(scope, [])
    put(draft, "done", scope, done_with(rows, done_row(line_of(entry))))


def take_closed_days(draft: Draft, entry: Entry) -> None:
    """Take the closed days of the site, or of one pool, in the place of those before."""
    days = [dict(row) for row in entry.body["days"]]
    put(draft, "closed_days", entry.body.get("pool", OF_SITE), days)


def take_event(draft: Draft, entry: Entry) -> None:
    """Take in that something happened."""
    scope = entry.body.get("pool", OF_SITE)
    rows = draft.asked.get("events", {}).get(scope, [])
    kept = latest_rows(row_in_time(rows, event_row(line_of(entry))), EVENTS_KEPT)
    put(draft, "events", scope, kept)


def take_read(draft: Draft, given: Round) -> None:
    """Take in when what was read; a correction changes nothing of it."""
    parameters = ["round"] if given.purpose == "round" else []
    parameters += [row.parameter for row in given.readings if row.parameter not in parameters]
    known = draft.asked.get("read", {}).get(given.pool, {})
    put(draft, "read", given.pool, read_with(known, list(dict.fromkeys(parameters)), given.at_ms))


def take_open_days(draft: Draft, pool: str, since_ms: int, until_ms: int) -> None:
    """Keep the site's days over which a pool stood open; no closed day hides a test of them."""
    if draft.site is None:
        return
    first, last = (
        (at_ms + offset_minutes(draft.site.timezone, at_ms) * MINUTE_MS) // DAY_MS
        for at_ms in (since_ms, until_ms)
    )
    known = draft.asked.get("open_days", {}).get(pool, [])
    days = {*known, first, *range(max(first, last - OPEN_DAYS), last + 1)}
    put(draft, "open_days", pool, sorted(days))
