"""The API's own description, and the reference that is written from it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from tests.interfaces.api.baths import Baths

from lanewater.interfaces.api.app import build_api
from lanewater.interfaces.api.gate import ANYBODY, INSPECTION
from lanewater.interfaces.api.reference import reference_text
from lanewater.interfaces.api.table import JSON, TABLE, Endpoint

REFERENCE = Path(__file__).parents[3] / "docs" / "reference" / "api.md"


@pytest.fixture(scope="module")
def description() -> dict[str, Any]:
    """Describe the API."""
    found: dict[str, Any] = build_api(None).openapi()
    return found


def test_it_is_openapi_3_1_and_served_to_anybody(baths: Baths) -> None:
    answer = baths.ask("GET", "/openapi.json", role="nobody")
    assert answer.json()["openapi"].startswith("3.1")


def test_there_is_no_page_of_documentation(baths: Baths) -> None:
    for path in ("/docs", "/redoc", "/docs/oauth2-redirect", "/api/docs", "/api/v1/docs"):
        assert baths.ask("GET", path).status_code == 404


@pytest.mark.parametrize("row", TABLE, ids=lambda row: f"{row.method} {row.path}")
def test_every_route_says_what_it_answers_and_what_can_go_wrong(
    description: dict[str, Any], row: Endpoint
) -> None:
    operation = description["paths"][row.path][row.method.lower()]
    wanted = {"200", "500", "503"}
    wanted |= {"401", "403"} if row.who not in (ANYBODY, INSPECTION) else set()
    wanted |= {"401", "429"} if row.who == INSPECTION else set()
    wanted |= {"400", "409", "413", "415", "422"} if row.method == "POST" else set()
    assert wanted <= set(operation["responses"])
    assert operation["summary"]
    for status, response in operation["responses"].items():
        if status == "200" and row.media != JSON:
            assert set(response["content"]) == {row.media}
            continue
        schema = response["content"]["application/json"]["schema"]["$ref"]
        assert schema.endswith("/ErrorAnswer") == (status != "200")


def test_nothing_of_the_frameworks_own_errors_is_left(description: dict[str, Any]) -> None:
    assert "HTTPValidationError" not in json.dumps(description)
    assert "ValidationError" not in description["components"]["schemas"]


def sent_schemas(description: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """Give the schemas of what comes in."""
    every = description["components"]["schemas"]
    return {name: schema for name, schema in every.items() if name.endswith(("Sent", "Item"))}


def test_nothing_that_comes_in_may_hold_an_unknown_field(description: dict[str, Any]) -> None:
    sent = sent_schemas(description)
    assert len(sent) > 30
    for schema in sent.values():
        assert schema["additionalProperties"] is False


def unbounded(schema: dict[str, Any], where: str) -> list[str]:
    """Name the fields of a schema that have no bound."""
    if "$ref" in schema or "enum" in schema or "const" in schema:
        return []
    for alternatives in ("anyOf", "oneOf"):
        if alternatives in schema:
            return [bad for inner in schema[alternatives] for bad in unbounded(inner, where)]
    kind = schema.get("type")
    if kind in ("boolean", "null"):
        return []
    bounds = {"string": "maxLength", "integer": "maximum", "array": "maxItems"}
    if kind == "array" and "maxItems" in schema:
        return unbounded(schema["items"], f"{where}[]")
    return [] if bounds.get(str(kind), "maxProperties") in schema else [where]


def test_everything_that_comes_in_is_bounded(description: dict[str, Any]) -> None:
    found = [
        bad
        for name, schema in sent_schemas(description).items()
        for field, inner in schema.get("properties", {}).items()
        for bad in unbounded(inner, f"{name}.{field}")
    ]
    assert found == []


def test_the_reference_is_that_of_this_program() -> None:
    assert REFERENCE.read_text(encoding="utf-8") == reference_text(build_api(None)), (
        "write it again: python -m lanewater.interfaces.api.reference > docs/reference/api.md"
    )
