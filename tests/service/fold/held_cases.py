"""Random histories of a site, folded whole and with letting go: what must be the same of both."""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random
from typing import Any

from lanewater.records.entries import Entry
from lanewater.service.additions import blocks, retest_instants
from lanewater.service.clock import DAY_MS, MINUTE_MS, instant_text
from lanewater.service.fold import standing, take
from lanewater.service.fold.draft import Draft
from lanewater.service.fold.kept import keep
from lanewater.service.fold.letting_go import Held

START_MS = 1_780_000_000_000
SMALL = Held(rounds=6, amounts=3, words=8, told=4, every=5)
WHOLE = Held(rounds=10**9, amounts=10**9, words=10**9, told=10**9, every=1)
POOLS = {"main": "hall", "teaching": "hall", "plunge": ""}
STOPS = ("disinfectant-none", "bottom-not-seen", "disinfectant-over-range")


@dataclass
class History:
    """A history in the making, as entries with when each came."""

    rng: Random
    now_ms: int = START_MS
    lines: list[tuple[Entry, str]] = field(default_factory=list)
    rounds: list[tuple[str, str]] = field(default_factory=list)
    unjudged: list[tuple[str, str]] = field(default_factory=list)
    advices: list[tuple[str, str]] = field(default_factory=list)
    started: list[tuple[str, str]] = field(default_factory=list)
    stops: list[str] = field(default_factory=list)
    from_tablet: set[str] = field(default_factory=set)

    def say(self, kind: str, body: dict[str, Any], at_ms: int | None = None, **more: Any) -> str:
        """Put an entry on the end."""
        identity = f"e{len(self.lines)}"
        seen = {"size": len(self.lines), "root": ""}
        self.lines.append(
            (
                Entry(
                    id=identity,
                    site="site",
                    dev=more.pop("dev", "dev-shell"),
                    dseq=1,
                    dprev="",
                    type=kind,
                    at=instant_text(self.now_ms if at_ms is None else at_ms),
                    rec=instant_text(self.now_ms),
                    off=0,
                    tz="UTC",
                    clk={},
                    seen=more.pop("seen", seen),
                    user="p-a",
                    auth={"method": "pin", "verified": True},
                    body=body,
                    reason="because",
                ),
                instant_text(self.now_ms),
            )
        )
        return identity

    def pool(self) -> str:
        """Draw a pool; one is tested seldom."""
        return self.rng.choice(("main", "main", "main", "teaching", "teaching", "plunge"))


def set_up(history: History) -> None:
    """Set a small site up."""
    history.say("site-set-up", {"name": "S", "timezone": "UTC"})
    for device, kind in (("dev-shell", "shell"), ("dev-tablet", "shared")):
        body = {"device": device, "name": "n", "kind": kind, "algorithm": "ed25519"}
        history.say("device-enrolled", body)
    history.say("circuit-set-up", {"circuit": "hall", "name": "Hall"})
    for pool, circuit in POOLS.items():
        body = {"pool": pool, "name": pool, "facts": {}} | ({"circuit": circuit} if circuit else {})
        history.say("pool-set-up", body)


def add_round(history: History) -> None:
    """Record a round, now and then an old one, one from a clock that is ahead, or a sample."""
    rng, pool = history.rng, history.pool()
    ago = rng.choice((0, 0, 0, 0, rng.randrange(40 * DAY_MS), -5 * DAY_MS))
    readings = [{"parameter": "ph", "value": "7.4"}]
    points = ("shallow", "deep")[: rng.choice((0, 1, 1, 2))]
    readings += [{"parameter": "free_chlorine", "value": "1.5", "point": row} for row in points]
    body = {"pool": pool, "source": "direct", "readings": readings}
    if rng.random() < 0.15:
        body["purpose"] = "sample"
    more: dict[str, Any] = {}
    if rng.random() < 0.2:
        size = max(6, len(history.lines) - rng.randrange(12))
        more = {"dev": "dev-tablet", "seen": {"size": size, "root": ""}}
    identity = history.say("round-recorded", body, history.now_ms - ago, **more)
    history.rounds.append((identity, pool))
    if more:
        history.from_tablet.add(identity)
    history.unjudged.append((identity, pool))


def judge(history: History) -> None:
    """Judge a round that is not judged yet, or once more an old one; house stops may open.

    A tablet's round that was let go opens no house stop when it is judged once more, so none is.
    """
    rng = history.rng
    own = [row for row in history.rounds if row[0] not in history.from_tablet]
    anew = rng.random() < 0.15 or not history.unjudged
    if anew and not own:
        return
    identity, pool = (
        rng.choice(own) if anew else history.unjudged.pop(rng.randrange(len(history.unjudged)))
    )
    named = [stop for stop in STOPS if rng.random() < 0.06]
    body = {"pool": pool, "round": identity, "overall": "meets", "stops": []}
    history.say("round-judged", body | {"stops": [{"id": stop} for stop in named]})


