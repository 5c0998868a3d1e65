"""How an entry's claimed time stands to what its place in the record proves."""

from __future__ import annotations

from dataclasses import dataclass

MINUTE_MS = 60_000
# JUDG: a round of several pools is written down within the hour; the same hour after which a
# round that is handed in counts as late.
ON_TIME_MS = 60 * MINUTE_MS
# JUDG: two clocks that nobody set may differ by this much.
CLOCKS_APART_MS = 5 * MINUTE_MS
# JUDG: a device whose clock was measured to be further off proves nothing by its time.
CLOCK_OFF_MS = 10 * MINUTE_MS

ON_TIME = "on-time"
LATE = "late"
PAPER = "paper"
BACK_DATED = "back-dated"
SENT_LATER = "sent-later"
AHEAD = "ahead"
CLOCK_OFF = "clock-off"
TIMINGS = (ON_TIME, LATE, PAPER, BACK_DATED, SENT_LATER, AHEAD, CLOCK_OFF)


@dataclass(frozen=True, slots=True)
class Claim:
    """An entry's times, all in UTC milliseconds.

    Attributes
    ----------
    claimed_ms : int
        When it is said to have happened.
    written_ms : int
        When its device wrote it, by the device's clock.
    received_ms : int
        When it came on record: it is no younger than this.
    known_from_ms : int or None
        When the newest line that its device knew came on record: it is no older than this.
        None where it knew none.
    source : str
        "late" and "paper" where the entry itself says so, else anything.
    clock_off_ms : int
        How far the device's clock was measured to be off, either way; 0 where not measured.
    """

    claimed_ms: int
    written_ms: int
    received_ms: int
    known_from_ms: int | None = None
    source: str = ""
    clock_off_ms: int = 0


def timing_of(claim: Claim) -> str:
    """Give the class of a claimed time, by rule alone.

    Returns
    -------
    str
        "paper" and "late": the entry says so itself. "ahead": claimed for after it was on record.
        "back-dated": written more than an hour after the time it claims, as its own device's time
        or the line it knew shows, and it does not say so. "clock-off": its device's clock, or the
        record's own between the line it knew and itself, is not to be believed. "sent-
        later": written at the time by its device's clock, and on record
        more than an hour later; nothing proves either. "on-time": on record within the hour.
    """
    if claim.source in (PAPER, LATE):
        return claim.source
    if claim.claimed_ms > claim.received_ms + CLOCKS_APART_MS:
        return AHEAD
    latest_on_time_ms = claim.claimed_ms + ON_TIME_MS
    shown_ms = claim.written_ms if claim.known_from_ms is None else claim.known_from_ms
    if shown_ms > claim.received_ms + CLOCKS_APART_MS:
        return CLOCK_OFF
    if max(claim.written_ms, shown_ms) > latest_on_time_ms:
        return BACK_DATED
    if abs(claim.clock_off_ms) > CLOCK_OFF_MS:
        return CLOCK_OFF
    return ON_TIME if claim.received_ms <= latest_on_time_ms else SENT_LATER
