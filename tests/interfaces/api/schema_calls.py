"""Made-up requests held to the API's own description: for the tests and for the long campaign."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import Any

import schemathesis
from hypothesis import HealthCheck, Phase, given, seed, settings
from schemathesis import Case, GenerationMode
from schemathesis.checks import CHECKS
from starlette.types import ASGIApp, Receive, Scope, Send
from tests.interfaces.api.baths import Baths
from tests.interfaces.api.browser import ORIGIN, OWN_PAGE

from lanewater.interfaces.api.table import Endpoint

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
EXAMPLES = settings(
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)


@dataclass
class Counted:
    """An application that counts what it is asked and how it answered."""

    app: ASGIApp
    statuses: Counter[int] = field(default_factory=Counter)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request and count it."""

        async def counting(message: Any) -> None:
            if message["type"] == "http.response.start":
                self.statuses[message["status"]] += 1
            await send(message)

        await self.app(scope, receive, counting)


def schema_of(app: ASGIApp) -> Any:
    """Give the API as it describes itself."""
    found = schemathesis.openapi.from_asgi("/openapi.json", app, headers={"Host": HOST})
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


def hold(
    baths: Baths,
    schema: Any,
    row: Endpoint,
    role: str,
    *,
    fitting: bool,
    most: int,
    start: int | None = None,
) -> None:
    """Send made-up requests to one route and hold each answer to the description.

    Parameters
    ----------
    baths, schema, row, role
        The site, the description of its API, the route, and who asks.
    fitting : bool
        Whether the requests fit the description, or do not.
    most : int
        How many requests are made up; the checks send more on their own.
    start : int, optional
        The seed; always the same requests where left out.
    """
    mode = GenerationMode.POSITIVE if fitting else GenerationMode.NEGATIVE
    requests = schema[row.path][row.method].as_strategy(generation_mode=mode)
    requests = requests.map(at_our_pool) if fitting else requests
    checks = [CHECKS.get_one(name) for name in WANTED]
    cookies = baths.tokens.get(role, {})

    def each(case: Case) -> None:
        case.call_and_validate(headers=OWN_PAGE, cookies=cookies, checks=checks)

    run = settings(EXAMPLES, max_examples=most, derandomize=start is None)(
        given(case=requests)(each)
    )
    (run if start is None else seed(start)(run))()
