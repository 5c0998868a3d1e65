"""A store of each kind, for the tests of this folder."""

from tests.stores import made, place

__all__ = ["made", "place"]
