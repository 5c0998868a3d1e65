"""What a contact time needs: from a target, from a rule's route, or from the tables by a germ."""

from typing import Any

from lanewater.kernel.deciding.contactclock import whys_of
from lanewater.kernel.deciding.contactfindings import contact_finding
from lanewater.kernel.deciding.contactrounds import BEYOND
from lanewater.kernel.deciding.decimals import thousandths_of_float
from lanewater.kernel.water.contacttime import giardia_ct, virus_ct
from lanewater.kernel.water.contacttimeslots import (
    CT_CHLORINE_ROWS,
    CT_CRYPTOSPORIDIUM_2001,
    CT_CRYPTOSPORIDIUM_2008,
    CT_CRYPTOSPORIDIUM_LIMITS,
    CT_CRYPTOSPORIDIUM_STABILISED,
    CT_GIARDIA_CHLORINE,
    CT_GIARDIA_PH,
    CT_PH_COLUMNS,
    CT_VIRUS_PH,
)

GERMS = ("giardia", "virus", "cryptosporidium")
# The log inactivation that each table is printed for, in thousandths.
GERM_LOGS = {"giardia": 3000, "virus": 4000, "cryptosporidium": 3000}


def plain_needs(ct: int) -> dict[str, Any]:
    """Give the needs of a target that names no condition. [thousandths of mg min/L]"""
    return {
        "ct": ct,
        "seconds": 0,
        "free_least": None,
        "ph_most": None,
        "temperature_least": None,
        "cyanuric_most": None,
        "broken": "restart",
    }


