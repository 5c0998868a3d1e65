"""Fold advice, and what came of it."""

from __future__ import annotations

from dataclasses import replace

from lanewater.kernel.deciding.retesting import both_answers
from lanewater.records.entries import Entry
from lanewater.service.clock import known_instant
from lanewater.service.fold.authority import note_dosing
from lanewater.service.fold.draft import Draft
from lanewater.service.state import Addition, Advice


def take_advice(draft: Draft, entry: Entry) -> None:
    """Take in an amount that was advised; it asks to be answered."""
    body = entry.body
    draft.advices[entry.id] = Advice(
        id=entry.id,
        pool=body["pool"],
        circuit=body.get("circuit", ""),
        product=body["product"],
        at_ms=known_instant(entry.at),
        by=entry.user,
        answer="",
        body=body,
        without_authority=note_dosing(draft, entry),
    )


def take_started(draft: Draft, entry: Entry) -> None:
    """Take in that somebody adds something now."""
    body = entry.body
    draft.additions[entry.id] = Addition(
        id=entry.id,
        advice=body.get("advice", ""),
        pool=body["pool"],
        circuit=body.get("circuit", ""),
        product=body["product"],
        amount=body.get("amount", ""),
        unit=body.get("unit", ""),
        started_ms=known_instant(entry.at),
        by=entry.user,
        answer="",
        answered_ms=0,
        wait_minutes=body.get("wait_minutes", 0),
        lot=body.get("lot", ""),
        scope=body.get("scope", ""),
        strength=body.get("strength", {}),
        density_kg_l=body.get("density_kg_l", ""),
        without_authority=note_dosing(draft, entry),
    )
    answer_advice(draft, body.get("advice", ""), "started")


def take_answered(draft: Draft, entry: Entry) -> None:
    """Take in whether, and how much, was added."""
    body = entry.body
    at_ms = known_instant(entry.at)
    known = draft.additions.get(body.get("addition", ""))
    if known is not None:
        draft.additions[known.id] = replace(
            known,
            answer=both_answers(known.answer, body["answer"]),
            answered_ms=max(at_ms, known.answered_ms),
            amount=body.get("amount", known.amount),
            unit=body.get("unit", known.unit),
            wait_minutes=body.get("wait_minutes", known.wait_minutes),
            lot=body.get("lot", known.lot),
            scope=body.get("scope", known.scope),
        )
        answer_advice(draft, known.advice, body["answer"])
        return
    answer_advice(draft, body.get("advice", ""), body["answer"])
    if body["answer"] != "not-added":
        draft.additions[entry.id] = Addition(
            id=entry.id,
            advice=body.get("advice", ""),
            pool=body["pool"],
            circuit=body.get("circuit", ""),
            product=body.get("product", ""),
            amount=body.get("amount", ""),
            unit=body.get("unit", ""),
            started_ms=at_ms,
            by=entry.user,
            answer=body["answer"],
            answered_ms=at_ms,
            wait_minutes=body.get("wait_minutes", 0),
            lot=body.get("lot", ""),
            scope=body.get("scope", ""),
            strength=body.get("strength", {}),
            density_kg_l=body.get("density_kg_l", ""),
        )


def answer_advice(draft: Draft, advice: str, answer: str) -> None:
    """Keep the answer to an advice."""
    known = draft.advices.get(advice)
    if known is not None:
        draft.advices[advice] = replace(known, answer=both_answers(known.answer, answer))
