"""Fold rounds, corrections and judgements."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from lanewater.records.entries import Entry
from lanewater.service.clock import known_instant
from lanewater.service.fold.authority import proved
from lanewater.service.fold.draft import Draft, Writer, rules_of
from lanewater.service.fold.duties import take_read
from lanewater.service.fold.opening import holds_the_record, take_stops_of_round, writer_of
from lanewater.service.state import Correction, Reading, Round, Verdict


def reading_of(body: Mapping[str, Any]) -> Reading:
    """Read one reading of an entry."""
    between = body.get("between")
    return Reading(
        parameter=body["parameter"],
        value=body["value"],
        unit=body.get("unit", ""),
        point=body.get("point", ""),
        at_ms=known_instant(body["at"]) if "at" in body else None,
        kit=body.get("kit", ""),
        lot=body.get("lot", ""),
        dilution=body.get("dilution", 1),
        uncertainty=body.get("uncertainty", ""),
        between=(between["low"], between["high"]) if between else None,
    )


def round_of(entry: Entry, index: int) -> Round:
    """Read a round as first recorded."""
    body = entry.body
    return Round(
        id=entry.id,
        pool=body["pool"],
        at_ms=known_instant(entry.at),
        recorded_ms=known_instant(entry.rec),
        source=body["source"],
        purpose=body.get("purpose", "round"),
        by=entry.user,
        verified=proved(entry),
        through=entry.auth.get("through", entry.dev),
        readings=tuple(reading_of(row) for row in body["readings"]),
        corrections=(),
        changed_after_result=tuple(body.get("changed_after_result", ())),
        bathers=body.get("bathers"),
        note=body.get("note", ""),
        reason=entry.reason or "",
        index=index,
        repeats=body.get("repeats", ""),
        shown=body.get("shown", {}).get("overall", ""),
    )


def take_round(draft: Draft, entry: Entry) -> None:
    """Take in a round."""
    given = round_of(entry, draft.index)
    draft.put_round(given)
    take_read(draft, given)
    # A stop that its judgement opens is that device's own word: what it says next knows of it.
    if not holds_the_record(draft, entry):
        draft.heard[entry.id] = writer_of(draft, entry)


def corrected(known: Round, entry: Entry) -> Round:
    """Put a correction beside the reading it corrects."""
    body = entry.body
    correction = Correction(
        entry=entry.id,
        parameter=body["parameter"],
        point=body.get("point", ""),
        was=body["was"],
        value=body["value"],
        unit=body.get("unit", ""),
        dilution=body.get("dilution", 0),
        at_ms=known_instant(entry.at),
        by=entry.user,
        reason=entry.reason or "",
    )
    return replace(known, corrections=(*known.corrections, correction))


def take_correction(draft: Draft, entry: Entry) -> None:
    """Take in a correction of a round that is held."""
    known = draft.rounds.get(entry.body["round"])
    if known is not None:
        draft.put_round(corrected(known, entry))


def verdict_of(entry: Entry) -> Verdict:
    """Read a judgement."""
    return Verdict(
        entry=entry.id,
        round=entry.body["round"],
        at_ms=known_instant(entry.at),
        overall=entry.body["overall"],
        rules=rules_of(entry),
        body=entry.body,
    )


def take_verdict(draft: Draft, entry: Entry) -> None:
    """Take in a judgement; the latest of a round stands, and its house stops open."""
    known = draft.rounds.get(entry.body["round"])
    if known is None:
        return
    draft.verdicts[known.id] = verdict_of(entry)
    if known.purpose != "round":
        return
    latest = draft.latest_beside(known)
    if latest is None or unaware_of(draft.heard.get(known.id), latest):
        take_stops_of_round(draft, known, entry, latest=latest)


def unaware_of(heard: Writer | None, latest: Round) -> bool:
    """Tell whether the device of a round did not know of the latest one, which is not its own.

    Such a round stops the pool all the same.
    """
    if heard is None or latest.through == heard.device:
        return False
    return latest.index >= heard.seen_size
