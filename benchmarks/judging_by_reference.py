"""A second, simpler judge: packs read anew from their TOML as docs/reference/rules-format.md says.

Whole lists, fractions, no compiled form, nothing of the kernel. What it is not told by the format
(which readings are in doubt, by how much a pair may differ) it takes from the answer it is held
against, so it speaks only of the rules. `judging_against_reference.py` compares both.
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from datetime import datetime, timedelta
from fractions import Fraction
from pathlib import Path
from typing import Any

COMPARED = {
    "at_least": lambda number, limit: number >= limit,
    "at_most": lambda number, limit: number <= limit,
    "above": lambda number, limit: number > limit,
    "below": lambda number, limit: number < limit,
    "equals": lambda number, limit: number == limit,
}
WORDED = ("clarity", "circulation")
COUNTS = (
    "e_coli",
    "coliforms",
    "faecal_coliforms",
    "enterococci",
    "pseudomonas_aeruginosa",
    "staphylococci",
    "legionella",
    "colony_count",
)
TIED = ("for_more_than_hours", "consecutive", "window", "share")
LAYERED = ("class", "rule")
CORE = ("disinfectant_minimum", "disinfectant_maximum", "ph", "clarity")
Value = tuple[Fraction, str]


def pack_read(folder: Path, identity: str) -> dict[str, Any]:
    """Read a pack, laid over the one that it extends."""
    own = tomllib.loads((folder / f"{identity}.toml").read_text(encoding="utf-8"))
    if "extends" not in own:
        return own
    base = pack_read(folder, own["extends"])
    gone = own.get("replaces", [])
    for key in LAYERED:
        kept = [row for row in base.get(key, []) if row["id"] not in gone]
        own[key] = [*own.get(key, []), *kept]
    for item, row in own["coverage"].items():
        if row["state"] == "not-read":
            own["coverage"][item] = base["coverage"][item]
    own["law"] = own["law"] and base["law"]
    own["borrow_hours"] = min(own["borrow_hours"], base["borrow_hours"])
    return own


def value_read(reading: dict[str, Any]) -> Value:
    """Give a reading's number, its dilution applied, and "", ">" or "<"."""
    text = str(reading["value"]).strip()
    sign = text[0] if text[0] in "<>" else ""
    number = Fraction(text.lstrip("<>").replace(",", ".")) * reading.get("dilution", 1)
    if sign == "<" and number <= 1 and reading["parameter"] in COUNTS:
        return Fraction(0), ""
    return number, sign


def held_to(value: Value, key: str, limit: Fraction) -> str:
    """Tell whether a value satisfies a comparison: yes, no, or ? where its range does not tell."""
    number, sign = value
    if sign == "":
        return "yes" if COMPARED[key](number, limit) else "no"
    out = number >= limit if sign == ">" else number <= limit
    if not out:
        return "?"
    good = ("at_least", "above") if sign == ">" else ("at_most", "below")
    return "yes" if key in good else "no"


