"""A long record is resumed from a resting point on a server."""

from tests.service.test_resting import (
    small,
    test_a_resend_of_a_round_long_past_stands_once,
    test_a_transaction_that_is_undone_leaves_no_resting_point,
)

__all__ = [
    "small",
    "test_a_resend_of_a_round_long_past_stands_once",
    "test_a_transaction_that_is_undone_leaves_no_resting_point",
]
