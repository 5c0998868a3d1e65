"""Who may come in, with sessions and devices kept on a server."""

from tests.service.test_access import (
    test_a_first_key_opens_once,
    test_a_person_signs_in_with_a_pin_on_an_enrolled_browser,
    test_a_removed_device_is_nobodys,
    test_a_right_pin_forgets_the_wrong_ones,
    test_a_session_is_good_on_its_own_device_only,
    test_an_enrolled_browser_is_on_record,
    test_signing_out_leaving_and_a_new_pin_end_sessions_at_once,
    test_ten_wrong_pins_lock_that_person_on_that_device_only,
)

__all__ = [
    "test_a_first_key_opens_once",
    "test_a_person_signs_in_with_a_pin_on_an_enrolled_browser",
    "test_a_removed_device_is_nobodys",
    "test_a_right_pin_forgets_the_wrong_ones",
    "test_a_session_is_good_on_its_own_device_only",
    "test_an_enrolled_browser_is_on_record",
    "test_signing_out_leaving_and_a_new_pin_end_sessions_at_once",
    "test_ten_wrong_pins_lock_that_person_on_that_device_only",
]
