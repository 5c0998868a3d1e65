"""Record a round: saved first, durable, then judged; a correction adds and never replaces."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from lanewater.kernel.deciding.duenow import why_repeated
from lanewater.kernel.deciding.heldverdict import PASSED_OVERALL, judged_round, shown_before
from lanewater.measurement.reading import Reading, reading_from
from lanewater.records.entries import Entry, entry_id
from lanewater.records.errors import BrokenPromiseError, EntryIdReusedError, NotRecordingError
from lanewater.service.actor import Actor
from lanewater.service.book import Book, Writing
from lanewater.service.clock import instant_text
from lanewater.service.incidents_checked import look_at_endings
from lanewater.service.judging import (
    ENGINE,
    JUDGING_ERRORS,
    judged,
    judging_case,
    measured,
    on_the_wire,
    readings_of,
    recordable,
    verdict_on_the_wire,
)
from lanewater.service.lookback import with_lookback
from lanewater.service.past import as_of, with_round
from lanewater.service.permission import NotAllowedError, person_of
from lanewater.service.round_given import Given, reading_body, round_given
from lanewater.service.rules_held import pack_of, pack_or_why
from lanewater.service.state import (
    Round,
    Rules,
    SiteState,
    Verdict,
    current_readings,
)
from lanewater.terms.errors import InputError, RefusedError
from lanewater.terms.shapes import Shape, identity, text, whole, words

CORRECTION = Shape(
    {"round": entry_id, "parameter": identity, "value": text(20, shortest=1), "reason": words},
    {"point": text(60), "unit": text(20), "dilution": whole(1, 100)},
)
IN_CHARGE = {"duty-manager", "plant-operator", "area-manager"}


def record_round(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """Save a round, then judge it.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Who tested; somebody not on the list may too, marked not verified.
    given : mapping
        {"pool", "readings": short or long form, "at"?, "id"?, "source"?, "reason"?, "purpose"?,
        "changed_after_result"?, "bathers"?, "note"?}.

    Returns
    -------
    dict
        {"round", "recorded_at", "repeated", "judged", "why_not_judged"?, "verdict",
        "repeat_asked", "changed_to_pass"}. Once this returns, the round is on disk.

    Raises
    ------
    InputError
        Naming the field; nothing is saved then.
    NotRecordingError
        Where the disk did not take it.
    """
    round_ = round_given(book.state, given, book.clock())
    judge_last(book, round_.body["pool"])
    with book.writing() as writing:
        known = resent(writing, actor, round_)
        if known is None:
            entry = writing.append(
                "round-recorded",
                {"tester": tester(actor), **round_.body},
                actor,
                at_ms=round_.at_ms,
                entry_id=round_.id,
                reason=round_.reason,
            )
            recorded = Recorded(entry.id, entry.rec, repeated=False)
        else:
            recorded = Recorded(known.id, instant_text(known.recorded_ms), repeated=True)
    return answer_for(book, recorded, judge_if_needed(book, recorded.id))


@dataclass(frozen=True, slots=True)
class Recorded:
    """A round that is on disk."""

    id: str
    recorded_at: str
    repeated: bool


def tester(actor: Actor) -> dict[str, Any]:
    """Give who tested, as the body says it."""
    return {"person": actor.person} if actor.listed else {"unlisted": True}


def resent(writing: Writing, actor: Actor, given: Given) -> Round | None:
    """Give the round that a resend repeats, None where the id is new.

    Raises
    ------
    EntryIdReusedError
        Where the id is on record with other content.
    """
    if given.id is None or not writing.known(given.id):
        return None
    found = with_round(writing.book, given.id).round_by_id(given.id)
    if found is None or found.by != actor.person:
        raise EntryIdReusedError(given.id)
    same = tuple(reading_body(measured(row)) for row in found.readings)
    if found.pool != given.body["pool"] or same != tuple(given.body["readings"]):
        raise EntryIdReusedError(given.id)
    if given.at_stated and found.at_ms != given.at_ms:
        raise EntryIdReusedError(given.id)
    return found


def answer_for(book: Book, recorded: Recorded, why_not: str) -> dict[str, Any]:
    """Give the answer to a round that is on disk."""
    verdict = with_round(book, recorded.id).verdicts.get(recorded.id)
    body = dict(verdict.body) if verdict else {}
    answer: dict[str, Any] = {
        "round": recorded.id,
        "recorded_at": recorded.recorded_at,
        "repeated": recorded.repeated,
        "judged": verdict is not None,
        "verdict": verdict_on_the_wire(verdict),
        "repeat_asked": bool(why_repeated(body)),
        "changed_to_pass": body.get("changed_to_pass", False),
    }
    return answer | ({"why_not_judged": why_not} if why_not else {})


def judge_if_needed(book: Book, round_id: str) -> str:
    """Judge a round that has no judgement; give why it could not be, "" where it was.

    The round is on disk already, so nothing that goes wrong here may reach the tester as "not
    saved".
    """
    if round_id in with_round(book, round_id).verdicts:
        return ""
    try:
        why_not = judge_and_look(book, round_id)
    except JUDGING_ERRORS as error:
        return f"saved, not judged: {error}"
    return why_not and f"saved, not judged: {why_not}"


def judge_and_look(
    book: Book, round_id: str, before: SiteState | None = None, *, was: str = ""
) -> str:
    """Judge a round and let go on what it shows was not over; give why it could not be judged.

    Both are one transaction: a round without a judgement was not looked at either.

    Parameters
    ----------
    book : Book
        The site's book.
    round_id : str
        The round.
    before : SiteState, optional
        The site before the correction that it is judged again for; as it is where left out.
    was : str
        The overall verdict before that, "" where there was none.

    Raises
    ------
    NotRecordingError
        Where the disk did not take it; none of it is on record then.
    """
    with book.writing() as writing:
        known = before or writing.state
        why_not = tried(lambda: judge_round(book, round_id, was=was))
        tried(lambda: look_at_endings(writing, known, round_id))
    return why_not


def tried(step: Callable[[], object]) -> str:
    """Do what may fail over what is to be judged, never over the disk; give why it did."""
    try:
        step()
    except (NotRecordingError, BrokenPromiseError):
        raise
    except JUDGING_ERRORS as error:
        return str(error) or type(error).__name__
    return ""


def judge_last(book: Book, pool: str) -> None:
    """Judge a pool's last round where a crash left it unjudged: its house stop must stand."""
    last = book.state.last_round(pool)
    if last is not None and book.recording:
        judge_if_needed(book, last.id)


