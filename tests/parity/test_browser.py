"""Without a browser the tests that need one fail; none is skipped."""

from __future__ import annotations

import pytest
from tests.conftest import browser_path


def test_a_named_browser_that_is_not_there_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LANEWATER_BROWSER", "no-such-browser")
    with pytest.raises(RuntimeError, match="no-such-browser does not start here"):
        browser_path()


def test_no_browser_on_the_path_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("LANEWATER_BROWSER", raising=False)
    monkeypatch.setenv("PATH", "")
    with pytest.raises(RuntimeError, match="no Chromium"):
        browser_path()
