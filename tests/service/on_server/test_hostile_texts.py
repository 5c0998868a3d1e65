"""Whatever somebody types stays as it is in a server's tables too."""

from tests.service.test_hostile_texts import (
    test_two_hundred_of_them_are_kept_word_for_word,
)

__all__ = [
    "test_two_hundred_of_them_are_kept_word_for_word",
]
