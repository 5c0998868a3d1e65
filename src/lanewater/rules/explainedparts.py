"""What a pack says beside its limits, in sentences: tests, procedures, reopening, records."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from lanewater.rules.explainedprocedures import procedures
from lanewater.rules.packtimes import OF_A_RULE
from lanewater.rules.phrases import (
    event_words,
    hours_words,
    length_words,
    limit_words,
    listed,
    name_of,
    sentence_of,
    where_words,
)
from lanewater.rules.sentences import Part, Sentence, sentence

LOOKED_AT = {
    "note": "It is only noted.",
    "advise": "It is advice.",
    "correct": "Where it is not so, it is to be put right.",
    "retest": "Where it is not so, it is to be looked at again.",
    "notify": "Where it is not so, somebody is to be notified.",
    "close": "Where it is not so, the rules close the pool.",
    "evacuate": "Where it is not so, the rules clear the water: everyone out, and the pool closes.",
}
DEADLINE_FOR = {
    "authority": "to the authority",
    "patrons": "to the bathers",
    "manager": "to the manager",
    "laboratory": "to the laboratory",
    "site": "by the site itself",
}
TIMES = {1: "once", 2: "twice"}
# As kernel/deciding/windowsdue.py counts them.
PARTS_OF_DAY = {
    "start": "in the hour before opening",
    "middle": "in the middle third of the opening hours",
    "end": "between an hour before and half an hour after closing",
}


def classes(raw: Mapping[str, Any]) -> Part:
    """Say how a pool gets its class."""
    part = Part("classes", "Classes of pools (the first that fits)", [])
    for row in raw.get("class", []):
        name = row["fact"].removeprefix("facts.").replace("_", " ")
        text = f'A pool is "{row["id"]}" ({name}){where_words(row)}.'
        part.sentences.append(sentence(text, row, raw))
    return part


def tests(raw: Mapping[str, Any]) -> Part:
    """Say how often what is to be tested, and when."""
    part = Part("tests", "Tests, and when", [])
    for row in raw.get("interval", []):
        asked = f"A round {length_words(row)} while open{where_words(row)}."
        text = f"{asked} {sentence_of(row['words'])}"
        part.sentences.append(sentence(text, row, raw))
    for row in raw.get("schedule", []):
        part.sentences.append(sentence(schedule_words(row), row, raw))
    return part


def schedule_words(row: Mapping[str, Any]) -> str:
    """Write one schedule: what is tested, when, and how that is counted."""
    what = row["test"] if isinstance(row["test"], list) else [row["test"]]
    names = listed(name_of(word).replace("-", " ") for word in what)
    if what == ["other"]:
        names = row["words"].rstrip(".")
    said = [sentence_of(f"{names}: {moment_words(row)}{where_words(row)}")]
    if row.get("by") == "hand":
        said.append("By hand, whatever a controller shows.")
    if "min_spacing_days" in row:
        said.append(f"At least {row['min_spacing_days']} days apart.")
    if "grace_minutes" in row:
        said.append(f"It is late after {row['grace_minutes']} minutes more.")
    if row.get("while_closed"):
        said.append("On closed days too.")
    said += [sentence_of(row["words"])] if what != ["other"] else []
    said += [f"({sentence_of(row['note'])})"] if row.get("note") else []
    return " ".join(said)


def moment_words(row: Mapping[str, Any]) -> str:
    """Write when a schedule asks for its test."""
    every = length_words(row)
    if every:
        return f"{every} while open" if "every_hours" in row else every
    if "before_opening_minutes" in row:
        return f"before opening, within {row['before_opening_minutes']} minutes of it"
    if "times_a_day" in row:
        count = row["times_a_day"]
        return f"{TIMES.get(count, f'{count} times')} a day"
    if "at" in row:
        return listed(PARTS_OF_DAY[word] for word in row["at"])
    if "clock" in row:
        return f"at {listed(row['clock'])}"
    if "after" in row:
        within = row.get("within_minutes")
        soon = f", within {within} minutes" if within else ""
        return f"after {event_words(row['after'])}{soon}"
    return "before the season" if row.get("before_season") else "when the text says"


def reopening(raw: Mapping[str, Any]) -> Part:
    """Say what must be so before a closed pool opens again."""
    part = Part("reopening", "Before a closed pool opens again", [])
    for row in raw.get("reopening", []):
        if "parameter" in row:
            wanted = limit_words(row)
        elif "approval" in row:
            wanted = "the authority gives its approval"
        else:
            wanted = f"a person confirms: {str(row.get('duty', row['words'])).replace('-', ' ')}"
        said = [f"After {event_words(row['for'])}{where_words(row)}: {wanted}."]
        if row["words"].casefold().rstrip(".") not in wanted.casefold():
            said.append(sentence_of(row["words"]))
        part.sentences.append(sentence(" ".join(said), row, raw))
    return part


def starts_words(given: str | list[str]) -> str:
    """Say what a deadline runs from: one event, or the first of several."""
    words = [given] if isinstance(given, str) else given
    rules = [word.removeprefix(OF_A_RULE) for word in words if word.startswith(OF_A_RULE)]
    events = [word for word in words if not word.startswith(OF_A_RULE)]
    broken = [f"the breaking of rule {listed(rules, 'or')}"] if rules else []
    return " or ".join(part for part in (event_words(events), *broken) if part)


def deadlines(raw: Mapping[str, Any]) -> Part:
    """Say who must be told, and by when."""
    part = Part("deadlines", "Deadlines", [])
    words = {row["id"]: row["words"] for row in raw.get("deadline", [])}
    for row in raw.get("deadline", []):
        earlier = row.get("after")
        first = f"this was done: {words[earlier]}" if earlier else starts_words(row["on"])
        within = (
            f"Within {hours_words(row['within_hours'])}" if "within_hours" in row else "At once"
        )
        text = f"{within} after {first}; {DEADLINE_FOR[row['to']]}: {sentence_of(row['words'])}"
        part.sentences.append(sentence(text, row, raw))
    return part


def checklists(raw: Mapping[str, Any]) -> Part:
    """Say what a person looks at; no software judges it."""
    part = Part("checklists", "What a person looks at (it is not judged here)", [])
    for row in raw.get("checklist", []):
        looked = sentence_of(row["words"].rstrip(".") + where_words(row))
        text = f"{looked} {LOOKED_AT[row['level']]}"
        part.sentences.append(sentence(text, row, raw))
    return part


def sampling(raw: Mapping[str, Any]) -> Part:
    """Say where and how a sample is taken."""
    part = Part("sampling", "Sampling", [])
    row = raw.get("sampling")
    if row:
        said = [sentence_of(row["words"])] if row.get("words") else []
        said += [f"Depth: {row['depth_mm']} mm."] if "depth_mm" in row else []
        said += [f"Points: {points_words(row['points'])}."] if "points" in row else []
        said += [f"Order: {points_words(row['order'])}."] if "order" in row else []
        part.sentences.append(sentence(" ".join(said), row, raw))
    return part


def points_words(value: Any) -> str:
    """Write a number or a list as it stands."""
    return listed(value) if isinstance(value, list) else str(value)


def records(raw: Mapping[str, Any]) -> Part:
    """Say what must be written down, and for how long it is kept."""
    part = Part("records", "Records", [])
    row = raw.get("records")
    if row:
        said = [f"What is written down: {listed(row['fields'])}."] if row.get("fields") else []
        said += [f"Kept for {row['keep_months']} months."] if "keep_months" in row else []
        shown = row.get("display_days")
        said += [f"The last {shown} days are put up where bathers can read them."] if shown else []
        signed = row.get("signature")
        said += [f"Signed: {'yes' if signed is True else signed}."] if signed else []
        said += [sentence_of(row[key]) for key in ("words", "note") if row.get(key)]
        part.sentences.append(sentence(" ".join(said), row, raw))
    return part


def contradictions(raw: Mapping[str, Any]) -> Part:
    """Say where the source speaks against itself, and which reading was chosen."""
    part = Part("contradictions", "Where the text contradicts itself", [])
    for row in raw.get("contradiction", []):
        text = (
            f"On {row['about']}: {row['one']}; and also: {row['other']}. Chosen: {row['chosen']}. "
            f"Why: {sentence_of(row['why'])}"
        )
        part.sentences.append(Sentence(text, str(row.get("clause", ""))))
    return part


def sources(raw: Mapping[str, Any]) -> Part:
    """Say what was read, and when."""
    rows = raw.get("sources", {}).values()
    said = [Sentence(f"{row.get('address', '')}, read on {row.get('read_on', '')}") for row in rows]
    return Part("sources", "What was read", said)


FURTHER: tuple[Callable[[Mapping[str, Any]], Part], ...] = (
    classes,
    tests,
    procedures,
    reopening,
    deadlines,
    checklists,
    sampling,
    records,
    contradictions,
    sources,
)
