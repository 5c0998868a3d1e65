"""Links for inspectors, and what one shows."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from lanewater.interfaces.api.schemas.base import Instant, Sent, Told
from lanewater.service.inspection import LINK_DIGITS, MOST_HOURS

LinkId = Annotated[
    str,
    Field(
        pattern=rf"^[0-9a-f]{{{LINK_DIGITS}}}$",
        max_length=LINK_DIGITS,
        description="A link, as the list names it.",
    ),
]


class LinkSent(Sent):
    """A period of the record, its end not included, and for how long it may be read."""

    since: Annotated[Instant, Field(alias="from")]
    until: Annotated[Instant, Field(alias="to")]
    hours: Annotated[int, Field(ge=1, le=MOST_HOURS)]


class LinkEndSent(Sent):
    """Which link is ended."""

    link: LinkId


class LinkMade(Told):
    """A new link; its token is shown this once and kept nowhere."""

    token: str
    link: str
    since: str
    until: str
    expires: str


class LinkEnded(Told):
    """The link opens nothing any more."""

    link: str


class LinkTold(Told):
    """One link, without its token."""

    link: str
    since: str
    until: str
    expires: str
    made_by: str
    made: str
    ended: str | None
    opens: bool


class LinksAnswer(Told):
    """The links that were made, the newest first."""

    links: list[LinkTold]


class InspectionAnswer(Told):
    """One stretch of a link's period, in words."""

    site: str
    demo: bool
    timezone: str
    since: str
    until: str
    expires: str
    shown: dict[str, str]
    period: str
    as_of: str
    size: int
    stamp: str
    pools_all: list[dict[str, str]]
    pools: list[dict[str, Any]]
    others: list[dict[str, Any]]
    people: list[list[str]]
    devices: list[list[str]]
    kits: list[list[str]]
    explained: list[str]
