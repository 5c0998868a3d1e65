"""Change the key that signs stamps and receipts; the change is itself on record."""

from __future__ import annotations

from typing import Any

from lanewater.records.signing import ALGORITHM
from lanewater.records.stamps import handover_word
from lanewater.service.actor import Actor
from lanewater.service.book import Book
from lanewater.service.keys import new_key, put_log_key_in_place
from lanewater.service.permission import require
from lanewater.service.stamping import signs, stamp_in
from lanewater.terms.errors import RefusedError


def rotate_log_key(book: Book, actor: Actor, *, lost: bool = False) -> dict[str, Any]:
    """Make a new key for stamps and receipts and put it on record.

    The old key stamps the record a last time and gives its word for the new one. A key that is
    lost gives none: whoever verifies the record is told so and must be shown the new key by a
    person.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Who decides; held to "set-up".
    lost : bool
        The old key is gone.

    Returns
    -------
    dict
        {"public_key", "replaces", "word": whether the old key gave its word}.

    Raises
    ------
    RefusedError
        Where the old key is not here and was not said to be lost, or is here and was.
    """
    require(book.state, actor, "set-up")
    with book.writing() as writing:
        holds, before = signs(book), book.own
        put_log_key_in_place(before)
        if holds and lost:
            raise RefusedError("keys/log.key is here and fits the record; rotate without --lost")
        if not holds and not lost:
            raise RefusedError(
                "keys/log.key is not the key on record; put it back, or say --lost: whoever "
                "verifies the record will then ask for the new key by a person"
            )
        old = book.draft.log_keys[-1].public_key
        fresh = new_key(before.next_log_file)
        body = {"algorithm": ALGORITHM, "public_key": fresh.public_hex, "replaces": old}
        if holds:
            stamp_in(writing)
            body["word"] = handover_word(before.log, fresh.public_hex)
        writing.append("log-key-named", body, actor)
    # Only now does the record name it; cut short here, it is found where it waits.
    with book.writing() as writing:
        stamp_in(writing)
    put_log_key_in_place(book.own)
    return {"public_key": fresh.public_hex, "replaces": old, "word": holds}
