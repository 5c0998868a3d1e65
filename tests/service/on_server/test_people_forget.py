"""A name is forgotten while the record stands, with both on a server."""

from tests.service.test_people_forget import (
    test_sessions_and_the_pin_end_at_once,
    test_what_was_done_stays_under_an_opaque_word,
    test_who_was_forgotten_does_not_come_back_under_the_same_id,
)

__all__ = [
    "test_sessions_and_the_pin_end_at_once",
    "test_what_was_done_stays_under_an_opaque_word",
    "test_who_was_forgotten_does_not_come_back_under_the_same_id",
]
