"""Reading a request's body: bounded while it arrives, and one meaning only."""

from __future__ import annotations

from typing import Any

from starlette.requests import Request

from lanewater.interfaces.api.errors import WireError
from lanewater.terms.errors import InputError
from lanewater.terms.jsontext import read_json

LARGEST = 1_000_000
# Of somebody who is not known here, enough for a first key.
LARGEST_OF_STRANGERS = 10_000
TOO_LARGE = "at most {largest} bytes are read"
REPEATING = {
    "stands twice": "not readable as JSON: a key stands twice in one object",
    "too large a number": "not readable as JSON: a number is too large",
    "integer string conversion": "not readable as JSON: a number is too long",
}


class JsonRequest(Request):
    """A request whose body is JSON, refused before anything else looks at it.

    Attributes
    ----------
    largest : int
        How many bytes are read.
    """

    largest = LARGEST

    async def body(self) -> bytes:
        """Give the body; what is too large is cut off as it arrives.

        Raises
        ------
        WireError
            Where it is larger than may be.
        """
        if not hasattr(self, "_body"):
            declared = self.headers.get("content-length", "0")
            if not declared.isdigit() or int(declared[:12]) > self.largest:
                raise self.too_large()
            arrived = bytearray()
            async for part in self.stream():
                arrived += part
                if len(arrived) > self.largest:
                    raise self.too_large()
            self._body = bytes(arrived)
        return self._body

    def too_large(self) -> WireError:
        """Give the error of a body that is too large; the connection ends with it."""
        said = TOO_LARGE.format(largest=self.largest)
        return WireError("too-large", said, {"Connection": "close"})

    async def json(self) -> Any:
        """Give what the body says.

        Raises
        ------
        WireError
            Where it is not JSON, says something twice, holds NaN, or is nested too deep.
        """
        if not hasattr(self, "_json"):
            try:
                self._json = read_json(await self.body())
            except InputError as error:
                raise WireError("json", plain(str(error))) from None
        return self._json

    async def checked_json(self) -> Any:
        """Give the body of a request that must have one.

        Raises
        ------
        WireError
            Where it is not declared as JSON, or not readable as an object.
        """
        kind = self.headers.get("content-type", "").partition(";")[0].strip().lower()
        if kind != "application/json":
            raise WireError("media-type", "the Content-Type must be application/json")
        if not isinstance(await self.json(), dict):
            raise WireError("json", "a JSON object is wanted in the body; at least {}")
        return self._json


def plain(message: str) -> str:
    """Say what a reader said without the piece of text that it quotes."""
    for mark, sentence in REPEATING.items():
        if mark in message:
            return sentence
    return message