class Case:
    """One round with what went before it; earlier ones are cases of their own."""

    def __init__(self, given: dict[str, Any], pack: dict[str, Any], doubted: set[str]) -> None:
        self.given, self.pack, self.doubted = given, pack, doubted
        self.timed = bool(given.get("at"))
        at = given.get("at") or "9999-01-01T00:00:00+00:00"
        self.at = datetime.fromisoformat(at)
        self.readings = without_replaced(given["readings"])
        self.history = sorted(
            (row for row in given.get("history", [])),
            key=lambda row: datetime.fromisoformat(row["at"]),
        )
        self.pool = dict(given.get("pool", {}))
        self.pool |= self.pool.pop("facts", {})
        for row in pack.get("class", []):
            name = row["fact"].removeprefix("facts.")
            if self.fact(name) is None:
                self.pool[name] = self.classed(row["fact"])

    def classed(self, fact: str) -> str | None:
        """Give the first class that fits, None where that is not known."""
        for row in self.pack["class"]:
            if row["fact"] == fact:
                answers = self.conditions(row)
                if "no" not in answers:
                    return None if "?" in answers else str(row["id"])
        return None

    def before(self, days: int | None = None) -> list[Case]:
        """Give the earlier rounds, oldest first."""
        found = []
        for row in self.history:
            at = datetime.fromisoformat(row["at"])
            young = days is None or at >= self.at - timedelta(days=days)
            if at < self.at and young:
                given = {**self.given, "readings": row["readings"], "at": row["at"]}
                found.append(Case(given, self.pack, set()))
        return found

    def read(self, parameter: str) -> list[Any]:
        """Give the values of a parameter in this round; combined is total minus free by point."""
        found = [value_read(row) for row in self.readings if row["parameter"] == parameter]
        if parameter != "combined_chlorine":
            return found
        return found + [
            combined(value_read(free), value_read(total))
            for free in self.readings
            for total in self.readings
            if free["parameter"] == "free_chlorine"
            and total["parameter"] == "total_chlorine"
            and free.get("point", "") == total.get("point", "")
        ]

    def lately(self, parameter: str, oldest: datetime | None) -> list[Value]:
        """Give this round's values, else those of the newest earlier one, not before `oldest`."""
        found = [value_read(row) for row in self.readings if row["parameter"] == parameter]
        for row in reversed(self.history):
            at = datetime.fromisoformat(row["at"])
            if found or at > self.at or (oldest is not None and at < oldest):
                continue
            found = [value_read(one) for one in row["readings"] if one["parameter"] == parameter]
        return found

    def oldest(self) -> datetime:
        """Give the instant before which nothing is borrowed; without a time all is too old."""
        return self.at - timedelta(hours=self.pack["borrow_hours"])

    def fact(self, name: str) -> str | None:
        """Give a fact of the pool; stabiliser that was measured is used."""
        said = self.pool.get(name)
        if name == "stabiliser":
            found = self.lately("cyanuric_acid", None)
            if any(number > 0 and sign != "<" for number, sign in found):
                return "used"
            if said is None:
                young = self.lately("cyanuric_acid", self.oldest())
                return "not-used" if young and all(sign == "" for _, sign in young) else None
        return None if said == "unknown" else said

    def conditions(self, row: dict[str, Any]) -> list[str]:
        """Give how each condition of a table stands: yes, no or ?."""
        found = []
        for key in ("when", "when_known"):
            for name, words in row.get(key, {}).items():
                found.append(self.by_fact(name, words, "no" if key == "when_known" else "?"))
        for entry in row.get("when_number", []):
            number = self.pool.get(entry["fact"].removeprefix("facts."))
            for key in COMPARED.keys() & entry.keys():
                known = isinstance(number, (int, float, str)) and number != ""
                truth = known and COMPARED[key](Fraction(str(number)), Fraction(entry[key]))
                found.append("?" if not known else "yes" if truth else "no")
        for entry in row.get("when_reading", []):
            values = self.lately(entry["parameter"], self.oldest())
            if not values or entry["parameter"] in self.doubted:
                could = entry.get("if_not_read", {})
                facts = [self.by_fact(name, words, "?") for name, words in could.items()]
                found.append("no" if "no" in facts else "?")
                continue
            for key in COMPARED.keys() & entry.keys():
                held = {held_to(value, key, Fraction(entry[key])) for value in values}
                found.append("yes" if "yes" in held else "?" if "?" in held else "no")
        return found

    def by_fact(self, name: str, words: list[str], unknown: str) -> str:
        """Tell whether a fact is, or is not, one of some words."""
        wanted = not name.endswith("_not")
        fact = self.fact(name.removesuffix("_not").removeprefix("facts."))
        if fact is None:
            return unknown
        return "yes" if (fact in words) == wanted else "no"


