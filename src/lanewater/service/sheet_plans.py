"""When a pool had to be tested, then and now: each set-up of it with the rules of its time."""

from __future__ import annotations

from sqlalchemy import Connection

from lanewater.records.entries import read
from lanewater.records.store import finding
from lanewater.reports.sheet import Plan
from lanewater.service.book import Book
from lanewater.service.clock import MINUTE_MS, known_instant
from lanewater.service.duty_facts import (
    all_closed_days,
    days_open,
    known_of,
    rules_schedules,
    site_schedules,
)
from lanewater.service.fold import take
from lanewater.service.fold.draft import Draft
from lanewater.service.pool_facts import hours_of, pack_interval
from lanewater.service.rules_held import pack_or_why
from lanewater.service.state import SiteState

SET_UP = (
    "site-set-up",
    "rules-chosen",
    "rules-accepted",
    "rules-overlay-added",
    "rules-overlay-ended",
    "pool-set-up",
    "circuit-set-up",
    "duty-set-up",
    "closed-days-set",
)
SECOND_MS = 1000


def plans_of(book: Book, connection: Connection, pool: str) -> tuple[Plan, ...]:
    """Give how a pool had to be tested from each set-up to the next, oldest first.

    Parameters
    ----------
    book : Book
        The site's book; the rules' interval is that of the pack as it is installed now.
    connection : Connection
        The open store.
    pool : str
        The pool's id.
    """
    draft = Draft()
    found: list[Plan] = []
    places = finding.between(connection, book.site, types=SET_UP)
    for row in finding.rows_at(connection, book.site, places):
        take(draft, row.log_index, read(row.raw))
        if pool in draft.pools and draft.site is not None:
            plan = plan_at(book, draft.state(), pool, known_instant(row.received_at))
            if not found or same(found[-1]) != same(plan):
                found.append(plan)
    return tuple(found)


def same(plan: Plan) -> tuple[object, ...]:
    """Give what of a plan counts when two are compared."""
    return (
        *(plan.hours, plan.every_ms, plan.before_ms, plan.why),
        *(plan.closed_days, plan.schedules),
    )


def plan_at(book: Book, state: SiteState, pool: str, from_ms: int) -> Plan:
    """Give the plan of a pool as it was set up then; the shorter of rules and plan counts."""
    set_up = state.pools[pool]
    pack, missing = pack_or_why(book, state, pool)
    asked = pack_interval(state, pool, pack, missing)
    choices = [(set_up.interval_minutes * MINUTE_MS, "site plan")]
    choices.append((asked["every_seconds"] * SECOND_MS, str(asked["detail"])))
    rules = pack or {}
    schedules = rules_schedules(rules, known_of(state, pool, rules)) + site_schedules(state, pool)
    every_ms, why = min((choice for choice in choices if choice[0]), default=(0, ""))
    return Plan(
        from_ms=from_ms,
        hours=hours_of(set_up),
        every_ms=every_ms,
        before_ms=set_up.before_opening_minutes * MINUTE_MS,
        why=why,
        closed_days=all_closed_days(state, pool, days_open(book.state, pool, book.clock())),
        schedules=tuple(schedules),
    )
