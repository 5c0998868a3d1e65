"""The promises of tests/service/test_stamping.py, with the record on a server."""

from tests.service.test_stamping import *  # noqa: F403 - every test of it, run here
