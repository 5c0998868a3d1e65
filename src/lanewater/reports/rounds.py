"""Rounds as rows: every reading as it stands and as it stood, and what the rules say of it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal, InvalidOperation
from typing import Any

from lanewater.reports.pieces import Pieces
from lanewater.reports.sheet import Line, Row, Value
from lanewater.reports.words import (
    AGAINST,
    NOT_LISTED,
    TOLD,
    limit_words,
    parameter_words,
    sentence,
    short_words,
)
from lanewater.terms.parameters import PARAMETERS

Points = dict[str, dict[str, tuple[Value, ...]]]

PLAIN = re.compile(r"\d+(\.\d+)?", re.ASCII)
PASSES = ("meets", "meets-borderline")
OWN_UNITS = ("", "mg/L", "mg/l", "ppm", "pH", "C", "°C", "mV", "NTU")
DEPENDS = "the reading does not decide it"


def round_rows(pieces: Pieces, line: Line) -> list[Row]:
    """Give a round's rows, one for each point where water was taken.

    Parameters
    ----------
    pieces : Pieces
        The sorted lines.
    line : Line
        The round-recorded line.
    """
    body = line.entry.body
    said = pieces.judged.get(line.entry.id, [])
    changes = pieces.corrected.get(line.entry.id, [])
    points = values_by_point(body, changes)
    add_computed(points, said)
    words = [outcome(said), *notes(pieces, line)]
    tester = body["tester"].get("person", "")
    first = pieces.row(
        body.get("purpose", "round"),
        line,
        by=pieces.initials(tester) if tester else NOT_LISTED,
        overall=AGAINST[last_overall(said) if said else ""],
        outcome=words[0],
        text="; ".join(words[1:]),
        bathers=str(body.get("bathers", "")),
        fails=not said or said[-1].entry.body["overall"] not in PASSES,
    )
    if tester and tester != line.entry.user:
        entered = f"entered by {pieces.initials(line.entry.user)}"
        first = replace(first, flags=(*first.flags, entered))
    if changes or body.get("changed_after_result"):
        first = replace(first, flags=(*first.flags, "corrected"))
    further = replace(first, overall="", outcome="", text="", bathers="", first=False)
    return [
        replace(further if place else first, point=point, values=values)
        for place, (point, values) in enumerate(points.items())
    ]


def values_by_point(body: Mapping[str, Any], changes: Sequence[Line]) -> Points:
    """Give a round's readings by point and parameter; what has no point goes with the first."""
    places = list(dict.fromkeys(row["point"] for row in body["readings"] if row.get("point")))
    points: Points = {place: {} for place in places or [""]}
    before = list(body.get("changed_after_result", ()))
    waiting = [line.entry.body for line in changes]
    for reading in body["readings"]:
        values = points[reading.get("point") or next(iter(points))]
        name = reading["parameter"]
        values[name] = (*values.get(name, ()), value_of(reading, before, waiting))
    return points


def value_of(
    reading: Mapping[str, Any],
    before: list[Mapping[str, Any]],
    waiting: list[Mapping[str, Any]],
) -> Value:
    """Give a reading as it stands, with what stood there before it."""
    same = [row for row in before if about_same(row, reading)]
    was = [shown(reading["parameter"], {"value": row["value"]}) for row in same]
    standing = reading
    for change in waiting[:]:
        if about_same(change, reading) and change["was"] == standing["value"]:
            was.append(shown(reading["parameter"], standing))
            kept = {key: value for key, value in standing.items() if key != "between"}
            standing = kept | {key: change[key] for key in ("value", "unit") if key in change}
            standing["dilution"] = change.get("dilution", 1)
            waiting.remove(change)
    return Value(shown(reading["parameter"], standing), tuple(was))


def about_same(change: Mapping[str, Any], reading: Mapping[str, Any]) -> bool:
    """Tell whether a change is about a reading."""
    return (change["parameter"], change.get("point", "")) == (
        reading["parameter"],
        reading.get("point", ""),
    )


def shown(parameter: str, reading: Mapping[str, Any]) -> str:
    """Write a reading as it was typed, with what belongs to it: dilution, a unit not its own."""
    text = TOLD.get(reading["value"], reading["value"])
    if "between" in reading:
        between = reading["between"]
        text = f"{between['low']} to {between['high']}"
    unit = reading.get("unit", "")
    if unit not in OWN_UNITS and unit != PARAMETERS[parameter].unit:
        text = f"{text} {unit}"
    dilution = reading.get("dilution", 1)
    return text if dilution == 1 else f"{text} x{dilution}"


def add_computed(points: Points, said: Sequence[Line]) -> None:
    """Put in combined chlorine where it was not read: as the rules took it, or total less free."""
    rows = said[-1].entry.body.get("results", ()) if said else ()
    found = [row["value"] for row in rows if row["parameter"] == "combined_chlorine"]
    for values in points.values():
        if "combined_chlorine" not in values and "total_chlorine" in values:
            alone = len(points) == 1 and found and PLAIN.fullmatch(found[0])
            value = str(found[0]) if alone else total_less_free(values)
            if value:
                values["combined_chlorine"] = (Value(value, computed=True),)


