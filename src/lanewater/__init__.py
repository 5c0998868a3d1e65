"""Lanewater: test, judge, dose and record public pool water."""

__version__ = "0.1.0"
