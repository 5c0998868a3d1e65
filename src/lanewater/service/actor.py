"""Who does something, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

UNLISTED = "unlisted"


@dataclass(frozen=True, slots=True)
class Actor:
    """A person, or somebody not on the list.

    Attributes
    ----------
    person : str
        A person's id, or "unlisted".
    method : str
        pin, shell (who can run commands here), none (nobody signed in), device, key (opened
        with a first key).
    verified : bool
        Whether it was proved that this person acts.
    through : str
        The enrolled browser, "" where there is none.
    """

    person: str = UNLISTED
    method: str = "none"
    verified: bool = False
    through: str = ""

    @property
    def listed(self) -> bool:
        """Tell whether a person of the site is named."""
        return self.person != UNLISTED

    def auth(self) -> dict[str, Any]:
        """Give what an entry says about it."""
        known: dict[str, Any] = {"method": self.method, "verified": self.verified}
        return known | ({"through": self.through} if self.through else {})


ANYBODY = Actor()
SHELL = Actor(method="shell")


def shell_as(person: str) -> Actor:
    """Give the actor of a command that names a person without proof."""
    return Actor(person=person, method="shell")
