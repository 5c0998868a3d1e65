"""Whether an actor may do something here; a refusal names who may."""

from __future__ import annotations

from collections.abc import Mapping

from lanewater.people.authority import ALWAYS, answer_for, who_may
from lanewater.service.actor import Actor
from lanewater.service.state import Person
from lanewater.terms.errors import RefusedError

# Who can run commands in the data folder owns the site; a first key is handed out there.
OWNERS = ("shell", "key")
ROLE_WORDS = {
    "tester": "a tester",
    "duty-manager": "the duty manager",
    "plant-operator": "the plant operator",
    "area-manager": "the area manager",
    "contractor": "a contractor",
}
DECISION_WORDS = {
    "open": "open a pool",
    "close": "close a pool",
    "end-house-stop": "end a house stop",
    "set-up": "change the site's set-up",
    "hand-dose": "add by hand",
}


class NotAllowedError(RefusedError):
    """The actor may not do this; the message names who may."""


def person_of(people: Mapping[str, Person], actor: Actor) -> Person | None:
    """Give the listed person that acts, None for anybody else."""
    found = people.get(actor.person)
    return None if found is None or found.gone else found


def may(people: Mapping[str, Person], actor: Actor, decision: str) -> str:
    """Give "yes", "no" or "competent" for a decision; without proof of who acts it is "no".

    Parameters
    ----------
    people : mapping
        The site's people.
    actor : Actor
        Who asks.
    decision : str
        A row of the authority matrix.
    """
    if decision in ALWAYS or (decision == "set-up" and actor.method in OWNERS):
        return "yes"
    person = person_of(people, actor)
    if person is None or not actor.verified:
        return "no"
    return answer_for(decision, person.roles, person.delegated)


def require(people: Mapping[str, Person], actor: Actor, decision: str) -> None:
    """Refuse, by name, what an actor may not decide.

    Raises
    ------
    NotAllowedError
        Naming the roles that may.
    """
    if may(people, actor, decision) == "yes":
        return
    named = " or ".join(ROLE_WORDS[role] for role in who_may(decision))
    proof = "" if actor.verified else ", signed in with a PIN"
    raise NotAllowedError(f"to {DECISION_WORDS[decision]} takes {named}{proof}")
