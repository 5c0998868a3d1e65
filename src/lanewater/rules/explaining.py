"""A pack as plain sentences, to be read beside the law: each with its clause and where it was read.

It is written from the text of the pack alone, so what it says is what is judged by.
"""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from typing import Any

from lanewater.rules.explainedparts import FURTHER
from lanewater.rules.phrases import (
    LEVEL_WORDS,
    NOT_WORKED_OUT,
    condition_words,
    hours_words,
    lasting_words,
    limit_words,
    listed,
    sentence_of,
    where_words,
)
from lanewater.rules.sentences import Part, Sentence, evidence_words, sentence
from lanewater.terms.parameters import PARAMETERS
from lanewater.terms.words import COVERAGE_ITEMS

STATUS_WORDS = {
    "reviewed": "Each limit was read in the text of the law and compared a second time.",
    "draft": "DRAFT: not compared a second time, or the text is being replaced. Not for "
    "compliance on its own.",
    "secondary": "SECONDARY: read in somebody else's account of the law, not in the law.",
    "historic": "HISTORIC: no longer in force. It cannot be chosen for a pool.",
}
ITEM_WORDS = {
    "disinfectant_minimum": "a minimum of disinfectant",
    "disinfectant_maximum": "a maximum of disinfectant",
    "ph": "pH",
    "clarity": "clarity",
    "combined_chlorine": "combined chlorine",
    "temperature": "temperature",
    "test_interval": "how often to test",
}
SUBJECTS: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("disinfectant", "Disinfectant", ("free_chlorine", "total_chlorine", "total_bromine")),
    ("combined", "Combined chlorine", ("combined_chlorine",)),
    ("ph", "pH", ("ph",)),
    ("clarity", "Clarity", ("clarity", "turbidity_ntu")),
    ("stabiliser", "Stabiliser", ("cyanuric_acid",)),
    ("orp", "ORP", ("orp_mv",)),
    ("temperature", "Temperature", ("temperature_c",)),
    ("circulation", "Circulation and treatment", ("circulation", "uv_dose_mj_cm2", "ozone")),
    ("balance", "Balance", ("total_alkalinity", "calcium_hardness", "total_dissolved_solids")),
)
ADDRESSED = {
    "authority": "To be told: the authority.",
    "patrons": "To be told: the bathers.",
    "manager": "To be told: the manager.",
    "laboratory": "It is for the laboratory.",
    "site": "It is for the site itself.",
}
LIVING = ("per 100 mL", "per mL", "per L")
WIDTH = 96
UNKNOWN = (
    "Where a limit hangs on something that is not known (a fact of the pool, a reading that was "
    "not taken), the stricter branch is used and the answer says so."
)
BROKEN = "A round that breaks a limit does not meet, but where the limit is noted or advice only."
ASIDE = "This is an aid to reading. The law is the text that your authority has in force."


def explain_pack(raw: Mapping[str, Any]) -> dict[str, Any]:
    """Explain a pack in sentences.

    Parameters
    ----------
    raw : mapping
        The parsed text of a pack, as docs/reference/rules-format.md has it.

    Returns
    -------
    dict
        {"id", "title", "status", "edition", "parts": [{"id", "title", "sentences": [{"text",
        "clause", "address", "evidence", "of": the id of the rule, "" for others}]}]}.
    """
    parts = [head_part(raw), coverage_part(raw), *rule_parts(raw)]
    parts += [make(raw) for make in FURTHER]
    return {
        "id": raw["id"],
        "title": raw["title"],
        "status": raw["status"],
        "edition": raw["edition"],
        "parts": [part.told() for part in parts if part.sentences],
    }


def head_part(raw: Mapping[str, Any]) -> Part:
    """Say what the pack is, whose, and how far it can be trusted."""
    said = [
        f"{raw['title']}.",
        f"Authority: {raw['authority']} ({raw['place']}). Edition: {raw['edition']}.",
        f"{STATUS_WORDS[raw['status']]} Read on {raw['read_on']}.",
    ]
    if not raw["law"]:
        said.append("This is no law: nothing that is held to it can meet it.")
    if "extends" in raw:
        gone = raw.get("replaces", [])
        but = f", but for what it replaces: {listed(gone)}" if gone else ""
        said.append(f"It stands on {raw['extends']}: every rule of both holds{but}.")
    if "effective_from" in raw:
        said.append(f"In force from {raw['effective_from']}.")
    if "effective_to" in raw:
        said.append(f"In force until {raw['effective_to']}; that day is not included.")
    said += [raw[key] for key in ("note",) if raw.get(key)]
    said += [f"In doubt: {text}" for text in raw.get("doubtful", [])]
    if "borrow_hours" in raw:
        said.append(
            f"A reading may be up to {hours_words(raw['borrow_hours'])} old to choose which limit "
            "holds for this round."
        )
    said += [BROKEN, UNKNOWN, ASIDE]
    return Part("head", "What this is", [Sentence(text) for text in said])


