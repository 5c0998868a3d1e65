"""One site for all tests of the API, made once; each test has a copy."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.interfaces.api.baths import Baths, Template, make_template, open_copy

from lanewater.interfaces.api.app import build_api


@pytest.fixture(scope="session")
def template(tmp_path_factory: pytest.TempPathFactory) -> Template:
    """Make the site."""
    return make_template(tmp_path_factory.mktemp("baths") / "site")


@pytest.fixture
def baths(template: Template, tmp_path: Path) -> Iterator[Baths]:
    """Open a copy of it."""
    found = open_copy(template, tmp_path / "site")
    yield found
    found.browser.close()
    found.book.close()


@pytest.fixture(scope="module")
def shared_baths(template: Template, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Baths]:
    """Open one copy for the tests of a module that change nothing."""
    found = open_copy(template, tmp_path_factory.mktemp("shared") / "site", build_api(None))
    yield found
    found.browser.close()
    found.book.close()
