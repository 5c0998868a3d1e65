"""What a contact clock has to say beside its numbers: each finding, why, and what to do."""

from typing import Any

from lanewater.kernel.deciding.contactrounds import (
    CONTACT_WINDOW,
    NOT_BELIEVED,
    points_missing,
    points_read,
    rises_of,
)

# Two readings further apart say little of the time between. JUDG
LONGEST_GAP = 14400
# Free chlorine over which phenol red is not believed. MEM [thousandths of mg/L]
DYE_SPOILED = 10000
PH_OF_THE_TIMES = 7500
# Id: what it is about, why, what to do.
CONTACT_WORDS = {
    "circulation-stopped": (
        "circulation",
        "Circulation stood still: chlorine that does not move counts for nothing.",
        "Once it runs again, read free chlorine: the time runs only from there.",
    ),
    "free-under": (
        "free_chlorine",
        "Free chlorine at the lowest point was under what the procedure asks.",
        "Bring it up, let it mix, and read it at the lowest point again.",
    ),
    "ph-over": (
        "ph",
        "pH was over what this contact time holds for, or over the test's range.",
        "Bring pH down first, then read pH and free chlorine again.",
    ),
    "ph-not-known": (
        "ph",
        "pH was not read with this test, in the day before it, or since chlorine was added.",
        "Read pH before chlorine is raised. Chlorine over about 10 mg/L spoils the dye: a meter.",
    ),
    "ph-in-doubt": (
        "ph",
        "pH was read with so much chlorine in the water that the dye of most tests is spoiled.",
        "Only a meter tells pH there; with a dye, read pH before chlorine is raised.",
    ),
    "temperature-under": (
        "temperature_c",
        "The water was colder than this contact time holds for.",
        "Ask the authority; a longer time is not worked out here.",
    ),
    "temperature-not-known": (
        "temperature_c",
        "The water's temperature was not read with this test or in the day before it.",
        "Read the temperature.",
    ),
    "cyanuric-over": (
        "cyanuric_acid",
        "There is more stabiliser than this contact time holds for.",
        "Dilute with fresh water until it is down, and begin again.",
    ),
    "cyanuric-not-known": (
        "cyanuric_acid",
        "Stabiliser was not read, and this contact time holds only up to a limit of it.",
        "Test stabiliser.",
    ),
    "restarted": (
        "clock",
        "A reading did not meet what is asked: the time before it does not count.",
        "The time begins anew at the next reading that meets everything.",
    ),
    "held": (
        "clock",
        "A reading did not meet what is asked: the time on both sides of it does not count.",
        "What counted before stands, as the procedure says.",
    ),
    "restart-assumed": (
        "clock",
        "Nothing read here says what a reading that falls short does to the time before it.",
        "The stricter is taken: it begins anew. Ask the authority.",
    ),
    "point-missing": (
        "point",
        "Not every point was read each time: the lowest of what was read counts.",
        "Read every point each time; the one left out may be the lowest.",
    ),
    "points-under": (
        "point",
        "Fewer points were read than the procedure asks for.",
        "Read all of them within ten minutes: the time runs only from there.",
    ),
    "one-point": (
        "point",
        "Only one point was read.",
        "Read several, away from the inlets: the lowest counts.",
    ),
    "over-range": (
        "free_chlorine",
        "A reading over the test's range counts at its bound and no more.",
        "Dilute the sample or titrate, so that it counts in full.",
    ),
    "rose-between": (
        "free_chlorine",
        "Free chlorine was added between two readings: just before, it may have been lower.",
        "Read free chlorine just before adding; that reading counts as well.",
    ),
    "long-gap": (
        "free_chlorine",
        "Nothing was read for more than four hours: between, it may have been lower.",
        "Read more often, and always just before adding.",
    ),
    "clock-not-running": (
        "clock",
        "The last reading does not count, so no time is running.",
        "Put right what it says, and read again.",
    ),
    "cannot-be-reached": (
        "clock",
        "It cannot be reached from here: as free chlorine is falling, it is used up before.",
        "Ask whoever may dose. A time runs only on what is measured.",
    ),
    "decay-not-known": (
        "free_chlorine",
        "There are no two exact readings of one point to tell how fast free chlorine goes.",
        "Read again; the time given is for chlorine that holds.",
    ),
    "decay-not-clear": (
        "free_chlorine",
        "Free chlorine may be falling too fast to come there; the fall is within test error.",
        "Read again before relying on the time given.",
    ),
    "no-readings": ("free_chlorine", "No free chlorine was read.", "Read it at the lowest point."),
    "no-figure": (
        "pathogen",
        "The table has no figure for these readings, or pH or temperature is missing.",
        "Read pH and temperature with free chlorine; bring pH into the table's range.",
    ),
    "stabiliser-not-known": (
        "cyanuric_acid",
        "Stabiliser is not known. The figure is for water without any; with some it is longer.",
        "Test it, or say 0 where none was ever used. Until then no time is given.",
    ),
    "table-without-stabiliser": (
        "cyanuric_acid",
        "This table is for water without stabiliser. With it the time is longer, by no table.",
        "Follow the rules' own steps for stabilised water.",
    ),
    "stabiliser-present": (
        "cyanuric_acid",
        "There is stabiliser, and what is asked names no limit of it. It slows chlorine down.",
        "Ask the authority whether the figure is meant for stabilised water.",
    ),
    "carried": (
        "readings",
        "Not everything was read each time: the last reading within the day stands.",
        "Read it with every test.",
    ),
    "stabiliser-too-high": (
        "cyanuric_acid",
        "Over 15 mg/L of stabiliser no contact time for Cryptosporidium is reckoned with.",
        "Drain or dilute first, as the rules say, and test stabiliser again.",
    ),
    "stabilised": (
        "cyanuric_acid",
        "With stabiliser up to 15 mg/L the figure is that of NSW Health, 31,500 mg min/L.",
        "Use unstabilised chlorine only.",
    ),
    "superseded": (
        "pathogen",
        "9,600 mg min/L was superseded in 2008 by 15,300.",
        "No time is given by it. Follow the rules' own steps.",
    ),
    "not-believed": (
        "free_chlorine",
        "Over 50 mg/L is taken for a slip, and counts as none.",
        "Read it again. A wrong one is corrected, not left.",
    ),
    "not-diluted": (
        "free_chlorine",
        "Over 10 mg/L is over the range of most tests, and it was not diluted.",
        "Dilute the sample, or titrate; repeat what was read without.",
    ),
    "ph-not-asked": (
        "ph",
        "What is asked here names no pH, and pH was not read or was over 7.5.",
        "Bring pH to 7.5 or under first: over it chlorine works more slowly.",
    ),
    "beyond-table": (
        "free_chlorine",
        "The table ends at 3 mg/L: its last row stands for more, and may be too little there.",
        "No time is given by it. Follow the rules' own steps.",
    ),
    "archived": (
        "rules",
        "This is an archived text of the authority. What is in force may ask for more.",
        "No time is given by it. Get the procedure in force from the authority.",
    ),
    "unstabilised-only": (
        "product",
        "The procedure allows only unstabilised chlorine.",
        "Never dichlor or trichlor in an incident.",
    ),
}


