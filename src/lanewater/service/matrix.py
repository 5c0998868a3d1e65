"""The site's own authority matrix: shown, and changed by whoever sets the site up."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.people.authority import ALWAYS, MATRIX, Matrix, hold_to_house
from lanewater.records.kinds_events import EVENT_KINDS
from lanewater.service.actor import Actor
from lanewater.service.book import Book
from lanewater.service.permission import require

SET = EVENT_KINDS["matrix-set"]


def matrix_told(book: Book) -> dict[str, Any]:
    """Give who decides what here.

    Returns
    -------
    dict
        {"rows": [{"decision", "answers": {role: answer}, "changed": roles whose answer is not the
        default, "always": whether it cannot be taken from anybody}]}.
    """
    matrix = book.state.matrix
    return {
        "rows": [
            {
                "decision": decision,
                "answers": dict(answers),
                "changed": [role for role in answers if answers[role] != MATRIX[decision][role]],
                "always": decision in ALWAYS,
            }
            for decision, answers in matrix.items()
        ]
    }


def matrix_changed(matrix: Matrix) -> list[dict[str, str]]:
    """Give the answers of a matrix that are not those of a new site, as `set_matrix` takes them."""
    return [
        {"decision": decision, "role": role, "answer": answer}
        for decision, answers in matrix.items()
        for role, answer in answers.items()
        if answer != MATRIX[decision][role]
    ]


def set_matrix(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """Change who decides what here, from now on.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Somebody who may change the site's set-up.
    given : mapping
        {"rows": [{"decision", "role", "answer": yes, no, delegated or competent}]}.

    Returns
    -------
    dict
        {"entry", "rows": as `matrix_told`}.

    Raises
    ------
    InputError
        Where recording, calling everyone out or starting an incident would be taken from somebody,
        or a decision left to nobody.
    """
    SET(given, "")
    with book.writing() as writing:
        require(writing.state, actor, "set-up")
        hold_to_house(writing.state.matrix, given["rows"])
        entry = writing.append("matrix-set", {"rows": list(given["rows"])}, actor)
    return {"entry": entry.id} | matrix_told(book)
