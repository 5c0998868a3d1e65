"""Drawn rounds judged by the kernel and by a second, simpler judge; every answer compared.

    .venv/bin/python benchmarks/judging_against_reference.py [--cases 200000] [--seed 1]

Each case goes in as `lanewater judge` takes it (JSON: numbers as text, with a point or a comma,
over and under range, diluted, at points, by methods, earlier rounds near the ages that count,
places on four clocks) and each number lies at or beside a number of the pack. The second judge is
`judging_by_reference.py`: the pack's TOML read anew. Compared are the verdict of every rule and the
overall one; "borderline" is left out. A fault is planted first, each comparison turned inclusive
for exclusive, and must be found. `--rules ID ...` takes some packs only. Ends with 1 where an
answer differs or the fault is not found.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections import Counter
from copy import deepcopy
from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal
from pathlib import Path
from random import Random
from typing import Any

sys.path.insert(0, str(Path(__file__).parent))

from judging_by_reference import COMPARED, judged, pack_read

from lanewater.kernel.deciding.judging import judge
from lanewater.rules.case import case_from
from lanewater.service.packs import FOLDER, load_pack, pack_ids
from lanewater.terms.words import CIRCULATION, CLARITY, POOL_FACTS, POOL_NUMBERS

COMMON = {
    "free_chlorine": "1.5", "total_chlorine": "1.8", "combined_chlorine": "0.3",
    "total_bromine": "3", "ph": "7.4", "temperature_c": "28", "cyanuric_acid": "30",
    "orp_mv": "720", "total_alkalinity": "100", "turbidity_ntu": "0.3",
}  # fmt: skip
OPENING = ("free_chlorine", "total_chlorine", "ph", "temperature_c")
WORDS = {"clarity": CLARITY, "circulation": CIRCULATION}
STEPS = ("0", "0", "0.01", "-0.01", "0.1", "-0.1", "0.001", "-0.001", "1", "-1", "3")
ZONES = (0, 0, 600, -480, 330)
START = datetime(2026, 3, 1, 6, tzinfo=UTC)
PLANTED = {"at-least": "above", "at-most": "below", "above": "at-least", "below": "at-most"}


def numbers_of(value: Any, found: dict[str, set[str]], about: Any = "") -> dict[str, set[str]]:
    """Collect the numbers that a pack holds a parameter, or a fact, to."""
    if isinstance(value, dict):
        about = value.get("parameter", value.get("fact", about))
        for key, one in value.items():
            if key in (*COMPARED, "add") and isinstance(one, str) and about:
                found.setdefault(about, set()).add(one)
                if "modify" in value and "add" in value["modify"][0]:
                    found[about].add(str(Decimal(one) + Decimal(value["modify"][0]["add"])))
            else:
                numbers_of(one, found, about)
    elif isinstance(value, list):
        for one in value:
            numbers_of(one, found, about)
    return found


def facts_of(value: Any, found: dict[str, set[str]]) -> dict[str, set[str]]:
    """Collect the words of facts that a pack hangs on and no list of ours holds."""
    if isinstance(value, dict):
        for key, one in value.items():
            if key in ("when", "when_known", "if_not_read", "none_for") and isinstance(one, dict):
                for name, words in one.items():
                    found.setdefault(name.removesuffix("_not"), set()).update(words)
            facts_of(one, found)
    elif isinstance(value, list):
        for one in value:
            facts_of(one, found)
    return found


class Drawing:
    """Draws cases about one pack."""

    def __init__(self, pack: dict[str, Any], random: Random) -> None:
        self.random, self.pack = random, pack
        self.numbers = numbers_of(pack["rule"] + pack.get("class", []), {})
        self.facts = facts_of(pack, {})
        self.methods = ["", *{one for rule in pack["rule"] for one in rule.get("methods", [])}]
        self.parameters = sorted({rule["parameter"] for rule in pack["rule"]} | set(COMMON))
        self.spans = [pack["borrow_hours"], 24, 1, 168]

    def number(self, parameter: str) -> str:
        """Give a number at or near one that counts, as somebody might type it."""
        random = self.random
        near = sorted(self.numbers.get(parameter, {"1"}) | {COMMON.get(parameter, "1")})
        value = Decimal(random.choice(near)) + Decimal(random.choice(STEPS))
        if parameter in COMMON and random.random() < 0.5:
            value = Decimal(COMMON[parameter]) + Decimal(random.choice(STEPS))
        text = f"{max(value, Decimal(0)):f}"
        if random.random() < 0.05:
            text = random.choice("<>") + text
        if random.random() < 0.1 and "." in text and len(text.split(".")[1]) < 3:
            text = text.replace(".", random.choice((",", ".")))
        return text

    def reading(self, parameter: str) -> dict[str, Any]:
        """Give one reading."""
        random = self.random
        if parameter in WORDS:
            good = random.random() < 0.8
            return {"parameter": parameter, "value": WORDS[parameter][0] if good
                    else random.choice(WORDS[parameter])}  # fmt: skip
        row: dict[str, Any] = {"parameter": parameter, "value": self.number(parameter)}
        if random.random() < 0.15:
            row["point"] = random.choice(("deep", "shallow"))
        if random.random() < 0.04:
            row["dilution"] = random.choice((2, 5, 10))
        if random.random() < 0.3 and len(self.methods) > 1:
            row["method"] = random.choice([*self.methods, "other"])
        return {key: value for key, value in row.items() if value != ""}

    def readings(self, fewest: int) -> list[dict[str, Any]]:
        """Give the readings of one round."""
        random = self.random
        chosen = list(OPENING) if random.random() < 0.7 else []
        chosen += random.sample(
            self.parameters, random.randint(fewest, min(5, len(self.parameters)))
        )
        if random.random() < 0.85:
            chosen += ["clarity"]
        if random.random() < 0.2 and chosen:
            chosen.append(random.choice(chosen))
        if random.random() < 0.1:
            chosen.remove(random.choice(chosen)) if chosen else None
        return [self.reading(name) for name in chosen]

    def pool(self) -> dict[str, Any]:
        """Give what is known of a pool."""
        random = self.random
        found: dict[str, Any] = {}
        known = random.choice((0.5, 0.9, 1.0))
        for name, words in POOL_FACTS.items():
            if random.random() < known:
                usual = words[0] if random.random() < 0.5 else random.choice(words)
                found[name] = usual if random.random() < 0.97 else "unknown"
        own: dict[str, Any] = {}
        for name, texts in self.numbers.items():
            bare = name.removeprefix("facts.")
            if (bare in POOL_NUMBERS or name != bare) and random.random() < known:
                number = float(Decimal(random.choice(sorted(texts))) + random.choice((-1, 0, 1)))
                (found if bare in POOL_NUMBERS else own)[bare] = max(number, 0.5)
        for rule in self.pack["rule"]:
            if "relative_to_fact" in rule and random.random() < known:
                own[rule["relative_to_fact"].removeprefix("facts.")] = random.randint(1, 40)
        for name, choice in self.facts.items():
            if name not in POOL_FACTS and random.random() < known / 2:
                place = found if name == "risk_class" else own
                place[name.removeprefix("facts.")] = random.choice(sorted(choice))
        return {**found, "facts": own} if own else found

    def case(self) -> dict[str, Any]:
        """Give one case as JSON."""
        random = self.random
        zone = timezone(timedelta(minutes=random.choice(ZONES)))
        at = START.astimezone(zone) + timedelta(minutes=random.randint(0, 300_000))
        given: dict[str, Any] = {"pool": self.pool(), "readings": self.readings(1)}
        if random.random() < 0.15:
            given["purpose"] = "sample"
        if random.random() < 0.93:
            given["at"] = at.isoformat()
        ages: set[timedelta] = set()
        for _ in range(random.choice((0, 0, 1, 2, 5, 9))):
            hours = random.choice(self.spans) if random.random() < 0.4 else random.randint(1, 1200)
            ages.add(timedelta(hours=hours, minutes=random.choice((-1, 0, 0, 1, 30))))
        given["history"] = [
            {"at": (at - age).isoformat(), "readings": self.readings(0)} for age in sorted(ages)
        ]
        random.shuffle(given["history"])
        return given


def difference(
    pack: dict[str, Any], raw: dict[str, Any], given: dict[str, Any]
) -> tuple[str, dict[str, Any], dict[str, Any]] | None:
    """Give what differs between both judges, None where nothing does; and both answers."""
    answer = judge(pack, case_from(given))
    wanted = judged(raw, given, answer)
    found: dict[str, str] = {}
    for row in answer["results"]:
        verdict = row["verdict"].removesuffix("-borderline")
        found[row["rule"]] = {"meets": "yes", "not-judged": "?"}.get(verdict, "no")
    overall = answer["overall"].removesuffix("-borderline")
    if not pack["law"]:
        wanted["rules"] = {
            key: "?" if one == "yes" else one for key, one in wanted["rules"].items()
        }
    if (overall, found) == (wanted["overall"], wanted["rules"]):
        return None
    apart = sorted(
        f"{name}: {found.get(name, 'no row')} for {wanted['rules'].get(name, 'no row')}"
        for name in found.keys() | wanted["rules"].keys()
        if found.get(name) != wanted["rules"].get(name)
    )
    return f"overall {overall} for {wanted['overall']}; {'; '.join(apart)}", answer, wanted


def planted(pack: dict[str, Any]) -> dict[str, Any]:
    """Give a compiled pack with its comparisons turned inclusive for exclusive and back."""
    wrong = deepcopy(pack)
    for rule in wrong["rules"]:
        rule["comparison"] = PLANTED.get(rule["comparison"], rule["comparison"])
    return wrong


def campaign(
    cases: int, seed: int, rules: list[str], *, fault: bool = False, most: int = 5
) -> tuple[int, Counter[str], list[str]]:
    """Compare so many cases; give how many differ, the verdicts, and the first differences."""
    random = Random(seed)  # noqa: S311 - repeatable, no secret
    packs = [
        (name, planted(load_pack(name)) if fault else load_pack(name), pack_read(FOLDER, name))
        for name in rules
    ]
    drawings = {name: Drawing(raw, random) for name, _, raw in packs}
    differ, verdicts = 0, Counter[str]()
    told: list[str] = []
    for number in range(cases):
        name, pack, raw = packs[number % len(packs)]
        given = drawings[name].case()
        found = difference(pack, raw, given)
        if found is not None:
            differ += 1
            if len(told) < most:
                told.append(f"{name}: {found[0]}\n{json.dumps(given)}")
        else:
            verdicts[judge(pack, case_from(given))["overall"]] += 1 if number % 10 == 0 else 0
    return differ, verdicts, told


def main() -> int:
    """Run the planted fault and the campaign."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("--cases", type=int, default=200_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rules", nargs="*", default=pack_ids())
    given = parser.parse_args()
    missed = campaign(40 * len(given.rules), given.seed, given.rules, fault=True)[0] == 0
    differ, verdicts, told = campaign(given.cases, given.seed, given.rules)
    print("\n".join(told))
    print(f"{given.cases} cases, {len(given.rules)} packs, seed {given.seed}: {differ} differ")
    print("of every tenth:", ", ".join(f"{count} {one}" for one, count in verdicts.most_common()))
    print("the planted fault is " + ("NOT found" if missed else "found"))
    return 1 if differ or missed else 0


if __name__ == "__main__":
    sys.exit(main())
