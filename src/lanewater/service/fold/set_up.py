"""Fold what is set up: the site, its pools, registers, people and devices."""

from __future__ import annotations

from collections.abc import Callable

from lanewater.records.entries import Entry
from lanewater.service.clock import known_instant
from lanewater.service.fold.draft import Draft
from lanewater.service.fold.rules import follow_site
from lanewater.service.state import Circuit, Device, Hours, Person, Pool, Registered, Rules, Site


def minutes_of(time_of_day: str) -> int:
    """Give the minutes of a local day: 390 for 06:30."""
    return int(time_of_day[:2]) * 60 + int(time_of_day[3:])


def take_site(draft: Draft, entry: Entry) -> None:
    """Set up the site, or change what was said of it."""
    body = entry.body
    rules = draft.site.rules if draft.site else Rules()
    draft.site = Site(
        id=entry.site,
        name=body["name"],
        timezone=body["timezone"],
        units=body.get("units", {}),
        demo=body.get("demo", False),
        rules=rules,
        telephone_authority=body.get("telephone_authority", False),
        quiet_minutes=body.get("quiet_minutes", 0),
    )


def take_pool(draft: Draft, entry: Entry) -> None:
    """Set up a pool, or set it up again; its chosen rules stay."""
    body = entry.body
    known = draft.pools.get(body["pool"])
    hours = body.get("hours")
    if known is None:
        follow_site(draft, entry)
    draft.pools[body["pool"]] = Pool(
        id=body["pool"],
        name=body["name"],
        facts=body["facts"],
        circuit=body.get("circuit", ""),
        own_rules=known.own_rules if known else None,
        volume_m3=body.get("volume_m3", ""),
        volume_known=body.get("volume_known", ""),
        surface_m2=body.get("surface_m2", ""),
        targets={row["parameter"]: (row["low"], row["high"]) for row in body.get("targets", ())},
        hours=None
        if hours is None
        else tuple(
            Hours(row["day"], minutes_of(row["opens"]), minutes_of(row["closes"])) for row in hours
        ),
        interval_minutes=body.get("interval_minutes", 0),
        before_opening_minutes=body.get("before_opening_minutes", 0),
        points=tuple(body.get("points", ())),
    )


def take_circuit(draft: Draft, entry: Entry) -> None:
    """Set up a circuit."""
    body = entry.body
    draft.circuits[body["circuit"]] = Circuit(
        id=body["circuit"],
        name=body["name"],
        volume_m3=body.get("volume_m3", ""),
        volume_known=body.get("volume_known", ""),
        body=body,
    )


def take_registered(kind: str) -> Callable[[Draft, Entry], None]:
    """Make the taker of a register: kit, reagent or product."""

    def take(draft: Draft, entry: Entry) -> None:
        register: dict[str, Registered] = getattr(draft, f"{kind}s")
        identity = entry.body[kind]
        register[identity] = Registered(identity, entry.body, known_instant(entry.at))

    return take


def take_person(draft: Draft, entry: Entry) -> None:
    """Add a person or change a person's part."""
    body = entry.body
    draft.people[body["person"]] = Person(
        id=body["person"],
        roles=tuple(body["roles"]),
        delegated=tuple(body.get("delegated", ())),
        competences=tuple(body.get("competences", ())),
        gone=body.get("gone", False),
    )


def take_forgotten(draft: Draft, entry: Entry) -> None:
    """Leave of a person the id alone."""
    identity = entry.body["person"]
    draft.people[identity] = Person(id=identity, roles=(), delegated=(), competences=(), gone=True)


def take_device(draft: Draft, entry: Entry) -> None:
    """Enrol a device; one that was revoked stays so."""
    body = entry.body
    known = draft.devices.get(body["device"])
    draft.devices[body["device"]] = Device(
        id=body["device"],
        name=body["name"],
        kind=body["kind"],
        algorithm=body["algorithm"],
        public_key=body.get("public_key", ""),
        revoked_ms=known.revoked_ms if known else None,
        lost_ms=known.lost_ms if known else None,
    )
