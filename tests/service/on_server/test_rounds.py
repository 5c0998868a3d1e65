"""Rounds are saved once, as typed, and judged, with the record on a server."""

from tests.service.test_rounds import (
    test_a_correction_keeps_both_values_and_is_judged_again,
    test_a_draft_is_judged_and_leaves_nothing,
    test_a_good_round_meets_and_says_by_which_rules,
    test_a_late_round_stands_where_it_was_taken_and_opens_no_stop_now,
    test_a_resend_stands_once_and_gets_the_same_answer,
    test_an_unjudged_round_is_judged_before_the_next_so_that_its_stop_stands,
    test_corrections_of_a_correction_form_a_chain,
    test_readings_stay_as_they_were_typed,
    test_the_same_id_cannot_say_something_else,
    test_what_breaks_in_judging_never_unsaves_the_round,
)

__all__ = [
    "test_a_correction_keeps_both_values_and_is_judged_again",
    "test_a_draft_is_judged_and_leaves_nothing",
    "test_a_good_round_meets_and_says_by_which_rules",
    "test_a_late_round_stands_where_it_was_taken_and_opens_no_stop_now",
    "test_a_resend_stands_once_and_gets_the_same_answer",
    "test_an_unjudged_round_is_judged_before_the_next_so_that_its_stop_stands",
    "test_corrections_of_a_correction_form_a_chain",
    "test_readings_stay_as_they_were_typed",
    "test_the_same_id_cannot_say_something_else",
    "test_what_breaks_in_judging_never_unsaves_the_round",
]