def coverage_part(raw: Mapping[str, Any]) -> Part:
    """Say what is covered, what the authority does not limit and what nobody has read."""
    part = Part("coverage", "What is covered and what is not", [])
    for item in COVERAGE_ITEMS:
        row = raw.get("coverage", {}).get(item)
        if row is None:
            continue
        said = {
            "limited": "there are limits below",
            "no-limit-set": "the authority sets no limit",
            "not-read": "NOT READ: nobody has read what the authority says; look in your own rules",
        }[row["state"]]
        none = condition_words({"when": row.get("none_for", {})})
        but = f" (none where {listed(none)})" if none else ""
        note = f" ({sentence_of(row['note'])})" if row.get("note") else ""
        name = ITEM_WORDS[item]
        text = f"{name if item == 'ph' else name.capitalize()}: {said}{but}.{note}"
        part.sentences.append(Sentence(text, row.get("clause", "")))
    return part


def rule_parts(raw: Mapping[str, Any]) -> list[Part]:
    """Give the rules by subject, in the order in which people test."""
    found = [Part(identity, title, []) for identity, title, _ in SUBJECTS]
    found += [Part("microbiology", "Microbiology", []), Part("other", "Other readings", [])]
    for rule in raw.get("rule", []):
        found[place_of(rule["parameter"])].sentences.append(rule_sentence(rule, raw))
    return found


def place_of(parameter: str) -> int:
    """Give the place of a parameter's subject."""
    for index, (_, _, parameters) in enumerate(SUBJECTS):
        if parameter in parameters:
            return index
    known = PARAMETERS.get(parameter)
    return len(SUBJECTS) + (0 if known is not None and known.unit in LIVING else 1)


def rule_sentence(rule: Mapping[str, Any], raw: Mapping[str, Any]) -> Sentence:
    """Write one rule."""
    said = [first_words(rule), *modifier_words(rule)]
    if "methods" in rule:
        said.append(f"It holds for readings made by {listed(rule['methods'], 'or')}.")
    said += lasting_words(rule)
    said.append(NOT_WORKED_OUT if "not_computable" in rule else LEVEL_WORDS[rule["level"]])
    if "serves" in rule:
        said.append(f"It stands for {rule['serves']} in a round before opening.")
    if rule.get("scope", "pool") != "pool":
        every = {"circuit": "every pool on the same filter", "site": "the whole site"}
        said.append(f"It closes {every[rule['scope']]}.")
    if rule.get("do"):
        said.append(rule["do"])
    said += [then_words(row) for row in rule.get("then", [])]
    if rule.get("note"):
        said.append(f"({rule['note']})")
    return sentence(" ".join(said), rule, raw)


def first_words(rule: Mapping[str, Any]) -> str:
    """Write what a rule asks and where, as a sentence."""
    limit = limit_words(rule)
    where = where_words(rule)
    if "not_computable" in rule and where:
        return f"{where[2:3].upper()}{where[3:]}, {limit}."
    return sentence_of(f"{limit}{where}")


def modifier_words(rule: Mapping[str, Any]) -> list[str]:
    """Write what changes the limit, in the order in which it does."""
    found = []
    for row in rule.get("modify", []):
        change = f"{row['add']} more" if "add" in row else f"{row['times']} times as much"
        if str(row.get("add", "")).startswith("-"):
            change = f"{row['add'][1:]} less"
        hangs = condition_words(row)
        found.append(f"It is {change}{f' where {listed(hangs)}' if hangs else ''}.")
    return found


def then_words(row: Mapping[str, Any]) -> str:
    """Write one further action."""
    within = f" Within {hours_words(row['within_hours'])}." if row.get("within_hours") else ""
    to = f" {ADDRESSED[row['to']]}" if row.get("to") else ""
    closes = " The rules close the pool." if row["level"] in ("close", "evacuate") else ""
    clause = f" (clause {row['clause']})" if row.get("clause") else ""
    return f"And then: {sentence_of(row['do'])}{within}{to}{closes}{clause}"


def explained_text(told: Mapping[str, Any]) -> str:
    """Write an explanation for people, line by line.

    Parameters
    ----------
    told : mapping
        As `explain_pack` gives it.
    """
    lines = [f"{told['id']}  {told['status'].upper()}", ""]
    for part in told["parts"]:
        lines += [part["title"], ""]
        for row in part["sentences"]:
            clause = f"{row['clause']}: " if row["clause"] else ""
            lines += textwrap.wrap(
                clause + row["text"], WIDTH, initial_indent="  ", subsequent_indent="    "
            )
            if row["evidence"]:
                named = f"{row['of']}: " if row["of"] else ""
                lines.append(f"    [{named}{evidence_words(row)}]")
        lines.append("")
    return "\n".join(lines)