def judge_round(book: Book, round_id: str, *, was: str = "") -> Entry:
    """Judge a round on record and put the judgement on record beside it.

    Parameters
    ----------
    book : Book
        The site's book.
    round_id : str
        The round.
    was : str
        The overall verdict before a correction, "" where there was none.
    """
    with book.writing() as writing:
        state = with_round(book, round_id)
        found = state.round_by_id(round_id)
        if found is None:
            raise InputError("round", f"{round_id} is not on record")
        state = as_of(book, state, found)
        pack, missing = pack_or_why(book, state, found.pool, found.at_ms)
        answer = judged_round(
            pack,
            with_lookback(state, pack, found.pool, case_of(state, found), found.id),
            first_result(state, found, was),
            [
                {"id": stop.id, "since": stop.since_ms, "round": stop.round}
                for stop in state.stops.get(found.pool, ())
            ],
        )
        body = recordable(answer["body"])
        if missing:
            body["not_judged"] = [{"parameter": "rules", "why": missing}]
        if found.shown and found.shown != body["overall"] and not found.corrections:
            body["differs_from"] = found.shown
        return append_judgement(writing, found, body, answer["rules"])


def first_result(state: SiteState, found: Round, was: str) -> dict[str, Any]:
    """Give what the kernel asks for of a round whose numbers were changed after a result."""
    return {
        "id": found.id,
        "at": found.at_ms,
        "was": was,
        "changed": changed_parameters(found),
        "first_case": case_before_change(state, found),
    }


def changed_parameters(found: Round) -> list[str]:
    """Give what was changed in a round, before or after it was saved."""
    before = [str(change["parameter"]) for change in found.changed_after_result]
    return before + [change.parameter for change in found.corrections]


def overall_shown(verdict: Verdict | None) -> str:
    """Give what was first shown of a round: a fail that was made to pass is still a fail."""
    return shown_before(verdict_on_the_wire(verdict))


def case_of(
    state: SiteState, found: Round, readings: Sequence[Reading] | None = None
) -> dict[str, Any]:
    """Give the judging case of a round, as it stands or with other readings."""
    return judging_case(
        state,
        found.pool,
        readings_of(found) if readings is None else readings,
        found.at_ms,
        purpose=found.purpose,
        without=found.id,
    )


def case_before_change(state: SiteState, found: Round) -> dict[str, Any] | None:
    """Give the case before a number was changed after its result was shown, None where none was."""
    if not found.changed_after_result:
        return None
    readings = list(current_readings(found))
    for change in reversed(found.changed_after_result):
        for index, reading in enumerate(readings):
            point = change.get("point", "")
            if (reading.parameter, reading.point) == (change["parameter"], point):
                readings[index] = replace(reading, value=change["value"])
    return case_of(state, found, [measured(row) for row in readings])


