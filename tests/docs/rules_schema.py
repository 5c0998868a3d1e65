"""The JSON schema of a rules pack, written from the words that the compiler itself reads by.

python -m tests.docs.rules_schema
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from lanewater.rules import pack, procedures
from lanewater.rules import packgolden as golden
from lanewater.rules import packparts as parts
from lanewater.rules import packrules as rules
from lanewater.rules import packtimes as times
from lanewater.rules.packconditions import COMPARISONS, FACT_NAME, NUMERIC
from lanewater.terms import words
from lanewater.terms.parameters import PARAMETERS

FILE = Path(__file__).parents[2] / "docs" / "reference" / "rules.schema.json"
TEXT = {"type": "string", "minLength": 1}
ANY_TEXT = {"type": "string"}
TEXTS = {"type": "array", "items": TEXT, "minItems": 1}
FLAG = {"type": "boolean"}
NUMBER = {"type": "string", "pattern": r"^-?[0-9]{1,9}(\.[0-9]{1,3}0*)?$"}
ABOVE_ZERO = {"type": "string", "pattern": r"^(?=.*[1-9])[0-9]{1,9}(\.[0-9]{1,3}0*)?$"}
HOURS = {"type": "number", "exclusiveMinimum": 0, "exclusiveMaximum": 1e5}
FACT = {"type": "string", "pattern": rf"^(facts\.)?{FACT_NAME.pattern}$"}


def whole(least: int, most: int) -> dict[str, Any]:
    """Give a whole number within bounds."""
    return {"type": "integer", "minimum": least, "maximum": most}


def one_of(allowed: Any) -> dict[str, Any]:
    """Give a word of a closed list."""
    return {"enum": sorted(allowed)}


def several(allowed: Any) -> dict[str, Any]:
    """Give a list of at least one word of a closed list."""
    return {"type": "array", "items": one_of(allowed), "minItems": 1}


def rows(item: dict[str, Any]) -> dict[str, Any]:
    """Give a list of tables."""
    return {"type": "array", "items": item}


def table(needed: Any, **properties: Any) -> dict[str, Any]:
    """Give a table with these keys and no other."""
    return {
        "type": "object",
        "required": sorted(needed),
        "properties": properties,
        "additionalProperties": False,
    }


def exactly_one(*keys: str) -> dict[str, Any]:
    """Tell that exactly one of some keys is there."""
    return {"oneOf": [{"required": [key]} for key in keys]}


def known_by(text: dict[str, Any]) -> dict[str, Any]:
    """Give the keys that tell where an entry was read."""
    return {"id": TEXT, "clause": TEXT, "source": TEXT, "evidence": one_of(words.EVIDENCE), **text}


COMPARED = dict.fromkeys(COMPARISONS, NUMBER)
WHEN = {
    "type": "object",
    "additionalProperties": {"type": "array", "minItems": 1, "items": TEXT},
}
WHEN_NUMBER = rows(
    {**table({"fact"}, fact=FACT, **COMPARED), "anyOf": [{"required": [k]} for k in COMPARISONS]}
)
WHEN_READING = rows(
    {
        **table({"parameter"}, parameter=one_of(NUMERIC), if_not_read=WHEN, **COMPARED),
        "anyOf": [{"required": [key]} for key in COMPARISONS],
    }
)
CONDITIONS = {
    "when": WHEN,
    "when_known": WHEN,
    "when_number": WHEN_NUMBER,
    "when_reading": WHEN_READING,
}
GATE = {
    **table({"parameter"}, parameter=one_of(NUMERIC), **COMPARED),
    **exactly_one(*COMPARISONS),
}
LIMIT = {"type": "string", "minLength": 1}


def rule() -> dict[str, Any]:
    """Give the schema of a rule."""
    step = table({"words"}, words=TEXT, add=NUMBER, times=ABOVE_ZERO, **CONDITIONS)
    further = table(
        {"level", "do"},
        level=one_of(words.LEVELS),
        do=TEXT,
        within_hours=HOURS,
        to=one_of(words.NOTIFIED),
        clause=TEXT,
    )
    window = table(
        {"fails", "of", "unit"},
        fails=whole(2, rules.MOST_WINDOW),
        of=whole(2, rules.MOST_WINDOW),
        unit=one_of(rules.WINDOW_UNITS),
    )
    share = table(
        {"above_percent", "days"}, above_percent=whole(1, 99), days=whole(1, rules.MOST_WINDOW)
    )
    keys = known_by(
        {
            "parameter": one_of(PARAMETERS),
            "level": one_of(words.LEVELS),
            **dict.fromkeys(COMPARISONS, LIMIT),
            **CONDITIONS,
            "for_more_than_hours": HOURS,
            "consecutive": whole(2, 100),
            "window": window,
            "share": share,
            "relative_to": one_of(NUMERIC),
            "relative_to_fact": FACT,
            "not_computable": TEXT,
            "times": {"type": "array", "items": whole(1, 1000), "minItems": 2, "maxItems": 2},
            "modify": {
                "type": "array",
                "maxItems": rules.MOST_MODIFIERS,
                "items": {**step, **exactly_one("add", "times")},
            },
            "methods": TEXTS,
            "then": rows(further),
            "serves": TEXT,
            "scope": one_of(words.RULE_SCOPES),
            "do": TEXT,
            "note": TEXT,
        }
    )
    lasting = {"maxProperties": 1}
    words_only = [name for name, one in PARAMETERS.items() if one.words]
    numeric = {
        "if": {"properties": {"parameter": {"not": {"enum": words_only}}}},
        "then": {"properties": COMPARED},
    }
    told = {
        "if": {"properties": {"parameter": {"enum": words_only}}},
        "then": {"properties": {key: False for key in COMPARISONS if key != "equals"}},
    }
    assert set(keys) == rules.RULE | rules.OPTIONAL_RULE, lasting
    return {
        **table(rules.RULE, **keys),
        **exactly_one(*COMPARISONS, "not_computable"),
        "allOf": [numeric, told, *at_most_one(rules.LASTING), *at_most_one(rules.RELATIVES)],
    }


def at_most_one(keys: tuple[str, ...]) -> list[dict[str, Any]]:
    """Tell that of some keys no two are there."""
    return [
        {"not": {"required": [one, other]}}
        for place, one in enumerate(keys)
        for other in keys[place + 1 :]
    ]


def schedule() -> dict[str, Any]:
    """Give the schema of a schedule."""
    keys = known_by(
        {
            "words": TEXT,
            "test": several((*PARAMETERS, *words.DUTY_KINDS)),
            "before_opening_minutes": whole(1, 1440),
            "every_hours": HOURS,
            "times_a_day": whole(1, 96),
            "at": several(times.PLACES),
            "clock": {
                "type": "array",
                "minItems": 1,
                "items": {"type": "string", "pattern": f"^{times.CLOCK.pattern}$"},
            },
            **{key: whole(1, 3660) for key in times.CALENDAR},
            "after": several(times.EVENTS),
            "before_season": {"const": True},
            "within_minutes": whole(1, times.MOST_MINUTES),
            "by": one_of(times.HANDS),
            "min_spacing_days": whole(0, 3660),
            "grace_minutes": whole(0, times.MOST_MINUTES),
            "while_closed": FLAG,
            "note": TEXT,
            **CONDITIONS,
        }
    )
    assert set(keys) == times.SCHEDULE | times.OPTIONAL_SCHEDULE
    return {
        **table(times.SCHEDULE, **keys),
        **exactly_one(*times.FORMS),
        "dependentRequired": {"within_minutes": ["after"], "after": ["within_minutes"]},
    }


def timed() -> dict[str, Any]:
    """Give the schemas of intervals, schedules and deadlines."""
    starts = [{"enum": sorted(times.STARTS)}, {"type": "string", "pattern": "^rule:."}]
    deadline = known_by(
        {
            "words": TEXT,
            "on": {
                "anyOf": [*starts, {"type": "array", "minItems": 1, "items": {"anyOf": starts}}]
            },
            "to": one_of(words.NOTIFIED),
            "within_hours": HOURS,
            "after": TEXT,
            "note": TEXT,
        }
    )
    told = known_by({"every_hours": HOURS, "words": TEXT, "note": TEXT, **CONDITIONS})
    return {
        "interval": rows(
            table(times.INTERVAL, **{key: value for key, value in told.items() if key != "id"})
        ),
        "schedule": rows(schedule()),
        "deadline": rows(table(times.DEADLINE, **deadline)),
    }


def others() -> dict[str, Any]:
    """Give the schemas of classes, looks, reopening, samples, records and contradictions."""
    some = {key: CONDITIONS[key] for key in sorted(parts.CLASS_CONDITIONS)}
    reopening = known_by(
        {
            "words": TEXT,
            "for": several(parts.REOPENED),
            "parameter": one_of(PARAMETERS),
            **dict.fromkeys(COMPARISONS, LIMIT),
            **CONDITIONS,
            "approval": {"const": "authority"},
            "duty": TEXT,
            "note": TEXT,
        }
    )
    check = {
        "words": TEXT,
        "level": one_of(words.LEVELS),
        "scope": one_of(words.RULE_SCOPES),
        "note": TEXT,
    }
    kept = {"clause": TEXT, "source": TEXT, "evidence": one_of(words.EVIDENCE), "note": TEXT}
    return {
        "class": rows(table(parts.CLASS, **known_by({"fact": FACT, "note": TEXT, **some}))),
        "checklist": rows(table(parts.CHECKLIST, **known_by({**check, **CONDITIONS}))),
        "reopening": rows(
            {
                **table(parts.REOPENING, **reopening),
                **exactly_one("parameter", "approval", "duty"),
            }
        ),
        "sampling": table(
            parts.SAMPLING,
            **kept,
            words=TEXT,
            depth_mm=whole(0, 10_000),
            points=whole(0, 100),
            order=TEXT,
        ),
        "records": table(
            parts.RECORDS,
            **kept,
            words=TEXT,
            keep_months=whole(0, 1200),
            fields=TEXTS,
            display_days=whole(0, 3660),
            signature=FLAG,
        ),
        "contradiction": rows(
            table(
                parts.CONTRADICTION, **dict.fromkeys(sorted(parts.CONTRADICTION), TEXT), clause=TEXT
            )
        ),
    }


def procedure() -> dict[str, Any]:
    """Give the schema of a procedure."""
    route = table(
        {"id", "words"},
        id=TEXT,
        words=TEXT,
        hours=HOURS,
        minutes=HOURS,
        free_chlorine_at_least=ABOVE_ZERO,
        ct_mg_min_l=ABOVE_ZERO,
    )
    read = table(
        procedures.READ,
        minute={"type": "number"},
        **dict.fromkeys(sorted(procedures.OPTIONAL_READ | {"free_chlorine"}), ANY_TEXT),
    )
    case = table(
        {"note", "readings", "complete"},
        note=TEXT,
        readings=rows(read),
        complete={"type": "array", "items": TEXT},
    )
    keys = known_by(
        {
            "for": several(words.CONTAMINATIONS),
            "words": TEXT,
            "routes": {"type": "array", "items": route, "minItems": 1},
            "golden": rows(case),
            **dict.fromkeys(procedures.LIMITS, NUMBER),
            **CONDITIONS,
            "unstabilised_only": FLAG,
            "when_broken": one_of(procedures.BROKEN),
            "archived": FLAG,
            "scope": one_of(procedures.SCOPES),
            "reopen": TEXT,
            "steps": rows(table({"id", "words"}, id=TEXT, words=TEXT, gate=GATE)),
            "points_least": whole(1, 20),
            "note": TEXT,
        }
    )
    assert set(keys) == procedures.PROCEDURE | procedures.OPTIONAL
    return table(procedures.PROCEDURE, **keys)


def golden_case() -> dict[str, Any]:
    """Give the schema of a golden case."""
    action = table(
        golden.ACTION,
        rule=TEXT,
        level=one_of(words.LEVELS),
        within_hours=HOURS,
        to=one_of(words.NOTIFIED),
    )
    names = {"type": "array", "items": TEXT}
    keys = {
        "note": TEXT,
        "overall": one_of(words.VERDICTS),
        "purpose": one_of(words.PURPOSES),
        "pool": {"type": "object"},
        "readings": {"type": ["object", "array"]},
        "history": {"type": "array"},
        "at": TEXT,
        "fails": names,
        "stops": names,
        "assumed": names,
        "actions": rows(action),
        "worked": {"type": "object", "additionalProperties": TEXT},
    }
    assert set(keys) == golden.GOLDEN | golden.OPTIONAL_GOLDEN
    return table(golden.GOLDEN, **keys)


def schema() -> dict[str, Any]:
    """Give the whole schema."""
    date = {"type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"}
    source = table(pack.SOURCE, address=TEXT, read_on=date, note=TEXT)
    covered = table(
        {"state"}, state=one_of(words.COVERAGE_STATES), clause=TEXT, none_for=WHEN, note=TEXT
    )
    coverage = table(words.COVERAGE_ITEMS, **dict.fromkeys(words.COVERAGE_ITEMS, covered))
    head = dict.fromkeys(sorted(pack.HEAD), TEXT)
    head |= {"read_on": date, "status": one_of(words.STATUSES), "law": FLAG, "borrow_hours": HOURS}
    keys = {
        **head,
        "effective_from": date,
        "effective_to": date,
        "note": TEXT,
        "doubtful": TEXTS,
        "extends": TEXT,
        "replaces": TEXTS,
        "sources": {"type": "object", "additionalProperties": source},
        "coverage": coverage,
        "rule": rows(rule()),
        **timed(),
        **others(),
        "procedures": rows(procedure()),
        "golden": rows(golden_case()),
    }
    assert set(keys) == pack.HEAD | pack.OPTIONAL_HEAD | pack.TABLES
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A rules pack of Lanewater",
        "description": "What a pack may hold. Ids, sources and facts that name one another, and "
        "whether a limit is exact, are looked at by `lanewater rules check`.",
        **table(pack.HEAD | {"sources", "coverage", "rule"}, **keys),
    }


def text() -> str:
    """Give the schema as it stands in its file."""
    return json.dumps(schema(), indent=1) + "\n"


if __name__ == "__main__":
    FILE.write_text(text(), encoding="utf-8")
