"""The invented site, for the tests of this folder."""

from tests.baths import baths, template

__all__ = ["baths", "template"]
