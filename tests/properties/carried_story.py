"""A tablet that works alone: its lines as the server folds them, and as it counts them itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from tests.baths import GOOD, MINUTE_MS, Baths

from lanewater.kernel.deciding.carriedfacts import facts_after
from lanewater.kernel.deciding.heldverdict import judged_round, shown_before
from lanewater.kernel.deciding.roundskept import case_drawn
from lanewater.records.entries import Entry
from lanewater.records.signing import make_key
from lanewater.records.store import log
from lanewater.service.clock import instant_text, known_instant
from lanewater.service.fold import standing, take
from lanewater.service.fold.draft import Draft
from lanewater.service.fold.rounds import round_of
from lanewater.service.judging import kernel_readings, kits_of, recordable
from lanewater.service.pool_facts import case_base, facts_of
from lanewater.service.record import read
from lanewater.service.rounds import case_of, first_result
from lanewater.service.state import SiteState

POOLS = ("main", "teaching", "plunge")
TABLET = "dev-own-tablet"
NAMED = "Own tablet"


def entries_of(baths: Baths) -> list[tuple[Entry, str]]:
    """Give everything that is on record, with when it came."""
    with baths.book.reading() as connection:
        rows = list(log.rows_from(connection, baths.book.site, 0))
    return [(read(row.raw), row.received_at) for row in rows]


def based_on(baths: Baths) -> list[tuple[Entry, str]]:
    """Give the record that the tablet carries: the site, and a morning at it."""
    baths.round()
    baths.round("teaching", ph="7.90")
    body = {
        "device": TABLET,
        "name": NAMED,
        "kind": "shared",
        "algorithm": "ed25519",
        "public_key": make_key().public_hex,
    }
    found = entries_of(baths)
    last = found[-1][0]
    enrolled = Entry(
        **{
            **{name: getattr(last, name) for name in Entry.__slots__},
            "id": "enrolled",
            "type": "device-enrolled",
            "body": body,
            "rules": None,
        }
    )
    return [*found, (enrolled, found[-1][1])]


@dataclass
class Story:
    """The same lines on both sides.

    Attributes
    ----------
    baths : Baths
        Whose site it is; only its rules and its zone are asked of it.
    base : list
        What is on record when the tablet goes out of reach.
    """

    baths: Baths
    base: list[tuple[Entry, str]]
    now_ms: int = 0
    draft: Draft = field(default_factory=Draft)
    facts: dict[str, dict[str, Any]] = field(default_factory=dict)
    rounds_of_entries: dict[str, str] = field(default_factory=dict)
    dseq: int = 0
    told: list[str] = field(default_factory=list)
    advices: list[tuple[str, str]] = field(default_factory=list)
    started: list[tuple[str, str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        for index, (entry, received_at) in enumerate(self.base):
            take(self.draft, index, standing(entry, received_at))
        self.seen = len(self.base)
        self.now_ms = self.baths.now_ms + MINUTE_MS
        self.facts = self.server_facts()

    @property
    def state(self) -> SiteState:
        """Give the site as the server knows it by now."""
        return self.draft.state()

    def server_facts(self) -> dict[str, dict[str, Any]]:
        """Give each pool's facts as the server tells them."""
        return {pool: facts_of(self.baths.book, self.state, pool, self.now_ms) for pool in POOLS}

    def say(
        self,
        kind: str,
        body: Mapping[str, Any],
        *,
        at_ms: int | None = None,
        user: str = "p-tester",
        reason: str | None = None,
    ) -> str:
        """Write one line on the tablet, which arrives at once; give its id."""
        self.dseq += 1
        entry = Entry(
            id=f"own-{self.dseq:03d}",
            site="site",
            dev=TABLET,
            dseq=self.dseq,
            dprev="",
            type=kind,
            at=instant_text(self.now_ms if at_ms is None else at_ms),
            rec=instant_text(self.now_ms),
            off=-240,
            tz="America/Toronto",
            clk={"offset_ms": 0, "rtt_ms": 0, "age_s": 0},
            seen={"size": self.seen, "root": ""},
            user=user,
            auth={"method": "pin", "verified": False, "through": TABLET},
            body=body,
            reason=reason,
        )
        taken = self.taken(entry)
        self.facts = {pool: facts_after(facts, taken) for pool, facts in self.facts.items()}
        take(self.draft, self.draft.index + 1, standing(entry, instant_text(self.now_ms)))
        if kind in ("round-recorded", "reading-corrected"):
            self.judge_on_server(entry)
        return entry.id

    def judge_on_server(self, entry: Entry) -> None:
        """Judge a round once more on its arrival, as `service.rounds.judge_round` does."""
        identity = entry.body.get("round", entry.id)
        found = self.state.round_by_id(identity)
        assert found is not None
        before = self.state.verdicts.get(identity)
        was = "" if before is None else shown_before({**before.body, "overall": before.overall})
        stops = [
            {"id": stop.id, "since": stop.since_ms, "round": stop.round}
            for stop in self.state.stops.get(found.pool, ())
        ]
        first = first_result(self.state, found, was if entry.type != "round-recorded" else "")
        answer = judged_round(self.pack(found.pool), case_of(self.state, found), first, stops)
        body = {
            "pool": found.pool,
            "round": found.id,
            "purpose": found.purpose,
            **recordable(answer["body"]),
        }
        judged = Entry(
            **{
                **{name: getattr(entry, name) for name in Entry.__slots__},
                "id": f"judged-{self.draft.index}",
                "dev": self.base[0][0].dev,
                "type": "round-judged",
                "body": body,
                "rules": answer["rules"],
                "user": "lanewater",
                "at": instant_text(self.now_ms),
            }
        )
        self.rounds_of_entries[judged.id] = found.id
        take(self.draft, self.draft.index + 1, judged)

    def pack(self, pool: str) -> dict[str, Any] | None:
        """Give the rules of a pool."""
        rules = self.state.rules_of(pool).id
        return self.baths.book.load(rules) if rules else None

    def taken(self, entry: Entry) -> dict[str, Any]:
        """Give a line as the kernel takes it on the tablet."""
        found: dict[str, Any] = {
            "kind": entry.type,
            "id": entry.id,
            "at": known_instant(entry.at),
            "rec": known_instant(entry.rec),
            "user": entry.user,
            "method": "pin",
            "device": {"id": TABLET, "name": NAMED},
            "body": dict(entry.body),
            "reason": entry.reason or "",
            "amends": "",
            "readings": [],
            "verdict": None,
            "normal": [],
            "between": [],
            "expired": [],
            "doubtful": [],
        }
        if entry.type == "round-recorded":
            return found | self.tested(entry)
        if entry.type == "reading-corrected":
            return found | self.corrected(entry)
        return found

    def tested(self, entry: Entry) -> dict[str, Any]:
        """Give what the tablet knows of its own round."""
        round_ = round_of(entry, 0)
        rows = [
            {
                "parameter": row.parameter,
                "value": row.value,
                "unit": row.unit,
                "point": row.point,
                "dilution": row.dilution,
                "at": row.at_ms,
            }
            for row in round_.readings
        ]
        normal = kernel_readings(round_, kits_of(self.state))
        changes = {row["parameter"]: row["value"] for row in round_.changed_after_result}
        first = [
            row if row["point"] else row | {"value": changes.get(row["parameter"], row["value"])}
            for row in normal
        ]
        given = {"id": entry.id, "at": round_.at_ms, "was": "", "changed": list(changes)}
        judged = self.judged(round_.pool, round_.purpose, normal, given, first if changes else None)
        return {"readings": rows, "normal": normal, **judged}

    def corrected(self, entry: Entry) -> dict[str, Any]:
        """Give what the tablet knows of a round that it corrects."""
        body = entry.body
        facts = self.facts[body["pool"]]
        known = next(row for row in facts["rounds"] if row["id"] == body["round"])
        normal = [
            row | {"value": body["value"]}
            if (row["parameter"], row["value"]) == (body["parameter"], body["was"])
            else row
            for row in known["readings"]
        ]
        given = {
            "id": body["round"],
            "at": known["at"],
            "was": shown_before(facts["last"]["verdict"]),
            "changed": [body["parameter"]],
        }
        judged = self.judged(body["pool"], known["purpose"], normal, given, None)
        return {"normal": normal, **judged}

    def judged(
        self,
        pool: str,
        purpose: str,
        normal: list[dict[str, Any]],
        given: dict[str, Any],
        first: list[dict[str, Any]] | None,
    ) -> dict[str, Any]:
        """Judge on the tablet, by what it carries."""
        facts = self.facts[pool]
        base = case_base(self.state, pool)
        case = case_drawn(base, facts, given["at"], given["id"]) | {"purpose": purpose}
        first_case = None if first is None else case | {"readings": first}
        answer = judged_round(
            self.pack(pool),
            case | {"readings": normal},
            given | {"first_case": first_case},
            facts["stops"],
        )
        verdict = {"rules": answer["rules"], "body": recordable(answer["body"])}
        return {"verdict": verdict, "doubtful": answer["doubtful"]}

    def compared(self) -> tuple[dict[str, Any], dict[str, Any]]:
        """Give both sides' facts, as far as they are to be the same."""
        return self.without_marks(self.server_facts()), self.without_marks(self.facts)

    def without_marks(self, facts: Any) -> Any:
        """Give facts in which a stop's closing is named by its round, not by its judgement."""
        if isinstance(facts, dict):
            return {key: self.without_marks(value) for key, value in facts.items()}
        if isinstance(facts, list):
            return [self.without_marks(value) for value in facts]
        return self.rounds_of_entries.get(facts, facts) if isinstance(facts, str) else facts


ROUNDS = {
    "good": GOOD,
    "low": GOOD | {"free_chlorine": "0.62", "total_chlorine": "0.78"},
    "none": GOOD | {"free_chlorine": "0.00", "total_chlorine": "0.02"},
    "high": GOOD | {"free_chlorine": ">6.00", "total_chlorine": ">6.00"},
    "acid": GOOD | {"ph": "6.60"},
    "unseen": GOOD | {"clarity": "not-visible"},
    "half": {"ph": "7.40"},
    "stabiliser": GOOD | {"cyanuric_acid": "31"},
}
