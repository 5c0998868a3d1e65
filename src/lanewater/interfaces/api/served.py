"""What every request is served from."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated

from fastapi import Depends, Request

from lanewater.interfaces.api.doors import Doors
from lanewater.service.book import Book


@dataclass(frozen=True, slots=True)
class Served:
    """One site's book and the doors to it.

    Attributes
    ----------
    book : Book
        The site's book, open.
    doors : Doors
        How often signing in and enrolling may be tried.
    secure : bool
        Whether browsers take this origin for a secure one: TLS before it, or this machine alone.
    over_tls : bool
        Whether browsers come over TLS, which a proxy in front of it ends.
    """

    book: Book
    doors: Doors = field(default_factory=Doors)
    secure: bool = True
    over_tls: bool = False


async def served_of(request: Request) -> Served:
    """Give what a request is served from."""
    found: Served = request.app.state.served
    return found


Site = Annotated[Served, Depends(served_of)]
