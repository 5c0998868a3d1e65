"""Which features of the rules format a pack uses: the 45 of the survey of codes, by number."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any, NamedTuple

Raw = Mapping[str, Any]
TESTED = ("interval", "schedule")
OWN_BANDS = ("temperature_c", "ph", "cyanuric_acid")


class Feature(NamedTuple):
    """One feature: its number, what it is, and how a pack's text shows it."""

    number: int
    name: str
    used: Callable[[Raw], bool]


def entries(raw: Raw) -> Iterable[dict[str, Any]]:
    """Give everything that may hang on conditions."""
    for table in ("rule", *TESTED, "class", "procedures", "reopening", "checklist"):
        yield from raw.get(table, [])
    for rule in raw.get("rule", []):
        yield from rule.get("modify", [])


def fact(*names: str) -> Callable[[Raw], bool]:
    """Make the test of whether something hangs on a fact of the pool."""

    def used(raw: Raw) -> bool:
        asked = [
            key.removesuffix("_not")
            for entry in entries(raw)
            for table in ("when", "when_known")
            for key in entry.get(table, {})
        ]
        asked += [
            key.removesuffix("_not")
            for item in raw.get("coverage", {}).values()
            for key in item.get("none_for", {})
        ]
        return any(name in names for name in asked)

    return used


def hanging(entry: Mapping[str, Any]) -> list[str]:
    """Give the readings that an entry hangs on."""
    return [row["parameter"] for row in entry.get("when_reading", [])]


def band(*parameters: str) -> Callable[[Raw], bool]:
    """Make the test of whether something hangs on one of these readings."""
    return lambda raw: any(name in parameters for entry in entries(raw) for name in hanging(entry))


def key(*names: str, table: str = "rule") -> Callable[[Raw], bool]:
    """Make the test of whether an entry of a table has one of these keys."""
    return lambda raw: any(name in entry for entry in raw.get(table, []) for name in names)


def table(*names: str) -> Callable[[Raw], bool]:
    """Make the test of whether a pack has one of these tables."""
    return lambda raw: any(raw.get(name) for name in names)


def either(*tests: Callable[[Raw], bool]) -> Callable[[Raw], bool]:
    """Make the test of whether one of several holds."""
    return lambda raw: any(test(raw) for test in tests)


def several_tiers(raw: Raw) -> bool:
    """Tell whether one reading is limited on one side at more than one level."""
    found: dict[tuple[str, bool], set[str]] = {}
    for rule in raw.get("rule", []):
        side = (rule["parameter"], "at_least" in rule or "above" in rule)
        found.setdefault(side, set()).add(rule["level"])
    return any(len(levels) > 1 for levels in found.values())


def matrix(raw: Raw) -> bool:
    """Tell whether a rule limits free chlorine by ORP, or ORP by free chlorine."""
    pair = {"free_chlorine", "orp_mv"}
    return any(
        rule["parameter"] in pair and set(hanging(rule)) & pair for rule in raw.get("rule", [])
    )


def combination(raw: Raw) -> bool:
    """Tell whether a rule hangs on another reading than the usual bands."""
    return any(set(hanging(rule)) - set(OWN_BANDS) for rule in raw.get("rule", []))


def ratio(raw: Raw) -> bool:
    """Tell whether a limit is a share of another reading."""
    return any("relative_to" in rule for rule in raw.get("rule", []))


def conditional_tests(raw: Raw) -> bool:
    """Tell whether a test is asked for only of some pools."""
    return any(
        set(row) & {"when", "when_known", "when_reading", "when_number"}
        for name in TESTED
        for row in raw.get(name, [])
    )


def integral(raw: Raw) -> bool:
    """Tell whether a contact time is added up over readings."""
    routes = [route for row in raw.get("procedures", []) for route in row.get("routes", [])]
    return any("ct_mg_min_l" in route for route in routes)


def scoped(raw: Raw) -> bool:
    """Tell whether something closes more than the one pool."""
    return any(entry.get("scope", "pool") != "pool" for entry in entries(raw))


