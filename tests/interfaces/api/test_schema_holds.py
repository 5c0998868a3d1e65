"""The whole API against its own description, with made-up requests: as the owner and as nobody."""

from __future__ import annotations

from typing import Any

import pytest
from fastapi.responses import JSONResponse
from tests.interfaces.api.baths import Baths
from tests.interfaces.api.schema_calls import hold, schema_of

from lanewater.interfaces.api.table import TABLE, Endpoint

# A stranger gets 401 whatever is sent, so few requests show it.
HOW_MANY = {"owner": 10, "area-manager": 10, "nobody": 2}


@pytest.fixture(scope="module")
def schema(shared_baths: Baths) -> Any:
    """Give the API as it describes itself."""
    return schema_of(shared_baths.app)


@pytest.mark.parametrize("role", ["owner", "area-manager", "nobody"])
@pytest.mark.parametrize("row", TABLE, ids=lambda row: f"{row.method} {row.path}")
def test_an_answer_is_as_described(
    shared_baths: Baths, schema: Any, row: Endpoint, role: str
) -> None:
    if row.path.endswith("/sign-out"):
        role = "nobody"  # else the others that follow would be signed out
    hold(shared_baths, schema, row, role, fitting=True, most=HOW_MANY[role])


@pytest.mark.parametrize(
    "row", [row for row in TABLE if row.method == "POST"], ids=lambda row: row.path
)
def test_what_does_not_fit_is_refused(shared_baths: Baths, schema: Any, row: Endpoint) -> None:
    hold(shared_baths, schema, row, "owner", fitting=False, most=HOW_MANY["owner"])


@pytest.mark.parametrize(
    "answer", [JSONResponse({}, 500), JSONResponse({}, 418), JSONResponse({"more": 1}, 200)]
)
def test_an_answer_that_is_not_described_is_seen(
    shared_baths: Baths, schema: Any, monkeypatch: pytest.MonkeyPatch, answer: JSONResponse
) -> None:
    monkeypatch.setattr("lanewater.interfaces.api.gate.pass_gate", lambda *_: None)
    monkeypatch.setattr("lanewater.interfaces.api.gate.answer_for", lambda *_: answer)
    row = next(row for row in TABLE if row.path == "/api/v1/now")
    with pytest.raises(BaseException, match=r"(?s)Schemathesis|server error|Undocumented|failure"):
        hold(shared_baths, schema, row, "owner", fitting=True, most=1)
