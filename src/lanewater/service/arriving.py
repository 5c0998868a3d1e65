"""What a device says by itself, held against the site: what names nothing here or cannot be."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from lanewater.measurement.reading import Reading, reading_from
from lanewater.records.entries import Entry
from lanewater.records.receiving import UNLISTED, Objection
from lanewater.service.additions import AMOUNT_UNITS
from lanewater.service.clock import known_instant
from lanewater.service.fold.rounds import reading_of
from lanewater.service.incident_facts import LONGEST_INCIDENT_MS
from lanewater.service.judging import measured
from lanewater.service.round_given import EARLY_MS, is_negative
from lanewater.service.state import SiteState
from lanewater.terms.errors import InputError


def object_to(state: SiteState, entry: Entry) -> None:
    """Object to what names nothing that is set up here, and to what could not be judged.

    What stands here already is never asked to agree: two devices may well contradict each other,
    and both are kept.

    Raises
    ------
    Objection
        "not-yet" where it may be set up later, else "does-not-fit".
    """
    pool = entry.body.get("pool")
    of_none = entry.type in OF_NO_POOL or (pool is None and entry.type in OF_SITE_TOO)
    if not of_none and pool not in state.pools:
        raise Objection("not-yet", "body.pool")
    if entry.user != UNLISTED and entry.user not in state.people:
        raise Objection("not-yet", "user")
    check = CHECKS.get(entry.type)
    if check is not None:
        check(state, entry)


def object_to_round(_state: SiteState, entry: Entry) -> None:
    """Object to a round whose readings could not be read again when it is judged."""
    body = entry.body
    said = {"unlisted": True} if entry.user == UNLISTED else {"person": entry.user}
    if dict(body["tester"]) != said:
        raise Objection("does-not-fit", "body.tester")
    latest_ms = known_instant(entry.at) + EARLY_MS
    places = set()
    for index, row in enumerate(body["readings"]):
        where = f"body.readings[{index}]"
        if "at" in row and known_instant(row["at"]) > latest_ms:
            raise Objection("does-not-fit", f"{where}.at")
        hold_to_reading(row, where)
        places.add((row["parameter"], row.get("point", "")))
    for index, change in enumerate(body.get("changed_after_result", ())):
        where = f"body.changed_after_result[{index}]"
        if (change["parameter"], change.get("point", "")) not in places:
            raise Objection("does-not-fit", f"{where}.parameter")
        hold_to_value(change, where)


def hold_to_reading(row: Mapping[str, Any], where: str) -> None:
    """Object to a reading that measurement cannot read, or that lies below zero."""
    if "between" in row:
        read_or_object(lambda: measured(reading_of(row)), where)
    else:
        hold_to_value(row, where)


def hold_to_value(row: Mapping[str, Any], where: str) -> None:
    """Object to a value that is none, in its unit."""
    given = {key: row[key] for key in ("parameter", "value", "unit", "dilution") if key in row}
    if is_negative(read_or_object(lambda: reading_from(given), where)):
        raise Objection("does-not-fit", f"{where}.value")


def read_or_object(read: Callable[[], Reading], where: str) -> Reading:
    """Read something, turning what cannot be read into an objection."""
    try:
        return read()
    except InputError:
        raise Objection("does-not-fit", where) from None


def object_to_correction(state: SiteState, entry: Entry) -> None:
    """Object to a correction of what is not on record, or is another tester's.

    Others correct as well, but signed in: that takes the server.
    """
    found = state.round_by_id(entry.body["round"])
    if entry.amends != entry.body["round"] or not entry.reason:
        raise Objection("does-not-fit", "amends" if entry.reason else "reason")
    if found is None:
        raise Objection("not-yet", "body.round")
    if found.by != entry.user or found.pool != entry.body["pool"]:
        raise Objection("does-not-fit", "user" if found.by != entry.user else "body.pool")
    hold_to_value(entry.body, "body")


def object_to_answer(_state: SiteState, entry: Entry) -> None:
    """Object to an amount without its unit, or in a unit that nobody can add up."""
    body = entry.body
    if ("amount" in body) != ("unit" in body):
        raise Objection("does-not-fit", "body.unit")
    if "unit" in body and body["unit"] not in AMOUNT_UNITS:
        raise Objection("does-not-fit", "body.unit")


def object_to_opening(state: SiteState, entry: Entry) -> None:
    """Object to an opening on two authorities at once, on one's own word or on nobody's.

    That somebody had no authority is no objection: the pool is open, and the record must say so.
    """
    body = entry.body
    if "word_of" in body and "standing" in body:
        raise Objection("does-not-fit", "body.standing")
    if body.get("word_of") == entry.user:
        raise Objection("does-not-fit", "body.word_of")
    if "word_of" in body and body["word_of"] not in state.people:
        raise Objection("not-yet", "body.word_of")


def object_to_unreasoned(_state: SiteState, entry: Entry) -> None:
    """Object to a decision that takes a reason and has none."""
    if not entry.reason:
        raise Objection("does-not-fit", "reason")


def object_to_confirming(state: SiteState, entry: Entry) -> None:
    """Object to a confirming by anybody but the person on whose word it was opened."""
    known = state.openings.get(entry.body["pool"])
    if known is not None and known.entry == entry.body["opening"] and known.word_of != entry.user:
        raise Objection("does-not-fit", "user")


def object_to_amount(state: SiteState, entry: Entry) -> None:
    """Object to an amount of what is not on the list, or that nobody can add up."""
    if entry.body["product"] not in state.products:
        raise Objection("not-yet", "body.product")
    object_to_answer(state, entry)


def object_to_closing(state: SiteState, entry: Entry) -> None:
    """Object to a closing by nobody's order, or for the hours with a cause."""
    body = entry.body
    if body.get("by_order") and not body.get("authority"):
        raise Objection("does-not-fit", "body.authority")
    if body["kind"] == "closed":
        object_to_unreasoned(state, entry)


