"""Pools open, close and are cleared, with the record on a server."""

from tests.service.test_opening import (
    test_a_repeat_ends_the_stop_for_a_disinfectant_that_read_none,
    test_a_stop_keeps_the_time_it_was_called,
    test_closing_for_a_cause_takes_a_reason_and_shutting_for_the_hours_none,
    test_nobody_opens_while_something_is_being_added_or_mixes,
    test_nobody_opens_while_the_rules_say_close,
    test_one_of_two_stops_is_ended_and_the_other_stands,
    test_opening_on_less_than_meets_takes_a_reason_and_is_marked,
    test_that_somebody_was_told_is_kept,
    test_the_bottom_not_seen_in_a_round_puts_everyone_out,
    test_the_duty_manager_opens_on_a_round_that_meets,
)

__all__ = [
    "test_a_repeat_ends_the_stop_for_a_disinfectant_that_read_none",
    "test_a_stop_keeps_the_time_it_was_called",
    "test_closing_for_a_cause_takes_a_reason_and_shutting_for_the_hours_none",
    "test_nobody_opens_while_something_is_being_added_or_mixes",
    "test_nobody_opens_while_the_rules_say_close",
    "test_one_of_two_stops_is_ended_and_the_other_stands",
    "test_opening_on_less_than_meets_takes_a_reason_and_is_marked",
    "test_that_somebody_was_told_is_kept",
    "test_the_bottom_not_seen_in_a_round_puts_everyone_out",
    "test_the_duty_manager_opens_on_a_round_that_meets",
]
