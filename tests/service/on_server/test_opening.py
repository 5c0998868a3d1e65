"""The promises of tests/service/test_opening.py, with the record on a server."""

from tests.service.test_opening import *  # noqa: F403
