"""The base of every error that is written for a person to read."""

from __future__ import annotations


def shown(value: object) -> str:
    """Show a refused value briefly."""
    text = repr(value)
    return text if len(text) <= 40 else text[:37] + "..."


class LanewaterError(Exception):
    """Something a person can act on; the message says what, where and what would be right."""

    exit_code = 2


class InputError(LanewaterError):
    """A value that was handed in cannot be read.

    Parameters
    ----------
    field : str
        Where the trouble is, as the caller wrote it ("readings[2].value").
    message : str
        What is wrong and what would be right.
    """

    def __init__(self, field: str, message: str) -> None:
        named = field.lstrip(".")  # a part of something that has no name of its own
        super().__init__(f"{named}: {message}" if named else message)
        self.field = named


class RefusedError(LanewaterError):
    """A command that is understood and not allowed now; the message says why."""


class MissingError(LanewaterError):
    """Something is not there: a site, a pool, a file, a tool."""

    exit_code = 3