def contact_finding(identity: str, at: list[int] | None) -> dict[str, Any]:
    """Write one finding.

    Parameters
    ----------
    identity : str
        A key of CONTACT_WORDS.
    at : list of int or None
        The readings it is about, if it is about some. [UTC s]
    """
    words = CONTACT_WORDS[identity]
    found: dict[str, Any] = {
        "id": identity,
        "about": words[0],
        "why": words[1],
        "do": words[2],
    }
    if at is not None:
        found["at"] = at
    return found


def uncounted_findings(times: list[dict[str, Any]], whys: list[list[str]]) -> list[dict[str, Any]]:
    """Write a finding for each reason for which times do not count."""
    at: dict[str, Any] = {}
    for place in range(len(times)):
        for why in whys[place]:
            if why not in at:
                at[why] = []
            at[why].append(times[place]["at"])
    findings = []
    for why in CONTACT_WORDS:
        if why in at:
            findings.append(contact_finding(why, at[why]))
    return findings


def carried_findings(
    times: list[dict[str, Any]], whys: list[list[str]], needs: dict[str, Any]
) -> list[dict[str, Any]]:
    """Name the times that count by a pH, temperature or stabiliser read before their test.

    And those that count by a pH that was read in much chlorine.

    Parameters
    ----------
    times, whys : list
        As `contact_times` and `whys_of` give them.
    needs : dict
        As `plain_needs` gives them.
    """
    wanted = (
        ("ph", "ph_most"),
        ("temperature_c", "temperature_least"),
        ("cyanuric_acid", "cyanuric_most"),
    )
    at = []
    doubtful = []
    for place in range(len(times)):
        time = times[place]
        older = False
        for parameter, limit in wanted:
            if needs[limit] is not None and len(whys[place]) == 0:
                older = older or time[parameter]["at"] <= time["at"] - CONTACT_WINDOW
        if older:
            at.append(time["at"])
        counts = needs["ph_most"] is not None and len(whys[place]) == 0
        if counts and time["free_most"] > DYE_SPOILED:
            if time["ph"]["at"] > time["at"] - CONTACT_WINDOW:
                doubtful.append(time["at"])
    findings = []
    if len(at) > 0:
        findings.append(contact_finding("carried", at))
    if len(doubtful) > 0:
        findings.append(contact_finding("ph-in-doubt", doubtful))
    return findings


