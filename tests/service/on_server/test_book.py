"""The promises of a book that do not speak of a file, with the record on a server."""

from tests.service.test_book import (
    test_a_command_that_fails_half_way_leaves_nothing,
    test_a_second_site_in_the_same_folder_is_refused,
    test_every_entry_is_signed_by_a_device_on_record_and_follows_its_last,
    test_the_first_entry_enrols_the_device_that_signs_it,
    test_the_state_read_again_from_disk_is_the_same,
    test_threads_write_one_after_the_other_and_nothing_is_lost,
    test_two_books_see_what_the_other_wrote,
)

__all__ = [
    "test_a_command_that_fails_half_way_leaves_nothing",
    "test_a_second_site_in_the_same_folder_is_refused",
    "test_every_entry_is_signed_by_a_device_on_record_and_follows_its_last",
    "test_the_first_entry_enrols_the_device_that_signs_it",
    "test_the_state_read_again_from_disk_is_the_same",
    "test_threads_write_one_after_the_other_and_nothing_is_lost",
    "test_two_books_see_what_the_other_wrote",
]