def total_less_free(values: Mapping[str, tuple[Value, ...]]) -> str:
    """Give total less free where both are plain numbers and total is not the lower one, else ""."""
    total, free = values["total_chlorine"], values.get("free_chlorine", ())
    if len(total) != 1 or len(free) != 1:
        return ""
    try:
        less = Decimal(total[0].text) - Decimal(free[0].text)
    except InvalidOperation:
        return ""
    return str(less) if less >= 0 else ""


def outcome(said: Sequence[Line]) -> str:
    """Say how a round stands against its rules, and what was said of it before a correction."""
    if not said:
        return AGAINST[""]
    words = judgement_words(said[-1].entry.body)
    earlier = [AGAINST[line.entry.body["overall"]] for line in said[:-1]]
    changed = [word for word in dict.fromkeys(earlier) if word != AGAINST[last_overall(said)]]
    return f"{words} (before: {', '.join(changed)})" if changed else words


def last_overall(said: Sequence[Line]) -> str:
    """Give what was said last of a round."""
    overall: str = said[-1].entry.body["overall"]
    return overall


def judgement_words(body: Mapping[str, Any]) -> str:
    """Say one judgement: the whole, then each rule that is not met, with its clause."""
    whole = AGAINST[body["overall"]]
    if body["overall"] == "meets":
        return whole
    why = [result_words(row) for row in body.get("results", ()) if not passed(row)]
    if body["overall"] == "not-judged":
        why = [gap_words(row) for row in body.get("not_judged", ())]
    return sentence(whole, "; ".join(dict.fromkeys(why)))


def passed(row: Mapping[str, Any]) -> bool:
    """Tell whether a row says that its rule is met without a doubt, or says nothing of it."""
    return row["verdict"] in ("meets", "not-judged")


def result_words(row: Mapping[str, Any]) -> str:
    """Say one rule that is not met, or met only just."""
    name = short_words(row["parameter"])
    value = TOLD.get(row.get("value", ""), row.get("value", ""))
    point = f" at {row['point']}" if row.get("point") else ""
    limit = limit_words(row["comparison"], row["limit"])
    return f"{name} {value}{point}, {limit} [{row['clause']}]"


def gap_words(row: Mapping[str, Any]) -> str:
    """Say what was not judged, and why."""
    why = DEPENDS if DEPENDS in row["why"] else row["why"]
    return f"{parameter_words(row['parameter'])}: {why}"


def notes(pieces: Pieces, line: Line) -> Iterable[str]:
    """Give what else belongs to a round: other readings, stops, findings, reasons, remarks."""
    said = pieces.judged.get(line.entry.id, [])
    if said:
        body = said[-1].entry.body
        for stop in body.get("stops", ()):
            yield f"house stop: {stop['id'].replace('-', ' ')}"
        for finding in body.get("findings", ()):
            if finding.get("effect") != "note":
                yield str(finding.get("why", finding["id"]))
    yield from pair_words(pieces, line)
    for change in line.entry.body.get("changed_after_result", ()):
        yield f"{about(change)} was {shown(change['parameter'], change)} when its result was shown"
    for change_line in pieces.corrected.get(line.entry.id, []):
        yield correction_words(pieces, change_line)
    if line.entry.reason:
        yield f"reason: {line.entry.reason}"
    if line.entry.body.get("note"):
        yield f"note: {line.entry.body['note']}"


def pair_words(pieces: Pieces, line: Line) -> Iterable[str]:
    """Say which round this one repeats, and by which it was repeated."""
    if "repeats" in line.entry.body:
        first = pieces.rounds.get(line.entry.body["repeats"])
        yield "repeats the round " + (
            "before" if first is None else f"of {pieces.minute_of(first)}"
        )
    for later in pieces.repeats.get(line.entry.id, ()):
        yield f"tested again at {pieces.minute_of(later)}"


def about(change: Mapping[str, Any]) -> str:
    """Name the reading that a change is about."""
    point = f" at {change['point']}" if change.get("point") else ""
    return parameter_words(change["parameter"]) + point


def correction_words(pieces: Pieces, line: Line) -> str:
    """Say a correction: what it was and is, by whom, when and why."""
    body = line.entry.body
    name = body["parameter"]
    keys = ("value", "unit", "dilution")
    now = shown(name, {key: body[key] for key in keys if key in body})
    was = shown(name, {"value": body["was"]})
    who = f"{pieces.initials(line.entry.user)} {pieces.minute_of(line)}"
    why = line.entry.reason or "no reason given"
    return f"{about(body)} {was} corrected to {now} by {who}: {why}"
