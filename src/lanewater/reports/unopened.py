"""Rounds that went on in opening hours though nobody had opened the pool: a breach of its own."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lanewater.reports.gaps import Span, plan_spans, windows_of
from lanewater.reports.incidents import is_of, stands_ms
from lanewater.reports.pieces import Pieces
from lanewater.reports.sheet import Line, PoolPart, Row

# One round may be the one that an opening waits for; two in one opening are of a pool in use.
FEWEST_ROUNDS = 2
TEXT = "used without being opened: {count} tests in these opening hours, and nobody opened it"

Word = tuple[int, int, str]


def words_of(lines: Sequence[Line], part: PoolPart) -> list[Word]:
    """Give every word on how a pool stands, in order of time: open, shut or closed."""
    found: list[Word] = []
    for line in lines:
        body, kind = line.entry.body, line.entry.type
        said = {
            "pool-opened": "open",
            "pool-closed": str(body.get("kind", "")),
            "everyone-out": "closed",
            "incident-started": "closed",
            "incident-continued": "closed",
            "opening-settled": str(body.get("status", "")),
            "round-judged": "closed" if body.get("stops") else "",
        }.get(kind, "")
        if said and is_of(line, part.id):
            found.append((stands_ms(line.entry), line.index, said))
    before = [(part.status_ms, -1, part.status)] if part.status else []
    return sorted(before + found)


def status_at(words: Sequence[Word], instant_ms: int) -> str:
    """Give how a pool stood just before an instant, "" where nobody had said."""
    earlier = [said for at_ms, _, said in words if at_ms < instant_ms]
    return earlier[-1] if earlier else ""


def unopened(
    pieces: Pieces, part: PoolPart, lines: Sequence[Line], rounds: Sequence[Line], period: Span
) -> Iterator[Row]:
    """Give a row for each opening in which a pool was tested again and again and never opened.

    Nothing is told of a pool that nobody ever opens on record: there the site keeps it elsewhere.
    A pool that is closed for a reason is tested until it may open again; that is no breach.
    """
    words = words_of(lines, part)
    if not any(said == "open" for _, _, said in words) and part.status == "":
        return
    for plan, span in plan_spans(part.plans, period):
        if plan.hours is None:
            continue
        for begins, ends in windows_of(plan, span, pieces.material.offsets):
            tested = [
                line
                for line in rounds
                if begins <= line.at_ms < ends and status_at(words, line.at_ms) in ("", "shut")
            ]
            if len(tested) >= FEWEST_ROUNDS:
                at_ms = tested[FEWEST_ROUNDS - 1].at_ms
                text = TEXT.format(count=len(tested))
                yield Row("unopened", part.id, at_ms, pieces.minute(at_ms), text=text)
