"""What tablets send stands once, with the record on a server."""

from tests.service.test_sync import (
    tablet,
    test_a_batch_that_was_rolled_back_leaves_no_trace_in_the_open_book,
    test_a_resend_gets_the_same_receipt_and_records_nothing,
    test_a_round_that_a_tablet_signed_is_recorded_judged_and_receipted,
    test_an_everyone_out_from_a_tablet_beats_an_opening_that_it_did_not_know_of,
    test_the_proof_that_the_record_goes_on_holds,
    test_what_a_revoked_device_sends_is_kept_once_and_what_it_sent_before_stays,
)

__all__ = [
    "tablet",
    "test_a_batch_that_was_rolled_back_leaves_no_trace_in_the_open_book",
    "test_a_resend_gets_the_same_receipt_and_records_nothing",
    "test_a_round_that_a_tablet_signed_is_recorded_judged_and_receipted",
    "test_an_everyone_out_from_a_tablet_beats_an_opening_that_it_did_not_know_of",
    "test_the_proof_that_the_record_goes_on_holds",
    "test_what_a_revoked_device_sends_is_kept_once_and_what_it_sent_before_stays",
]