def amount(history: History) -> None:
    """Advise, start or answer an addition; some stay open for ever."""
    rng, pool = history.rng, history.pool()
    circuit = POOLS[pool]
    body = {"pool": pool, "product": "hypo"} | ({"circuit": circuit} if circuit else {})
    draw = rng.random()
    if draw < 0.3:
        history.advices.append((history.say("advice-given", body), pool))
    elif draw < 0.6:
        history.started.append((history.say("addition-started", body), pool))
    elif history.started:
        identity, pool = history.started.pop(rng.randrange(len(history.started)))
        answer = rng.choice(("added", "added", "not-added", "unknown"))
        given = {"pool": pool, "addition": identity, "product": "hypo", "answer": answer}
        history.say("addition-answered", given)
    elif history.advices:
        identity, pool = history.advices.pop(rng.randrange(len(history.advices)))
        answer = rng.choice(("added", "not-added", "unknown"))
        given = {"pool": pool, "advice": identity, "product": "hypo", "answer": answer}
        history.say("addition-answered", given)


def doors(history: History) -> None:
    """Open, close, send everyone out, end a stop, tell somebody."""
    rng, pool = history.rng, history.pool()
    draw = rng.random()
    if draw < 0.3:
        history.say("pool-opened", {"pool": pool})
    elif draw < 0.6:
        history.say("pool-closed", {"pool": pool, "kind": rng.choice(("closed", "shut"))})
    elif draw < 0.68:
        entry = history.say("everyone-out", {"pool": pool, "stop": rng.choice(STOPS)})
        history.stops.append(entry)
    elif draw < 0.75:
        history.say("house-stop-ended", {"pool": pool, "stops": [rng.choice(STOPS)]})
    elif history.rounds:
        about = rng.choice((history.rounds[-1][0], *history.stops[-1:]))
        history.say("told", {"pool": pool, "about": about, "whom": "p-b"})


def correct(history: History) -> None:
    """Correct a round, however old."""
    if history.rounds:
        identity, pool = history.rng.choice(history.rounds)
        body = {"pool": pool, "round": identity, "parameter": "ph", "was": "7.4", "value": "7.5"}
        history.say("reading-corrected", body)


def history_of(seed: int, steps: int) -> list[tuple[Entry, str]]:
    """Make a random history."""
    history = History(Random(seed))  # noqa: S311 - a drawn history
    set_up(history)
    for _ in range(steps):
        history.now_ms += history.rng.randrange(1, 400) * MINUTE_MS
        act = history.rng.choices((add_round, judge, amount, doors, correct), (8, 8, 3, 4, 1))[0]
        act(history)
    return history.lines


def folded(lines: list[tuple[Entry, str]], held: Held) -> Draft:
    """Fold a history."""
    draft = Draft()
    for index, (entry, received_at) in enumerate(lines):
        take(draft, index, standing(entry, received_at), held)
    return draft


SAME = ("site", "index", "pools", "circuits", "devices", "people", "stops", "tested", "epoch")


def differences(whole: Draft, held: Draft, now_ms: int, least: Held) -> list[str]:
    """Name what a draft that let go says otherwise than one that did not, of what it promises."""
    all_of, some_of = keep(whole), keep(held)
    found = [name for name in SAME if all_of[name] != some_of[name]]
    full, state = whole.state(), held.state()
    for pool in full.pools:
        if full.openings.get(pool) and (
            full.openings[pool].status != state.openings[pool].status
            or bool(full.disputes.get(pool)) != bool(state.disputes.get(pool))
        ):
            found.append(f"opening of {pool}")
        if blocks(full, pool, now_ms) != blocks(state, pool, now_ms):
            found.append(f"blocks of {pool}")
        if sorted(retest_instants(full, pool)) != sorted(retest_instants(state, pool)):
            found.append(f"retests of {pool}")
        found += rounds_otherwise(whole, held, pool, least)
    return found + amounts_otherwise(whole, held) + told_otherwise(whole, held)


def rounds_otherwise(whole: Draft, held: Draft, pool: str, least: Held) -> list[str]:
    """Name what is otherwise of a pool's rounds."""
    every = whole.in_order.get(pool, [])
    some = {row.id: row for row in held.in_order.get(pool, [])}
    since = held.whole_from.get(pool, 0)
    last = whole.state().last_round(pool)
    wanted = [row for row in every if row.at_ms >= since or row.id not in whole.verdicts]
    wanted += every[-least.rounds :] + ([last] if last else [])
    found = [f"round {row.id} is gone" for row in wanted if row.id not in some]
    for row in every:
        other = some.get(row.id)
        if other is not None and (
            (row.readings, row.corrections) != (other.readings, other.corrections)
            or whole.verdicts.get(row.id) != held.verdicts.get(row.id)
        ):
            found.append(f"round {row.id} is another")
    other = held.state().last_round(pool)
    if (last.id if last else "") != (other.id if other else ""):
        found.append(f"last round of {pool}")
    return found


def amounts_otherwise(whole: Draft, held: Draft) -> list[str]:
    """Name what is otherwise of additions and advices."""
    since = held.additions_from
    found = [
        f"addition {row.id}"
        for row in whole.additions.values()
        if (row.started_ms >= since or row.answer in ("", "unknown"))
        and held.additions.get(row.id) != row
    ]
    return found + [
        f"advice {row.id}"
        for row in whole.advices.values()
        if (row.at_ms >= since or row.answer in ("", "unknown")) and held.advices.get(row.id) != row
    ]


def told_otherwise(whole: Draft, held: Draft) -> list[str]:
    """Name what still waits to be told in one of them only."""
    state = whole.state()
    waits = {stop.entry for stops in state.stops.values() for stop in stops}
    waits |= {last.id for pool in state.pools if (last := state.last_round(pool)) is not None}
    said = [{row.about for row in draft.told} & waits for draft in (whole, held)]
    return [] if said[0] == said[1] else ["told"]
