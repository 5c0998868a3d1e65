"""The promises of tests/service/test_record.py, with the record on a server."""

from tests.service.test_record import *  # noqa: F403 - every test of it, run here
