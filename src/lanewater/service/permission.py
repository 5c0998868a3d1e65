"""Whether an actor may do something here; a refusal names who may."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from lanewater.people.authority import ALWAYS, Matrix, answer_for, who_may
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
    "end-incident": "end an incident",
    "accept-rules": "change the rules that hold here",
    "set-up": "change the site's set-up",
    "hand-dose": "add by hand",
}


class Ruled(Protocol):
    """What says who is here and what each role decides."""

    @property
    def people(self) -> Mapping[str, Person]:
        """Give the site's people."""

    @property
    def matrix(self) -> Matrix:
        """Give who decides what, by role."""


class NotAllowedError(RefusedError):
    """The actor may not do this; the message names who may."""


def person_of(people: Mapping[str, Person], actor: Actor) -> Person | None:
    """Give the listed person that acts, None for anybody else."""
    found = people.get(actor.person)
    return None if found is None or found.gone else found


def may(state: Ruled, actor: Actor, decision: str) -> str:
    """Give "yes", "no" or "competent" for a decision; without proof of who acts it is "no".

    Parameters
    ----------
    state : Ruled
        The site's people and its matrix.
    actor : Actor
        Who asks.
    decision : str
        A row of the authority matrix.
    """
    if decision in ALWAYS or (decision == "set-up" and actor.method in OWNERS):
        return "yes"
    person = person_of(state.people, actor)
    if person is None or not actor.verified:
        return "no"
    return answer_for(decision, person.roles, person.delegated, state.matrix)


def require(state: Ruled, actor: Actor, decision: str) -> None:
    """Refuse, by name, what an actor may not decide.

    Raises
    ------
    NotAllowedError
        Naming the roles that may.
    """
    if may(state, actor, decision) == "yes":
        return
    named = " or ".join(ROLE_WORDS[role] for role in who_may(decision, state.matrix))
    proof = "" if actor.verified else ", signed in with a PIN"
    raise NotAllowedError(f"to {DECISION_WORDS[decision]} takes {named}{proof}")