def needs_of_route(procedure: dict[str, Any], route: dict[str, Any]) -> dict[str, Any]:
    """Give the needs of one route of a compiled procedure; what it does not say is the stricter.

    Parameters
    ----------
    procedure, route : dict
        As `rules.procedures` compiles them: thousandths, seconds, None.
    """
    ct = route["ct"]
    if route["free_least"] is not None and route["seconds"] > 0:
        ct = max(ct, -(-route["free_least"] * route["seconds"] // 60))
    return {
        "ct": ct,
        "seconds": route["seconds"],
        "free_least": route["free_least"],
        "ph_most": procedure["ph_most"],
        "temperature_least": procedure["temperature_least"],
        "cyanuric_most": procedure["cyanuric_most"],
        "points_least": procedure.get("points_least", 1),
        "broken": "hold" if procedure["broken"] == "hold" else "restart",
    }


def known_stabiliser(times: list[dict[str, Any]], said: int | None) -> int | None:
    """Give the most cyanuric acid that is known of the water, None where nothing is.

    Parameters
    ----------
    times : list of dict
        As `contact_times` gives them.
    said : int or None
        What was said of the water as a whole. [thousandths of mg/L]
    """
    most = said
    for time in times:
        row = time["cyanuric_acid"]
        if row is not None and (most is None or row["number"] > most):
            most = row["number"]
    return most


def germ_needs(
    k: tuple[float, ...], times: list[dict[str, Any]], said: int | None, asked: dict[str, Any]
) -> dict[str, Any]:
    """Give what a germ needs in this water.

    Parameters
    ----------
    k : tuple of float
        Contact times.
    times : list of dict
        As `contact_times` gives them.
    said : int or None
        Cyanuric acid of the water as a whole. [thousandths of mg/L]
    asked : dict
        {"germ": one of GERMS, "edition": "2001" or "2008", "logs": thousandths}.

    Returns
    -------
    dict
        {"needs": dict or None where no table has a figure, "held_back": True where the figure may
        drive no clock, "never": True where no figure is reckoned with, "findings"}.
    """
    stabiliser = known_stabiliser(times, said)
    if asked["germ"] == "cryptosporidium":
        return cryptosporidium_needs(k, stabiliser, asked["edition"])
    needs = table_needs(k, times, asked)
    findings = []
    held_back = True
    if needs is None:
        findings.append(contact_finding("no-figure", None))
    if stabiliser is None:
        findings.append(contact_finding("stabiliser-not-known", None))
    elif stabiliser > 0:
        findings.append(contact_finding("table-without-stabiliser", None))
    else:
        held_back = needs is None
    beyond = times_beyond_table(k, times, asked["germ"])
    if len(beyond) > 0:
        findings.append(contact_finding("beyond-table", beyond))
        held_back = True
    return {"needs": needs, "held_back": held_back, "never": False, "findings": findings}


def times_beyond_table(k: tuple[float, ...], times: list[dict[str, Any]], germ: str) -> list[int]:
    """Give the times whose free chlorine lies above the last row of Giardia's table.

    By the agency's rule that row stands for all above it; its own regression asks for 2.4 times as
    much at 10 mg/L (20 C, pH 7.5; CALC), though it was not made for there.
    """
    found: list[int] = []
    if germ != "giardia":
        return found
    last = thousandths_of_float(1.0 * k[CT_GIARDIA_CHLORINE + CT_CHLORINE_ROWS - 1])
    for time in times:
        if time["free_most"] > last:
            found.append(time["at"])
    return found


def table_needs(
    k: tuple[float, ...], times: list[dict[str, Any]], asked: dict[str, Any]
) -> dict[str, Any] | None:
    """Give the most that any of the times needs by Giardia's or the viruses' table.

    A time without pH or temperature does not count.
    """
    edge = CT_GIARDIA_PH + CT_PH_COLUMNS - 1
    if asked["germ"] == "virus":
        edge = CT_VIRUS_PH + 2
        if asked["logs"] < GERM_LOGS["virus"]:
            edge = CT_VIRUS_PH + 1
    needs = plain_needs(0)
    needs["ph_most"] = thousandths_of_float(1.0 * k[edge])
    needs["temperature_least"] = -BEYOND
    whys = whys_of(times, needs)
    most: int | None = None
    for place in range(len(times)):
        if len(whys[place]) == 0:
            figure = table_figure(k, times[place], asked)
            if figure < 0:
                return None
            most = figure if most is None else max(most, figure)
    if most is None:
        return None
    needs["ct"] = most
    return needs


def table_figure(k: tuple[float, ...], time: dict[str, Any], asked: dict[str, Any]) -> int:
    """Give what a time needs by Giardia's or the viruses' table, below zero where nothing is told.

    Returns
    -------
    int
        Thousandths of mg min/L, rounded up.
    """
    temperature = time["temperature_c"]["number"] / 1000
    ph = time["ph"]["number"] / 1000
    if asked["germ"] == "virus":
        return thousandths_of_float(virus_ct(k, temperature, ph, asked["logs"] // 1000))
    figure = thousandths_of_float(giardia_ct(k, temperature, ph, time["free_most"] / 1000))
    return -(-figure * asked["logs"] // GERM_LOGS["giardia"])


def cryptosporidium_needs(
    k: tuple[float, ...], stabiliser: int | None, edition: str
) -> dict[str, Any]:
    """Give what Cryptosporidium needs by edition and by cyanuric acid.

    Parameters
    ----------
    k : tuple of float
        Contact times.
    stabiliser : int or None
        Cyanuric acid. [thousandths of mg/L]
    edition : str
        "2001" (superseded: it drives no clock) or "2008".
    """
    limits = CT_CRYPTOSPORIDIUM_LIMITS
    most = thousandths_of_float(1.0 * k[limits + 2])
    findings = []
    held_back = False
    slot = CT_CRYPTOSPORIDIUM_2008
    if stabiliser is not None and stabiliser > most:
        findings.append(contact_finding("stabiliser-too-high", None))
        return {"needs": None, "held_back": True, "never": True, "findings": findings}
    if stabiliser is None:
        findings.append(contact_finding("stabiliser-not-known", None))
        held_back = True
    if edition == "2001":
        findings.append(contact_finding("superseded", None))
        held_back = True
        slot = CT_CRYPTOSPORIDIUM_2001
    if stabiliser is not None and stabiliser > 0:
        findings.append(contact_finding("stabilised", None))
        slot = CT_CRYPTOSPORIDIUM_STABILISED
    needs = plain_needs(thousandths_of_float(1.0 * k[slot]))
    needs["ph_most"] = thousandths_of_float(1.0 * k[limits])
    needs["temperature_least"] = thousandths_of_float(1.0 * k[limits + 1])
    return {"needs": needs, "held_back": held_back, "never": False, "findings": findings}