def told(raw: Raw) -> bool:
    """Tell whether somebody must be told, or something hung out."""
    then = [row for rule in raw.get("rule", []) for row in rule.get("then", [])]
    shown = "display_days" in raw.get("records", {})
    return any(row.get("to") for row in (*raw.get("deadline", []), *then)) or shown


def conditional(raw: Raw) -> bool:
    """Tell whether something hangs on what may be unknown."""
    return any(set(entry) & {"when", "when_reading", "when_number"} for entry in entries(raw))


def by_site(_raw: Raw) -> bool:
    """Tell that a pack never holds it: a site's own rules do, with the authority's document."""
    return False


def always(_raw: Raw) -> bool:
    """Tell that every pack holds it: the format asks for it."""
    return True


FEATURES: tuple[Feature, ...] = (
    Feature(1, "kind of pool", fact("kind")),
    Feature(2, "indoors, outdoors, roofed", fact("location")),
    Feature(3, "disinfectant", fact("disinfectant")),
    Feature(4, "stabiliser used, or measured", either(fact("stabiliser"), band("cyanuric_acid"))),
    Feature(5, "temperature band", band("temperature_c")),
    Feature(6, "limit by pH", band("ph")),
    Feature(7, "type of water", fact("water")),
    Feature(8, "coagulant", fact("coagulant")),
    Feature(9, "how dosing is controlled", fact("control")),
    Feature(10, "class, or a number of the pool", either(fact("risk_class"), table("class"))),
    Feature(11, "order of the authority for one site", by_site),
    Feature(12, "layers of rules", lambda raw: "extends" in raw),
    Feature(
        13,
        "editions and dates in force",
        lambda raw: "@" in raw["id"] or "effective_from" in raw or "effective_to" in raw,
    ),
    Feature(14, "prohibited, or must be there", key("equals")),
    Feature(15, "the limit itself excluded", key("above", "below")),
    Feature(16, "several tiers", several_tiers),
    Feature(
        17,
        "worked out from readings",
        lambda raw: any(rule["parameter"] == "combined_chlorine" for rule in raw.get("rule", [])),
    ),
    Feature(18, "share of another reading", ratio),
    Feature(19, "against another water", key("relative_to_fact")),
    Feature(20, "modified limits", key("modify")),
    Feature(21, "ORP by chlorine", matrix),
    Feature(22, "combined with other readings", combination),
    Feature(23, "by method", key("methods")),
    Feature(24, "units", always),
    Feature(25, "schedules", table(*TESTED)),
    Feature(26, "least time between samples", key("min_spacing_days", table="schedule")),
    Feature(27, "tests for some pools", conditional_tests),
    Feature(
        28,
        "time since the last test",
        either(table("interval"), key("every_hours", table="schedule")),
    ),
    Feature(29, "frequency by decision", by_site),
    Feature(30, "lasting longer than", key("for_more_than_hours")),
    Feature(31, "several in a row", key("consecutive")),
    Feature(32, "so many of so many", key("window", "share")),
    Feature(33, "deadlines", table("deadline")),
    Feature(34, "contact time added up", integral),
    Feature(
        35,
        "levels of action",
        lambda raw: len({rule["level"] for rule in raw.get("rule", [])}) > 1,
    ),
    Feature(36, "what closes", scoped),
    Feature(
        37,
        "alternatives",
        lambda raw: any(len(row.get("routes", [])) > 1 for row in raw.get("procedures", [])),
    ),
    Feature(38, "steps with gates", key("steps", table="procedures")),
    Feature(39, "before reopening", either(table("reopening"), key("reopen", table="procedures"))),
    Feature(40, "who is told", told),
    Feature(41, "sampling", table("sampling")),
    Feature(42, "records", table("records")),
    Feature(43, "evidence of each rule", always),
    Feature(44, "what is not known", conditional),
    Feature(45, "contradictions", table("contradiction")),
)


def features_of(raw: Raw) -> list[int]:
    """Give the numbers of the features that a pack's text uses.

    Parameters
    ----------
    raw : mapping
        The parsed text of a pack.
    """
    return [feature.number for feature in FEATURES if feature.used(raw)]
