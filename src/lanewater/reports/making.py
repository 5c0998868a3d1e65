"""Make a sheet in words of what was gathered for it."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any

from lanewater.reports.gaps import GRACE_MS, Gap, gaps_of
from lanewater.reports.happenings import HAPPENINGS
from lanewater.reports.incidents import is_of, story
from lanewater.reports.missed import clauses_of, missed_in, missed_rows, untested_rows
from lanewater.reports.moments import day_text, duration_text, minute_near
from lanewater.reports.others import OTHERS, other_row
from lanewater.reports.pieces import Pieces, in_period, of_kind, pieces_of
from lanewater.reports.rounds import round_rows
from lanewater.reports.sheet import Line, Material, PoolPart, PoolSheet, Row, Sheet
from lanewater.reports.standing import closed_spans, quiet_rows
from lanewater.reports.unopened import unopened
from lanewater.reports.words import (
    HEADS,
    NO_AUTHORITY,
    UNCONFIRMED,
    limit_words,
    parameter_words,
    short_words,
)
from lanewater.terms.instants import instant_text

DAY_MS = 86_400_000
TESTED = ("round", "sample")


def make_sheet(material: Material) -> Sheet:
    """Make a sheet in words.

    Parameters
    ----------
    material : Material
        Everything that was gathered; the same gives the same sheet.
    """
    pieces = pieces_of(material)
    lines = [line for line in material.lines if in_period(material, line.at_ms)]
    return Sheet(
        site=material.site,
        site_id=material.site_id,
        timezone=material.timezone,
        demo=material.demo,
        us_paper=material.us_paper,
        title=material.title,
        period=period_text(pieces),
        as_of=pieces.minute(material.recorded_ms),
        recorded_ms=material.recorded_ms,
        size=material.size,
        pools=tuple(pool_sheet(pieces, part, lines) for part in material.pools),
        people=people_of(pieces),
        devices=devices_of(pieces),
        kits=kits_of(pieces),
        others=tuple(other_row(pieces, line) for line in of_kind(lines, *OTHERS)),
        stamp=material.stamp,
        events=events_of(material.lines),
    )


def period_text(pieces: Pieces) -> str:
    """Say the period in days, both included."""
    material = pieces.material
    first, last = pieces.local(material.since_ms), pieces.local(material.until_ms - 1)
    if first.date() == last.date():
        return day_text(first)
    return f"{day_text(first)} to {day_text(last)}"


def events_of(lines: Iterable[Line]) -> bytes:
    """Write the lines as a bundle's events.jsonl does: each entry's bytes with its signature."""
    return b"".join(event_of(line) for line in lines)


def event_of(line: Line) -> bytes:
    """Write one line; the same bytes as `records.bundle.events_line`, in a tenth of the time."""
    fields = {
        "entry": line.raw.decode(),
        "index": line.index,
        "received_at": instant_text(line.received_ms),
        "sig": line.sig.hex(),
    }
    return json.dumps(fields, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"


def pool_sheet(pieces: Pieces, part: PoolPart, lines: Sequence[Line]) -> PoolSheet:
    """Make one pool's part of a sheet."""
    own = [line for line in lines if is_of(line, part.id)]
    material = pieces.material
    end_ms = min(material.until_ms, material.now_ms)
    rounds = of_kind(own, "round-recorded")
    tests = [line for line in rounds if line.entry.body.get("purpose") != "sample"]
    tested = [line.at_ms for line in tests]
    before = [] if part.last_round_ms is None else [part.last_round_ms]
    closed = closed_spans(own, part, end_ms)
    period = (material.since_ms, end_ms)
    gaps = gaps_of(part.plans, closed, sorted([*before, *tested]), period, material.offsets)
    rows = [row for line in rounds for row in round_rows(pieces, line)]
    rows += happening_rows(pieces, own)
    missed = missed_in(part, own, closed, period, material.offsets)
    rows += [gap_row(pieces, part, gap, clauses_of(gap, missed)) for gap in gaps]
    rows += missed_rows(pieces, part, missed, gaps, period)
    rows += untested_rows(pieces, part, own)
    rows += quiet_rows(pieces, part, closed, gaps, tested)
    rows += unopened(pieces, part, own, tests, period)
    rows.sort(key=lambda row: (row.at_ms, -1 if row.line is None else row.line))
    judged = [line for line in rounds for line in pieces.judged.get(line.entry.id, ())[-1:]]
    return PoolSheet(
        id=part.id,
        name=part.name,
        bromine=part.bromine,
        counts=counts_of(rows),
        intervals=interval_words(part),
        rules=rules_of(judged),
        limits=limits_of(judged),
        rows=tuple(rows),
        failures=tuple(failures_of(pieces, rows)),
    )