def doubted_rows(rows: list[dict[str, Any]], identity: str) -> list[int]:
    """Give the times of free chlorine that is not believed, or was read high without dilution."""
    found: list[int] = []
    for row in rows:
        wild = row["typed"] > NOT_BELIEVED
        plain = row["typed"] > DYE_SPOILED and not row["diluted"] and row["relation"] == "exact"
        meant = wild if identity == "not-believed" else plain and not wild
        if row["parameter"] == "free_chlorine" and meant and row["at"] not in found:
            found.append(row["at"])
    return sorted(found)


def ph_findings(times: list[dict[str, Any]], needs: dict[str, Any]) -> list[dict[str, Any]]:
    """Name a pH that is missing or over 7.5 where what is asked does not say one.

    7.5 is where the US CDC's contact times end (MMWR 57(6), 2008). It changes no clock.
    """
    if needs["ph_most"] is not None:
        return []
    at = []
    for time in times_read(times):
        if time["ph"] is None or time["ph"]["number"] > PH_OF_THE_TIMES:
            at.append(time["at"])
    if len(at) == 0:
        return []
    return [contact_finding("ph-not-asked", at)]


def times_read(times: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give the times at which free chlorine was read, without those of a pump that stood still."""
    found = []
    for time in times:
        if time.get("stopped", False) is not True:
            found.append(time)
    return found


def reading_findings(
    rows: list[dict[str, Any]], seen: list[dict[str, Any]]
) -> list[dict[str, Any]]:
    """Write what is to be known of the readings themselves, whatever is asked of them.

    Parameters
    ----------
    rows, seen : list of dict
        As `contact_rows` and `contact_times` give them.
    """
    times = times_read(seen)
    if len(times) == 0:
        return [contact_finding("no-readings", None)]
    findings = []
    missing = []
    rises = rises_of(rows)
    for time in times:
        if len(points_missing(rows, time["at"])) > 0:
            missing.append(time["at"])
    over = []
    for row in rows:
        above = row["parameter"] == "free_chlorine" and row["relation"] == "above"
        if above and row["at"] not in over:
            over.append(row["at"])
    for identity in ("not-believed", "not-diluted"):
        at = doubted_rows(rows, identity)
        if len(at) > 0:
            findings.append(contact_finding(identity, at))
    if len(points_read(rows)) == 1:
        findings.append(contact_finding("one-point", None))
    if len(missing) > 0:
        findings.append(contact_finding("point-missing", missing))
    if len(over) > 0:
        findings.append(contact_finding("over-range", sorted(over)))
    if len(rises) > 0:
        findings.append(contact_finding("rose-between", rises))
    gaps = []
    for place in range(1, len(times)):
        if times[place]["at"] - times[place - 1]["at"] > LONGEST_GAP:
            gaps.append(times[place]["at"])
    if len(gaps) > 0:
        findings.append(contact_finding("long-gap", gaps))
    return findings
