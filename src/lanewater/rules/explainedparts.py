"""What a pack says beside its limits, in sentences: tests, procedures, reopening, records."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from lanewater.rules.packtimes import OF_A_RULE
from lanewater.rules.phrases import (
    LEVEL_WORDS,
    compared_words,
    length_words,
    limit_words,
    listed,
    name_of,
    where_words,
)
from lanewater.rules.sentences import Part, Sentence, sentence

EVENT_WORDS = {"closure": "a closure", "ordered-closure": "a closure by order of the authority"}
FIELDS_SAID = {"keep_months", "display_days", "fields", "signature", "clause", "source", "evidence"}


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
        text = f"A round {length_words(row)} while open{where_words(row)}: {row['words']}."
        part.sentences.append(sentence(text, row, raw))
    for row in raw.get("schedule", []):
        part.sentences.append(sentence(schedule_words(row), row, raw))
    return part


def schedule_words(row: Mapping[str, Any]) -> str:
    """Write one schedule: what is tested, when, and how that is counted."""
    what = row["test"] if isinstance(row["test"], list) else [row["test"]]
    names = listed(name_of(word).replace("-", " ") for word in what)
    said = [f"{names[0].upper()}{names[1:]}: {moment_words(row)}{where_words(row)}."]
    if row.get("by") == "hand":
        said.append("By hand, whatever a controller shows.")
    if "min_spacing_days" in row:
        said.append(f"At least {row['min_spacing_days']} days apart.")
    if "grace_minutes" in row:
        said.append(f"It is late after {row['grace_minutes']} minutes more.")
    if row.get("while_closed"):
        said.append("On closed days too.")
    said.append(f"{row['words']}.".replace("..", "."))
    return " ".join(said)


def moment_words(row: Mapping[str, Any]) -> str:
    """Write when a schedule asks for its test."""
    every = length_words(row)
    if every:
        return every
    if "before_opening_minutes" in row:
        return f"before opening, within {row['before_opening_minutes']} minutes of it"
    if "times_a_day" in row:
        return f"{row['times_a_day']} times a day"
    if "at" in row:
        return f"at the {listed(row['at'])} of the day"
    if "clock" in row:
        return f"at {listed(row['clock'])}"
    if "after" in row:
        within = row.get("within_minutes")
        soon = f", within {within} minutes" if within else ""
        return f"after {listed(row['after'], 'or')}{soon}"
    return "before the season" if row.get("before_season") else "when the text says"


def procedures(raw: Mapping[str, Any]) -> Part:
    """Say what the rules ask after an incident, every route in their own order."""
    part = Part("procedures", "After an incident", [])
    for row in raw.get("procedures", []):
        said = [f"After {listed(row['for'], 'or').replace('-', ' ')}{where_words(row)}:"]
        said += [row["words"], *procedure_limits(row)]
        said += [
            f"Step {number}: {step['words']}{gate_words(step)}."
            for number, step in enumerate(row.get("steps", []), start=1)
        ]
        said += [
            f"Route {number} of {len(row['routes'])}, in the rules' own order: {route['words']}."
            for number, route in enumerate(row["routes"], start=1)
        ]
        said += [f"Reopening: {row['reopen']}"] if row.get("reopen") else []
        said += [f"({row['note']})"] if row.get("note") else []
        part.sentences.append(sentence(" ".join(said), row, raw))
    return part


def procedure_limits(row: Mapping[str, Any]) -> list[str]:
    """Write the limits within which the time of a procedure counts."""
    found = []
    if "ph_at_least" in row:
        found.append(f"It counts only with pH at least {row['ph_at_least']}.")
    if "ph_at_most" in row:
        found.append(f"It counts only with pH at most {row['ph_at_most']}.")
    if "temperature_c_at_least" in row:
        found.append(f"It counts only in water of {row['temperature_c_at_least']} C or more.")
    if "cyanuric_acid_at_most" in row:
        found.append(f"It counts only with stabiliser at most {row['cyanuric_acid_at_most']} mg/L.")
    if row.get("unstabilised_only"):
        found.append("Only unstabilised chlorine may be used.")
    if row.get("points_least"):
        found.append(f"It is measured at {row['points_least']} points or more; the lowest counts.")
    if row.get("scope") == "circuit":
        found.append("Every pool on the same filter closes.")
    if row.get("archived"):
        found.append("ARCHIVED: perhaps not the text in force; ask for it. No time is given by it.")
    broken = {"restart": "begins anew", "hold": "stands still"}.get(row.get("when_broken", ""))
    if broken:
        found.append(f"After a reading that falls short, the time {broken}.")
    return found


def gate_words(step: Mapping[str, Any]) -> str:
    """Write what must be measured before a step counts."""
    gate = step.get("gate")
    if not gate:
        return ""
    return (
        f" (not before {name_of(gate['parameter'])} is {compared_words(gate, gate['parameter'])})"
    )


def reopening(raw: Mapping[str, Any]) -> Part:
    """Say what must be so before a closed pool opens again."""
    part = Part("reopening", "Before a closed pool opens again", [])
    for row in raw.get("reopening", []):
        after = listed((EVENT_WORDS.get(word, word.replace("-", " ")) for word in row["for"]), "or")
        if "parameter" in row:
            wanted = limit_words(row)
        elif "approval" in row:
            wanted = "the authority gives its approval"
        else:
            wanted = str(row.get("duty", row["words"])).replace("-", " ")
        text = f"After {after}{where_words(row)}: {wanted}. {row['words']}"
        part.sentences.append(sentence(text, row, raw))
    return part


def starts_words(given: str | list[str]) -> str:
    """Say what a deadline runs from: one event, or the first of several."""
    words = [given] if isinstance(given, str) else given
    rules = [word.removeprefix(OF_A_RULE) for word in words if word.startswith(OF_A_RULE)]
    events = [word for word in words if not word.startswith(OF_A_RULE)]
    names = [EVENT_WORDS.get(word, word.replace("-", " ")) for word in events]
    broken = [f"the breaking of rule {listed(rules, 'or')}"] if rules else []
    return listed([*names, *broken], "or")


def deadlines(raw: Mapping[str, Any]) -> Part:
    """Say who must be told, and by when."""
    part = Part("deadlines", "Deadlines", [])
    for row in raw.get("deadline", []):
        first = f"{row['after']} is done" if row.get("after") else starts_words(row["on"])
        within = f"Within {row['within_hours']} h" if "within_hours" in row else "At once"
        text = f"{within} after {first}, to the {row['to']}: {row['words']}"
        part.sentences.append(sentence(text, row, raw))
    return part


def checklists(raw: Mapping[str, Any]) -> Part:
    """Say what a person looks at; no software judges it."""
    part = Part("checklists", "What a person looks at (it is not judged here)", [])
    for row in raw.get("checklist", []):
        text = f"{row['words']}{where_words(row)}. {LEVEL_WORDS[row['level']]}".replace("..", ".")
        part.sentences.append(sentence(text, row, raw))
    return part


def sampling(raw: Mapping[str, Any]) -> Part:
    """Say where and how a sample is taken."""
    part = Part("sampling", "Sampling", [])
    row = raw.get("sampling")
    if row:
        said = [row["words"]] if row.get("words") else []
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
        said += [f"The last {row['display_days']} days hang out."] if "display_days" in row else []
        signed = row.get("signature")
        said += [f"Signed: {'yes' if signed is True else signed}."] if signed else []
        said += [f"{key}: {row[key]}." for key in row if key not in FIELDS_SAID]
        part.sentences.append(sentence(" ".join(said), row, raw))
    return part


def contradictions(raw: Mapping[str, Any]) -> Part:
    """Say where the source speaks against itself, and which reading was chosen."""
    part = Part("contradictions", "Where the text contradicts itself", [])
    for row in raw.get("contradiction", []):
        text = (
            f"On {row['about']}: {row['one']}; and also: {row['other']}. Chosen: {row['chosen']}, "
            f"because {row['why']}"
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