def happening_rows(pieces: Pieces, own: Sequence[Line]) -> list[Row]:
    """Give what happened beside the rounds; an addition begun and answered the same is one row."""
    same = {
        line.entry.body["addition"]
        for line in of_kind(own, "addition-answered")
        if "addition" in line.entry.body and "amount" not in line.entry.body
    }
    return [
        HAPPENINGS[line.entry.type](pieces, line)
        for line in own
        if line.entry.type in HAPPENINGS and line.entry.id not in same
    ]


def gap_row(pieces: Pieces, part: PoolPart, gap: Gap, clauses: str = "") -> Row:
    """Give the row of a test that was due and not done."""
    due = pieces.local(gap.due_ms)
    until = minute_near(pieces.local(gap.until_ms), due)
    what = "the test before opening" if gap.opening else "a test"
    late = duration_text(gap.until_ms - gap.due_ms)
    end = f"none until {until}, {late} later" if gap.done else f"none by {until}"
    many = f"; {gap.missed} tests in that time" if gap.missed > 1 else ""
    text = f"{what} was due {due:%H:%M}: {end}{many}{clauses}"
    at = pieces.minute(gap.due_ms)
    return Row("gap", part.id, gap.due_ms, at, text=text, missed=gap.missed)


def counts_of(rows: Sequence[Row]) -> dict[str, int]:
    """Count rounds, what did not meet, gaps and what was not as usual."""
    tests = [row for row in rows if row.kind in TESTED and row.first]
    timings = Counter(row.timing for row in tests)
    return {
        "rounds": sum(row.kind == "round" for row in tests),
        "samples": sum(row.kind == "sample" for row in tests),
        "failures": sum(row.fails for row in tests),
        "corrected": sum("corrected" in row.flags for row in tests),
        "missed": sum(row.missed for row in rows),
        **tally("unopened", sum(row.kind == "unopened" for row in rows)),
        **tally("unconfirmed", sum(UNCONFIRMED in row.flags for row in rows)),
        **tally("unauthorised", sum(NO_AUTHORITY in row.flags for row in rows)),
        **{timing: count for timing, count in sorted(timings.items()) if timing != "on-time"},
    }


def tally(name: str, count: int) -> dict[str, int]:
    """Give a count under its name; nothing where there is nothing to count."""
    return {name: count} if count else {}


def interval_words(part: PoolPart) -> tuple[str, ...]:
    """Say how often the pool was to be tested, each way of it once."""
    said = []
    for plan in part.plans:
        words = f"every {duration_text(plan.every_ms)} ({plan.why})" if plan.every_ms else ""
        before = f"within {duration_text(plan.before_ms)} before opening" if plan.before_ms else ""
        said.append(" and ".join(word for word in (words, before) if word))
    none = "neither rules nor plan say how often: gaps cannot be told"
    return tuple(dict.fromkeys(word or none for word in said))


def rules_of(judged: Sequence[Line]) -> tuple[str, ...]:
    """Give the rules and the editions that judged."""
    found: dict[str, None] = {}
    for line in judged:
        rules = line.entry.rules
        words = f"{rules['id']}, {rules['edition']}" if rules else "No local rules chosen"
        found[f"{words} ({rules['hash'][:12]})" if rules and rules["hash"] else words] = None
    return tuple(found)