def append_judgement(
    writing: Writing, found: Round, body: dict[str, Any], rules: dict[str, str] | None
) -> Entry:
    """Put a judgement on record; one too long for an entry is kept without its texts."""
    whole_body = {
        "pool": found.pool,
        "round": found.id,
        "purpose": found.purpose,
        "engine": ENGINE,
        **body,
    }
    actor = Actor(person="lanewater", method="device")
    try:
        return writing.append("round-judged", whole_body, actor, rules=rules)
    except InputError as error:
        if error.field != "entry":
            raise
    short = {key: whole_body[key] for key in whole_body if key not in ("actions", "findings")}
    short["results"] = [row for row in body["results"] if row["verdict"] not in PASSED_OVERALL][:40]
    short["findings"] = [
        {key: row[key] for key in ("id", "about", "effect") if key in row}
        for row in body["findings"][:40]
    ]
    return writing.append("round-judged", short | {"shortened": True}, actor, rules=rules)


def judge_missing(book: Book) -> list[str]:
    """Judge the rounds that were saved and not judged, as after a crash in between."""
    state = book.state
    missing = [
        found.id
        for rounds in state.rounds.values()
        for found in rounds
        if found.id not in state.verdicts
    ]
    return [round_id for round_id in missing if not judge_if_needed(book, round_id)]


def judge_draft(book: Book, given: Mapping[str, Any]) -> dict[str, Any]:
    """Judge a round that is not saved; nothing is put on record."""
    state = book.state
    now = book.clock()
    round_ = round_given(state, given, now)
    pack = pack_of(book, state, round_.body["pool"], round_.at_ms)
    case = judging_case(
        state,
        round_.body["pool"],
        round_.readings,
        round_.at_ms,
        purpose=round_.body.get("purpose", "round"),
    )
    case = with_lookback(state, pack, round_.body["pool"], case, "")
    rules = Rules() if pack is None else Rules(pack["id"], pack["edition"], pack["hash"])
    return on_the_wire(rules, judged(pack, case))


def correct_reading(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """Put a correction beside a reading; both stay, and the round is judged again.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        The tester of the round, or somebody else on the list, signed in.
    given : mapping
        {"round", "parameter", "value", "reason", "point"?, "unit"?, "dilution"?}.

    Returns
    -------
    dict
        As record_round.

    Raises
    ------
    InputError
        Naming the field.
    NotRecordingError
        Where the disk did not take it; neither it nor a judgement is on record then.
    """
    CORRECTION(given, "")
    with book.writing() as writing:
        state = with_round(book, given["round"])
        found = state.round_by_id(given["round"])
        if found is None:
            raise InputError("round", f"{given['round']} is not on record")
        hold_to_own(state, actor, found)
        before = state.verdicts.get(found.id)
        body = correction_body(found, given)
        entry = writing.append(
            "reading-corrected", body, actor, amends=found.id, reason=given["reason"]
        )
        # A round that stands corrected and not judged again would go on meeting.
        why_not = judge_and_look(book, found.id, state, was=overall_shown(before))
    why_not = why_not and f"saved, not judged again: {why_not}"
    return answer_for(book, Recorded(found.id, entry.rec, repeated=False), why_not)


def hold_to_own(state: SiteState, actor: Actor, found: Round) -> None:
    """Let people correct their own rounds, and who is in charge any."""
    person = person_of(state.people, actor)
    in_charge = person is not None and actor.verified and IN_CHARGE & set(person.roles)
    if found.by != actor.person and not in_charge and actor.method != "shell":
        raise NotAllowedError("a round is corrected by its tester or by somebody in charge")


def correction_body(found: Round, given: Mapping[str, Any]) -> dict[str, Any]:
    """Give the body of a correction, with the value it stands beside."""
    rows = [row for row in current_readings(found) if row.parameter == given["parameter"]]
    points = {row.point for row in rows}
    if "point" not in given and len(points) > 1:
        raise InputError("point", f"say which: {', '.join(sorted(points))}")
    rows = [row for row in rows if row.point == given.get("point", row.point)]
    if not rows:
        raise InputError("parameter", f"{given['parameter']!r} has no reading there in this round")
    old = rows[-1]
    fresh = reading_from(
        {
            "parameter": old.parameter,
            "value": given["value"],
            "unit": given.get("unit", old.unit),
            "dilution": given.get("dilution", old.dilution),
        },
        "",
    )
    if (fresh.text, fresh.typed_unit, fresh.dilution) == (old.value, old.unit, old.dilution):
        raise RefusedError("value: is what stands there already")
    body: dict[str, Any] = {
        "pool": found.pool,
        "round": found.id,
        "parameter": old.parameter,
        "was": old.value,
        "value": fresh.text,
        "dilution": fresh.dilution,
    }
    if old.point:
        body["point"] = old.point
    return body | ({"unit": fresh.typed_unit} if fresh.typed_unit else {})