def object_to_incident(state: SiteState, entry: Entry) -> None:
    """Object to one of long ago, at pools not set up, or that does not stop its own pool."""
    body = entry.body
    if known_instant(entry.at) < known_instant(entry.rec) - LONGEST_INCIDENT_MS:
        raise Objection("does-not-fit", "at")
    if body["pool"] not in body["pools"]:
        raise Objection("does-not-fit", "body.pools")
    if any(pool not in state.pools for pool in body["pools"]):
        raise Objection("not-yet", "body.pools")


def object_to_incident_line(state: SiteState, entry: Entry) -> None:
    """Object to a line on an incident that is not on record, or not of that pool."""
    known = state.incidents.get(entry.body["incident"])
    if known is None:
        raise Objection("not-yet", "body.incident")
    if known["pool"] != entry.body["pool"]:
        raise Objection("does-not-fit", "body.pool")
    if entry.body.get("outcome") == "false-alarm":
        object_to_unreasoned(state, entry)


OF_NO_POOL = ("handover-acknowledged",)
OF_SITE_TOO = ("duty-done", "event-noted")
CHECKS: dict[str, Callable[[SiteState, Entry], None]] = {
    "round-recorded": object_to_round,
    "reading-corrected": object_to_correction,
    "addition-answered": object_to_answer,
    "pool-opened": object_to_opening,
    "pool-closed": object_to_closing,
    "house-stop-ended": object_to_unreasoned,
    "incident-started": object_to_incident,
    "incident-step-done": object_to_incident_line,
    "incident-route-chosen": object_to_incident_line,
    "incident-noted": object_to_incident_line,
    "incident-ended": object_to_incident_line,
    "opening-settled": object_to_unreasoned,
    "opening-confirmed": object_to_confirming,
    "addition-started": object_to_amount,
    "advice-given": object_to_amount,
}
