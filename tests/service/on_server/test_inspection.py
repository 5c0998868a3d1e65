"""An inspector's link opens a period and ends, with the record on a server."""

from tests.service.test_inspection import (
    test_a_link_opens_until_it_runs_out_or_is_ended,
    test_a_token_is_shown_once_and_kept_as_a_digest_alone,
    test_nothing_outside_the_period_is_given,
)

__all__ = [
    "test_a_link_opens_until_it_runs_out_or_is_ended",
    "test_a_token_is_shown_once_and_kept_as_a_digest_alone",
    "test_nothing_outside_the_period_is_given",
]