def limits_of(judged: Sequence[Line]) -> tuple[str, ...]:
    """Give every limit that a round was held against, with its clause, once."""
    found: dict[tuple[str, str, str], dict[str, None]] = {}
    for line in judged:
        for row in line.entry.body.get("results", ()):
            key = (row["parameter"], row["comparison"], row["limit"])
            found.setdefault(key, {})[row["clause"]] = None
    order = list(HEADS)
    ranked = sorted(
        found, key=lambda key: (order.index(key[0]) if key[0] in order else len(order), key)
    )
    return tuple(
        f"{parameter_words(name)} {limit_words(comparison, limit)}"
        f" [{'; '.join(found[name, comparison, limit])}]"
        for name, comparison, limit in ranked
    )


def failures_of(pieces: Pieces, rows: Sequence[Row]) -> Iterable[tuple[Row, tuple[str, ...]]]:
    """Give each round that does not meet its rules with what is on record after it."""
    for place, row in enumerate(rows):
        if row.kind == "incident" and row.fails:
            yield row, tuple(story(rows[place + 1 :]))
        elif row.kind in TESTED and row.fails and row.first:
            yield row, tuple(asked(pieces, row)) + tuple(followed(rows[place + 1 :], row))


def asked(pieces: Pieces, row: Row) -> Iterable[str]:
    """Give what the rules ask to be done."""
    for line in pieces.judged.get(row.entry, ())[-1:]:
        actions: list[dict[str, Any]] = list(line.entry.body.get("actions", ()))
        for words in dict.fromkeys(str(action["do"]) for action in actions if "do" in action):
            yield f"Rules: {words}"


def followed(later: Sequence[Row], row: Row) -> Iterable[str]:
    """Say what came after a failed round, up to the next round and the opening after it."""
    tested = False
    for found in later:
        if found.kind == "sample" or not found.first:
            continue
        if found.at_ms > row.at_ms + DAY_MS or (tested and found.kind != "opened"):
            break
        if found.kind in TESTED:
            tested = True
            read = [
                f"{short_words(name)} {value.text}"
                for name in ("free_chlorine", "total_bromine", "combined_chlorine", "ph", "clarity")
                for value in found.values.get(name, ())[:1]
            ]
            words = f"{when(found, row)} tested again by {found.by}: {', '.join(read)}"
            yield f"{words}. {found.outcome}"
        elif found.kind not in ("quiet", "gap"):
            yield f"{when(found, row)} {found.text} ({found.by})"
    if not tested:
        yield "No test after it within a day, in this period."


def when(found: Row, row: Row) -> str:
    """Give the time of a row beside an earlier one: the hour alone where it is the same day."""
    return found.at[11:] if found.at[:10] == row.at[:10] else found.at


def people_of(pieces: Pieces) -> tuple[tuple[str, str], ...]:
    """Give the initials and names of those who are on the sheet, as they are known now."""
    found = {}
    for line in pieces.material.lines:
        for person in (line.entry.user, line.entry.body.get("whom", "")):
            known = pieces.material.names.get(person)
            if known:
                found[known["initials"] or person] = known["name"]
    return tuple(sorted(found.items()))


def devices_of(pieces: Pieces) -> tuple[tuple[str, str, str], ...]:
    """Give the devices that wrote lines: name, id, and how they sign."""
    wrote = dict.fromkeys(line.entry.dev for line in pieces.material.lines)
    through = dict.fromkeys(
        line.entry.auth["through"] for line in pieces.material.lines if "through" in line.entry.auth
    )
    rows = []
    for device in [*wrote, *(known for known in through if known not in wrote)]:
        known = pieces.material.devices.get(device, {})
        signs = str(known.get("algorithm", "not known"))
        said = "does not sign itself" if signs == "none" else f"signs, {signs}"
        rows.append((str(known.get("name", device)), device, said))
    return tuple(rows)


def kits_of(pieces: Pieces) -> tuple[tuple[str, str], ...]:
    """Give the kits and the reagent lots that were read with."""
    found: dict[str, dict[str, None]] = {}
    for line in of_kind(pieces.material.lines, "round-recorded"):
        for reading in line.entry.body["readings"]:
            if "kit" in reading:
                lots = found.setdefault(pieces.named(reading["kit"]), {})
                if reading.get("lot"):
                    lots[str(reading["lot"])] = None
    return tuple((kit, ", ".join(lots)) for kit, lots in sorted(found.items()))


GRACE_WORDS = duration_text(GRACE_MS)
