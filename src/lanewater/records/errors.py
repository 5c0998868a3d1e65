"""What can go wrong with the record itself."""

from __future__ import annotations

from lanewater.terms.errors import LanewaterError, RefusedError


class NotRecordingError(LanewaterError):
    """The disk did not take what was written; nothing is recorded until somebody looks."""

    exit_code = 3


class StoreAwayError(NotRecordingError):
    """The store's server was lost; what is unfinished is not saved, or not known to be."""


class BrokenPromiseError(LanewaterError):
    """The store does not keep what it must keep: durable, append-only, whole."""

    exit_code = 4


class EntryIdReusedError(RefusedError):
    """An id that is on record came again and says something else."""

    def __init__(self, entry_id: str) -> None:
        super().__init__(
            f"id: {entry_id} is on record with other content; a new fact needs a new id"
        )


class SequenceError(RefusedError):
    """An entry does not follow its device's previous one."""