def without_replaced(readings: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Leave out what was over range and then read more diluted at the same point."""
    return [
        row
        for place, row in enumerate(readings)
        if not str(row["value"]).startswith(">")
        or not any(
            (later["parameter"], later.get("point", "")) == (row["parameter"], row.get("point", ""))
            and later.get("dilution", 1) > row.get("dilution", 1)
            for later in readings[place + 1 :]
        )
    ]


def combined(free: Value, total: Value) -> Value:
    """Give total minus free, never less than none; "?" where an end of range hides it."""
    apart = total[0] - free[0]
    if free[1] == ">" or (free[1] == "<" and total[1] == "<"):
        return apart, "?"
    sign = ">" if free[1] == "<" else total[1]
    return (max(apart, Fraction(0)) if sign == "" else apart), sign


def other_number(rule: dict[str, Any], case: Case) -> Fraction | None:
    """Give the number that a limit hangs on, None where it is not known or not exact."""
    if "relative_to" in rule:
        others = case.read(rule["relative_to"])
        return others[0][0] if len(others) == 1 and others[0][1] == "" else None
    said = case.pool.get(rule["relative_to_fact"].removeprefix("facts."))
    return None if said is None else Fraction(str(said))


def limit_of(rule: dict[str, Any], case: Case) -> tuple[str, Fraction | None]:
    """Give the comparison of a rule and its limit in this case, None where it is not known."""
    key = next(name for name in COMPARED if name in rule)
    limit = Fraction(rule[key])
    if "relative_to" in rule or "relative_to_fact" in rule:
        other = other_number(rule, case)
        if other is None:
            return key, None
        return key, other * Fraction(*rule.get("times", [1, 1])) + limit
    for step in rule.get("modify", []):
        answers = case.conditions(step)
        if "no" not in answers:
            by = Fraction(step.get("add", step.get("times")))
            after = limit + by if "add" in step else limit * by
            tighter = after > limit if key in ("at_least", "above") else after < limit
            if "?" not in answers or tighter:
                limit = after
    return key, limit


def held_values(rule: dict[str, Any], case: Case) -> list[dict[str, Any]]:
    """Give the readings of a rule's parameter that were made by a method it speaks of."""
    return [
        row
        for row in case.readings
        if row["parameter"] == rule["parameter"]
        and (not rule.get("methods") or row.get("method", "") in ("", *rule["methods"]))
    ]


def answers(rule: dict[str, Any], case: Case) -> list[str]:
    """Tell how a rule stands on each reading of this round alone: yes, no, or ?."""
    rows = held_values(rule, case)
    if rule["parameter"] in WORDED:
        doubtful = ("cannot-tell", "unknown")
        said = [row["value"] for row in rows]
        return [
            "yes" if one == rule["equals"] else "?" if one in doubtful else "no" for one in said
        ]
    values = [value_read(row) for row in rows]
    if rule["parameter"] == "combined_chlorine" and not rule.get("methods"):
        values = case.read("combined_chlorine")
    if "not_computable" in rule:
        return ["?" for _ in values]
    key, limit = limit_of(rule, case)
    if limit is None:
        return ["?" for _ in values]
    return ["?" if value[1] == "?" else held_to(value, key, limit) for value in values]


def worst(answers: Sequence[str | None]) -> str | None:
    """Give the worst of some answers."""
    return next((one for one in ("no", "?", "yes") if one in answers), None)


def then(rule: dict[str, Any], case: Case) -> str | None:
    """Tell how an earlier round stood under a rule, by its own readings and conditions."""
    state = worst(answers(rule, case))
    if state is None:
        return None
    asked = {"when_reading": rule.get("when_reading", [])}
    return "yes" if "no" in case.conditions(asked) else state


def over_time(rule: dict[str, Any], case: Case) -> str:
    """Tell how a rule stands that this round breaks and that asks for more than one break."""
    if not case.timed:
        return "?"
    if "for_more_than_hours" in rule:
        since = case.at
        for row in reversed(case.before()):
            state = then(rule, row)
            if state == "yes":
                break
            since = row.at if state == "no" else since
        return "no" if case.at - since > timedelta(hours=rule["for_more_than_hours"]) else "yes"
    if "share" in rule:
        states = [then(rule, row) for row in case.before(rule["share"]["days"])]
        states = [*(state for state in states if state is not None), "no"]
        wanted = Fraction(rule["share"]["above_percent"] * len(states), 100)
        least, most = states.count("no"), states.count("no") + states.count("?")
        return "no" if least > wanted else "?" if most > wanted else "yes"
    window = rule.get("window", {"unit": "samples", "of": rule.get("consecutive", 0)})
    wanted = window.get("fails", window["of"])
    rows = [(row.at.astimezone(case.at.tzinfo).date(), then(rule, row)) for row in case.before()]
    rows = [*(row for row in rows if row[1]), (case.at.date(), "no")]
    if window["unit"] == "samples":
        states = [state for _, state in rows[-window["of"] :]]
    else:
        first = case.at.date() - timedelta(days=window["of"] - 1)
        days = {day for day, _ in rows if day >= first}
        states = [worst([state for day, state in rows if day == one]) for one in sorted(days)]
    least, most = states.count("no"), states.count("no") + states.count("?")
    return "no" if least >= wanted else "?" if most >= wanted else "yes"


def was_read(case: Case, parameter: str) -> bool:
    """Tell whether a parameter was read."""
    return (
        bool(case.read(parameter))
        if parameter not in WORDED
        else any(row["parameter"] == parameter for row in case.readings)
    )


def core_missing(item: str, case: Case, chosen: list[dict[str, Any]]) -> bool:
    """Tell whether an opening round lacks one of the four that it must hold."""
    main = item
    if item.startswith("disinfectant"):
        said = case.pool.get("disinfectant")
        bromine = said == "bromine" or (
            said != "chlorine"
            and not case.read("free_chlorine")
            and bool(case.read("total_bromine"))
        )
        main = "total_bromine" if bromine else "free_chlorine"
    entry = case.pack["coverage"][item]
    if not was_read(case, main) or entry["state"] == "not-read":
        return True
    none = {"when": entry.get("none_for", {})}
    if entry["state"] == "no-limit-set" or (none["when"] and set(case.conditions(none)) == {"yes"}):
        return False
    for rule in chosen:
        at_limit = not any(key in rule for key in TIED) and was_read(case, rule["parameter"])
        low = "at_least" in rule or "above" in rule
        fits = rule["parameter"] == main
        if item == "clarity":
            fits = fits or rule.get("serves") == "clarity"
        if item == "disinfectant_minimum":
            fits = fits and low
        if item == "disinfectant_maximum":
            total = main == "free_chlorine" and rule["parameter"] == "total_chlorine"
            fits = (fits or total) and not low
        if fits and at_limit:
            return False
    return True


def out_of_force(pack: dict[str, Any], given: dict[str, Any]) -> bool:
    """Tell whether a round lies outside the days of its rules."""
    if not given.get("at"):
        return False
    day = given["at"][:10]
    first, last = str(pack.get("effective_from", "")), str(pack.get("effective_to", "~"))
    return bool(day < first or day >= last)


def standing(rule: dict[str, Any], case: Case, doubt: dict[str, set[str]]) -> str | None:
    """Tell how a rule that applies stands at last: over time, and with what is in doubt."""
    found = answers(rule, case)
    state = worst(found)
    if state == "no" and any(key in rule for key in TIED):
        state = worst([over_time(rule, case), *(one for one in found if one == "?")])
    if state is None:
        return None
    unbelieved = state == "yes" and rule["parameter"] in doubt["not-believable"]
    return "?" if unbelieved or rule["parameter"] in doubt["not-judged"] else state


def applies(rule: dict[str, Any], case: Case) -> bool:
    """Tell whether a rule speaks of a case: all its conditions hold or are not known."""
    made = [row for row in case.readings if row["parameter"] == rule["parameter"]]
    by_another = bool(rule.get("methods") and made and not held_values(rule, case))
    return not by_another and "no" not in case.conditions(rule)


def judged(pack: dict[str, Any], given: dict[str, Any], answer: dict[str, Any]) -> dict[str, Any]:
    """Judge a case, with the doubts and house stops of the answer that it is held against.

    Returns
    -------
    dict
        {"overall": without "-borderline", "rules": {id: yes, no or ?}}.
    """
    if out_of_force(pack, given):
        return {"overall": "not-judged", "rules": {}}
    doubt: dict[str, set[str]] = {"not-judged": set(), "not-believable": set(), "note": set()}
    for finding in answer["findings"]:
        doubt[finding["effect"]] |= set(finding["parameters"])
    case = Case(given, pack, doubt["not-judged"] | doubt["not-believable"])
    chosen = [rule for rule in pack["rule"] if applies(rule, case)]
    rules, levels = {}, set()
    for rule in chosen:
        state = standing(rule, case, doubt)
        if state is not None and rule["level"] not in ("note", "advise"):
            rules[rule["id"]] = state
            if state == "no":
                levels.add(rule["level"])
    if levels:
        worst_level = next((one for one in ("evacuate", "close") if one in levels), "does-not-meet")
        return {"overall": worst_level, "rules": rules}
    opens = given.get("purpose", "round") == "round"
    hot = case.fact("kind") in (None, "spa", "hydrotherapy") and not case.read("temperature_c")
    limited = any(
        rule["parameter"] == "temperature_c" and rule["level"] not in ("note", "advise")
        for rule in chosen
    )
    gaps = (
        (hot and limited)
        or case.fact("disinfectant") is None
        or any(core_missing(item, case, chosen) for item in CORE)
        or "?" in rules.values()
    )
    passes = "yes" in rules.values() and not answer["stops"] and pack["law"]
    return {"overall": "meets" if passes and not (opens and gaps) else "not-judged", "rules": rules}
