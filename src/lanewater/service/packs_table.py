"""Every pack that is held here beside what it covers and which features of the format it uses."""

from __future__ import annotations

from typing import Any

from lanewater.rules.checking import full_coverage, golden_count
from lanewater.rules.features import FEATURES, features_of
from lanewater.service.packs import load_pack, pack_ids
from lanewater.service.packs_read import whole_raw
from lanewater.terms.words import COVERAGE_ITEMS

HEAD = """\
# The rules packs

Written from the packs themselves by `lanewater rules table --markdown`; a test compares it. What
the words mean: [the format of a rules pack](rules-format.md). A pack with a gap among the first
four can never say that an opening round meets; its limits count all the same.

{packs} packs, {full} of them with full coverage of disinfectant, pH and clarity, {rules} rules,
{golden} golden cases.

"""
STATES = {"limited": "limits", "no-limit-set": "none set", "not-read": "**not read**"}


def table_of() -> list[dict[str, Any]]:
    """Give a row for every pack.

    Returns
    -------
    list of dict
        {"id", "title", "status", "edition", "read_on", "coverage", "full_coverage", "rules",
        "procedures", "golden_cases", "features": numbers}.
    """
    found = []
    for identity in pack_ids():
        pack = load_pack(identity)
        found.append(
            {
                "id": identity,
                "title": pack["title"],
                "status": pack["status"],
                "edition": pack["edition"],
                "read_on": str(pack["read_on"]),
                "coverage": {item: row["state"] for item, row in pack["coverage"].items()},
                "full_coverage": full_coverage(pack),
                "rules": len(pack["rules"]),
                "procedures": len(pack["procedures"]),
                "golden_cases": golden_count(pack),
                "features": features_of(whole_raw(identity)),
            }
        )
    return found


def table_markdown(rows: list[dict[str, Any]]) -> str:
    """Write the table of packs as a page.

    Parameters
    ----------
    rows : list of dict
        As `table_of` gives them.
    """
    head = HEAD.format(
        packs=len(rows),
        full=sum(row["full_coverage"] for row in rows),
        rules=sum(row["rules"] for row in rows),
        golden=sum(row["golden_cases"] for row in rows),
    )
    names = [item.replace("_", " ") for item in COVERAGE_ITEMS]
    lines = [
        "## What each covers",
        "",
        f"| pack | status | {' | '.join(names)} | rules | procedures | golden cases |",
        f"|---|---|{'---|' * len(names)}---|---|---|",
    ]
    for row in rows:
        states = " | ".join(STATES[row["coverage"][item]] for item in COVERAGE_ITEMS)
        lines.append(
            f"| `{row['id']}` | {row['status']} | {states} | {row['rules']} | {row['procedures']} "
            f"| {row['golden_cases']} |"
        )
    lines += ["", "## Which features each uses", "", feature_head(), feature_rule()]
    lines += [feature_row(row) for row in rows]
    lines += [
        "",
        "## The features",
        "",
        "| number | feature | packs that use it |",
        "|---|---|---|",
    ]
    for feature in FEATURES:
        using = [f"`{row['id']}`" for row in rows if feature.number in row["features"]]
        told = "every pack" if len(using) == len(rows) else ", ".join(using) or "none"
        lines.append(f"| {feature.number} | {feature.name} | {told} |")
    return head + "\n".join(lines) + "\n"


def feature_head() -> str:
    """Write the head of the table of features."""
    return f"| pack | {' | '.join(str(feature.number) for feature in FEATURES)} |"


def feature_rule() -> str:
    """Write the line under the head."""
    return "|---|" + "---|" * len(FEATURES)


def feature_row(row: dict[str, Any]) -> str:
    """Write one pack's line."""
    cells = ("x" if feature.number in row["features"] else "" for feature in FEATURES)
    return f"| `{row['id']}` | {' | '.join(cells)} |"
