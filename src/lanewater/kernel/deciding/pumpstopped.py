"""Circulation that stands still, as a reading, as a row of a contact clock, and when it does."""

from typing import Any


def says_stopped(reading: dict[str, Any]) -> bool:
    """Tell whether a reading says that circulation had stopped: chlorine then reaches nothing."""
    return reading["parameter"] == "circulation" and reading["value"] == "stopped"


def pump_stood(readings: list[dict[str, Any]]) -> bool:
    """Tell whether somebody saw that circulation had stopped: chlorine then reaches nothing."""
    for reading in readings:
        if says_stopped(reading):
            return True
    return False


def stopped_row(at: int) -> dict[str, Any]:
    """Give the row of circulation that stood still at a moment. [UTC s]"""
    return {
        "parameter": "circulation",
        "point": "",
        "at": at,
        "number": 0,
        "relation": "exact",
        "typed": 0,
        "diluted": False,
    }


def stopped_reading(at: int) -> dict[str, Any]:
    """Give the reading of circulation that stands still, in normal form. [UTC s]"""
    return {
        "parameter": "circulation",
        "value": "stopped",
        "dilution": 1,
        "point": "",
        "at": at,
        "uncertainty": None,
        "kit": "",
    }


def stood_still_at(incident: dict[str, Any], pool: str, at: int) -> bool:
    """Tell whether circulation stood still at a pool by another incident. [UTC ms]"""
    for row in incident.get("still", []):
        before = row["from"] <= at and (row["until"] is None or at <= row["until"])
        if pool in row["pools"] and before:
            return True
    return False
