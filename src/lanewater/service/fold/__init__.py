"""Fold entries, oldest first, into what the site is now."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from lanewater.records.entries import Entry
from lanewater.service.fold.additions import take_advice, take_answered, take_started
from lanewater.service.fold.authority import (
    take_authority,
    take_authority_ended,
    take_handover,
    take_matrix,
)
from lanewater.service.fold.closings import count_closing, take_lifted
from lanewater.service.fold.draft import Draft
from lanewater.service.fold.duties import (
    take_closed_days,
    take_duty,
    take_duty_done,
    take_event,
)
from lanewater.service.fold.incidents import (
    take_incident,
    take_incident_continued,
    take_incident_ended,
    take_incident_line,
    take_route,
)
from lanewater.service.fold.letting_go import Held, let_go
from lanewater.service.fold.log_itself import (
    take_log_key,
    take_nothing,
    take_restored,
    take_revoked,
)
from lanewater.service.fold.opening import (
    take_closed,
    take_confirmed,
    take_everyone_out,
    take_opened,
    take_settled,
    take_stop_ended,
    take_told,
)
from lanewater.service.fold.rounds import take_correction, take_round, take_verdict
from lanewater.service.fold.rules import (
    take_accepted,
    take_overlay,
    take_overlay_ended,
    take_rules,
)
from lanewater.service.fold.set_up import (
    take_circuit,
    take_device,
    take_forgotten,
    take_person,
    take_pool,
    take_registered,
    take_site,
)

TAKE: dict[str, Callable[[Draft, Entry], None]] = {
    "site-set-up": take_site,
    "rules-chosen": take_rules,
    "rules-accepted": take_accepted,
    "rules-overlay-added": take_overlay,
    "rules-overlay-ended": take_overlay_ended,
    "pool-set-up": take_pool,
    "circuit-set-up": take_circuit,
    "kit-registered": take_registered("kit"),
    "reagent-registered": take_registered("reagent"),
    "product-registered": take_registered("product"),
    "person-added": take_person,
    "person-changed": take_person,
    "person-forgotten": take_forgotten,
    "device-enrolled": take_device,
    "round-recorded": take_round,
    "reading-corrected": take_correction,
    "round-judged": take_verdict,
    "advice-given": take_advice,
    "addition-started": take_started,
    "addition-answered": take_answered,
    "everyone-out": take_everyone_out,
    "house-stop-ended": take_stop_ended,
    "pool-opened": take_opened,
    "pool-closed": take_closed,
    "told": take_told,
    "opening-settled": take_settled,
    "opening-confirmed": take_confirmed,
    "standing-authority-given": take_authority,
    "standing-authority-ended": take_authority_ended,
    "handover-acknowledged": take_handover,
    "matrix-set": take_matrix,
    "duty-set-up": take_duty,
    "duty-done": take_duty_done,
    "closed-days-set": take_closed_days,
    "event-noted": take_event,
    "closure-lifted": take_lifted,
    "authority-notified": take_nothing,
    "notice-posted": take_nothing,
    "deadline-met": take_nothing,
    "incident-started": take_incident,
    "incident-step-done": take_incident_line,
    "incident-noted": take_incident_line,
    "incident-route-chosen": take_route,
    "incident-ended": take_incident_ended,
    "incident-continued": take_incident_continued,
    "log-key-named": take_log_key,
    "device-revoked": take_revoked,
    "record-restored": take_restored,
    "record-exported": take_nothing,
    "backup-made": take_nothing,
    "stamp-sent": take_nothing,
    "inspection-link-made": take_nothing,
}


def standing(entry: Entry, received_at: str) -> Entry:
    """Give an entry as it counts: nothing happened after it was on record, whatever a clock says.

    The record keeps the claim. What counts may not: a round claimed for next year would be a pool's
    latest for a year, and a stop claimed for then would not hold the rounds of now.
    """
    if max(entry.at, entry.rec) <= received_at:
        return entry
    body = dict(entry.body)
    if "readings" in body:
        body["readings"] = [
            {**row, "at": min(row["at"], received_at)} if "at" in row else row
            for row in body["readings"]
        ]
    return replace(entry, at=min(entry.at, received_at), rec=min(entry.rec, received_at), body=body)


def take(draft: Draft, index: int, entry: Entry, held: Held | None = None) -> None:
    """Take in the entry that stands at an index of the log, then let go of what is of no use."""
    draft.next_entry(index)
    TAKE[entry.type](draft, entry)
    count_closing(draft, entry)
    let_go(draft, held)
