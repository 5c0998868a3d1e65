"""The site's set-up, the rules held here, and the words that all is written in."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import Path
from fastapi.responses import JSONResponse

from lanewater.interfaces.api.caller import Who
from lanewater.interfaces.api.routes.answering import answer
from lanewater.interfaces.api.schemas.site import ImportSent, ItemSent
from lanewater.interfaces.api.served import Site
from lanewater.records.kinds import HOUSE_STOPS, KIT_KINDS, METHODS, STRENGTH_UNITS, VOLUME_KNOWN
from lanewater.rules.checking import summary_of
from lanewater.service import set_up, transfer
from lanewater.service.directory import contacts, devices
from lanewater.service.packs import pack_ids
from lanewater.service.set_up_items import CONTACT_KINDS
from lanewater.terms import words
from lanewater.terms.parameters import PARAMETERS
from lanewater.terms.words import ROLES

PackId = Annotated[str, Path(pattern=r"^[a-z][a-z0-9@-]{1,63}$", max_length=64)]
FOR_ALL = ("site", "pools", "circuits", "kits", "reagents")


def whole_site(served: Site) -> JSONResponse:
    """Give the whole set-up, as it can be imported elsewhere, and the enrolled browsers."""
    return answer(transfer.export_set_up(served.book) | {"devices": devices(served.book)})


def public_site(served: Site) -> JSONResponse:
    """Give what any enrolled browser may know of the set-up: no people, no products."""
    whole = transfer.export_set_up(served.book)
    known: dict[str, Any] = {key: whole[key] for key in FOR_ALL}
    return answer(known | {"contacts": contacts(served.book)})


def add_item(sent: ItemSent, served: Site, caller: Who) -> JSONResponse:
    """Set one thing up; the same id again supersedes the earlier."""
    return answer(set_up.add(served.book, caller.actor, sent.what, sent.item.given()))


def import_site(sent: ImportSent, served: Site, caller: Who) -> JSONResponse:
    """Add everything of an exported set-up, or nothing of it."""
    return answer(transfer.import_set_up(served.book, caller.actor, sent.given()))


def list_rules(served: Site) -> JSONResponse:
    """List the rules packs held here, and what each covers."""
    return answer([summary_of(served.book.load(identity)) for identity in pack_ids()])


def one_pack(pack: PackId, served: Site) -> JSONResponse:
    """Give one rules pack in compiled form."""
    return answer(served.book.load(pack))


def all_words() -> JSONResponse:
    """Give the parameters and the closed lists of words."""
    return answer(
        {
            "parameters": [
                {"id": row.id, "name": row.name, "unit": row.unit, "words": list(row.words)}
                for row in PARAMETERS.values()
            ],
            "pool_facts": {key: list(allowed) for key, allowed in words.POOL_FACTS.items()},
            "coverage": list(words.COVERAGE_ITEMS),
            "levels": list(words.LEVELS),
            "verdicts": list(words.VERDICTS),
            "statuses": list(words.STATUSES),
            "house_stops": list(HOUSE_STOPS),
            "roles": list(ROLES),
            "kit_kinds": list(KIT_KINDS),
            "methods": list(METHODS),
            "strength_units": list(STRENGTH_UNITS),
            "volume_known": list(VOLUME_KNOWN),
            "volume_units": list(set_up.UNITS["volume"]),
            "units": {key: list(allowed) for key, allowed in set_up.UNITS.items()},
            "contact_kinds": list(CONTACT_KINDS),
        }
    )
