"""The promises of tests/service/test_settling.py, with the record on a server."""

from tests.service.test_settling import *  # noqa: F403 - every test of it, run here
