"""What the rows of a sheet are put together from: the lines sorted by what they are about."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from lanewater.reports.moments import Local, minute_text, site_clock, window_text
from lanewater.reports.sheet import Line, Material, Row
from lanewater.reports.words import BY_PROGRAM, METHODS, NO_AUTHORITY, NOT_LISTED, TIMINGS


@dataclass(frozen=True, slots=True)
class Pieces:
    """The lines of a sheet by the entry they are about, with the site's clock and names."""

    material: Material
    local: Local
    judged: dict[str, list[Line]]
    corrected: dict[str, list[Line]]
    told: dict[str, list[Line]]
    advised: dict[str, Line]
    started: dict[str, Line]
    rounds: dict[str, Line]
    repeats: dict[str, list[Line]]
    confirmed: dict[str, Line]

    def initials(self, person: str) -> str:
        """Give somebody's initials as they are known now."""
        if person == "unlisted":
            return NOT_LISTED
        if person == BY_PROGRAM:
            return "Lanewater"
        known = self.material.names.get(person, {})
        return known.get("initials") or known.get("name") or person

    def named(self, identity: str) -> str:
        """Give the name of a product, a kit or a device."""
        return self.material.named.get(identity, identity)

    def minute(self, instant_ms: int) -> str:
        """Give the site's own time."""
        return minute_text(self.local(instant_ms))

    def minute_of(self, line: Line) -> str:
        """Give the time a line claims."""
        return self.minute(line.at_ms)

    def row(self, kind: str, line: Line, **more: Any) -> Row:
        """Begin a row that stands for a line."""
        given: dict[str, Any] = {"by": self.initials(line.entry.user), "flags": self.flags_of(line)}
        return Row(
            kind=kind,
            pool=str(line.entry.body.get("pool", "")),
            at_ms=line.at_ms,
            at=self.minute_of(line),
            on_record=window_text(self.local, line.known_from_ms, line.received_ms, line.at_ms),
            known_from_ms=line.known_from_ms,
            received_ms=line.received_ms,
            timing=line.timing,
            line=line.index,
            entry=line.entry.id,
            **(given | more),
        )

    def flags_of(self, line: Line) -> tuple[str, ...]:
        """Give what must be seen beside a line: its time, nobody signed in, no authority."""
        auth = line.entry.auth
        unsigned = "" if auth["verified"] else METHODS.get(auth["method"], auth["method"])
        without = NO_AUTHORITY if line.entry.id in self.material.unauthorised else ""
        return tuple(word for word in (TIMINGS[line.timing], unsigned, without) if word)


def pieces_of(material: Material) -> Pieces:
    """Sort the lines of a sheet."""
    pieces = Pieces(material, site_clock(material.offsets), {}, {}, {}, {}, {}, {}, {}, {})
    lists = {
        "round-judged": (pieces.judged, "round"),
        "reading-corrected": (pieces.corrected, "round"),
        "told": (pieces.told, "about"),
    }
    single = {
        "advice-given": pieces.advised,
        "addition-started": pieces.started,
        "round-recorded": pieces.rounds,
    }
    for line in material.lines:
        kind = line.entry.type
        if kind in lists:
            found, key = lists[kind]
            found.setdefault(line.entry.body[key], []).append(line)
        elif kind in single:
            single[kind][line.entry.id] = line
        elif kind == "opening-confirmed":
            pieces.confirmed[line.entry.body["opening"]] = line
        if "repeats" in line.entry.body:
            pieces.repeats.setdefault(line.entry.body["repeats"], []).append(line)
    return pieces


def of_kind(lines: Iterable[Line], *kinds: str) -> list[Line]:
    """Give the lines of some kinds."""
    return [line for line in lines if line.entry.type in kinds]


def in_period(material: Material, instant_ms: int) -> bool:
    """Tell whether an instant lies in the sheet's period."""
    return material.since_ms <= instant_ms < material.until_ms
