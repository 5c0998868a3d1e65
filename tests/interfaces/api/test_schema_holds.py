"""The whole API against its own description, with made-up requests: as the owner and as nobody."""

from __future__ import annotations

from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis.strategies import SearchStrategy
from schemathesis import Case, GenerationMode
from schemathesis.checks import CHECKS
from tests.interfaces.api.baths import Baths
from tests.interfaces.api.browser import ORIGIN, OWN_PAGE

from lanewater.interfaces.api.table import TABLE, Endpoint

# positive_data_acceptance is left out: a pool that is not set up fits the schema and is refused.
# The four that follow resources over several calls ask for links that this API does not have.
HOST = "127.0.0.1:8321"
WANTED = (
    "not_a_server_error",
    "status_code_conformance",
    "content_type_conformance",
    "response_headers_conformance",
    "response_schema_conformance",
    "negative_data_rejection",
    "missing_required_header",
    "unsupported_method",
    "allow_header_conformance",
    "ignored_auth",
)
# A stranger gets 401 whatever is sent, so few requests show it.
HOW_MANY = {"owner": 6, "area-manager": 6, "nobody": 2}
EXAMPLES = settings(
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)


@pytest.fixture(scope="module")
def schema(shared_baths: Baths) -> Any:
    """Give the API as it describes itself."""
    found = schemathesis.openapi.from_asgi(
        "/openapi.json", shared_baths.app, headers={"Host": HOST}
    )
    found.config.update(base_url=ORIGIN)
    # The cookies are those of a role, never made up.
    found.config.generation.update(with_security_parameters=False)
    return found


def at_our_pool(case: Case) -> Case:
    """Let a made-up request be about a pool that is there, so that the service gets to answer."""
    if "pool" in case.path_parameters:
        case.path_parameters["pool"] = "main"
    if isinstance(case.body, dict) and isinstance(case.body.get("pool"), str):
        case.body["pool"] = "main"
    return case


def hold(baths: Baths, row: Endpoint, role: str, requests: SearchStrategy[Case]) -> None:
    """Send made-up requests to one route and hold each answer to the description."""
    checks = [CHECKS.get_one(name) for name in WANTED]

    @settings(EXAMPLES, max_examples=HOW_MANY[role])
    @given(case=requests)
    def each(case: Case) -> None:
        cookies = baths.tokens.get(role, {})
        case.call_and_validate(headers=OWN_PAGE, cookies=cookies, checks=checks)

    each()


@pytest.mark.parametrize("role", ["owner", "area-manager", "nobody"])
@pytest.mark.parametrize("row", TABLE, ids=lambda row: f"{row.method} {row.path}")
def test_an_answer_is_as_described(
    shared_baths: Baths, schema: Any, row: Endpoint, role: str
) -> None:
    if row.path.endswith("/sign-out"):
        role = "nobody"  # else the others that follow would be signed out
    made = schema[row.path][row.method].as_strategy(generation_mode=GenerationMode.POSITIVE)
    hold(shared_baths, row, role, made.map(at_our_pool))


@pytest.mark.parametrize(
    "row", [row for row in TABLE if row.method == "POST"], ids=lambda row: row.path
)
def test_what_does_not_fit_is_refused(shared_baths: Baths, schema: Any, row: Endpoint) -> None:
    made = schema[row.path][row.method].as_strategy(generation_mode=GenerationMode.NEGATIVE)
    hold(shared_baths, row, "owner", made)
