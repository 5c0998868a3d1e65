"""Which cautions travel with one addition; the words and their evidence are not here."""

from typing import Any

from lanewater.kernel.deciding.asking import items_in, part, word_in
from lanewater.kernel.deciding.productfit import STABILISED, SUBSTANCES

ACIDS = ("hydrochloric-acid", "sodium-bisulfate", "sulfuric-acid")
CARBONATES = ("sodium-carbonate", "sodium-bicarbonate")
REDUCERS = ("sodium-thiosulfate", "sodium-sulfite")
ALWAYS = (
    "label-first",
    "pool-empty",
    "one-product",
    "never-mix",
    "own-jug",
    "into-water",
    "not-through-skimmer",
    "unlabelled",
    "spill",
)


def cautions_for(request: dict[str, Any], pool: dict[str, Any], substance: str) -> list[str]:
    """Give the ids of the cautions for adding one substance, the most general first.

    Parameters
    ----------
    request : dict
        The request for advice.
    pool : dict
        The pool's facts.
    substance : str
        What is added.
    """
    found: list[str] = []
    if substance == "fresh-water":
        found.append("pool-empty")
        found.append("drain-consent")
        found.append("drain-uplift")
        return found
    for identity in ALWAYS:
        found.append(identity)
    if substance in SUBSTANCES["raise-chlorine"]:
        found.append("one-kind-of-chlorine")
        found.append("keep-from-acid")
        if word_in(pool, "coagulant") != "none":
            found.append("keep-from-coagulant")
    if substance in ACIDS:
        found.append("acid-from-chlorine")
    if substance in CARBONATES or substance == "calcium-chloride":
        found.append("keep-from-chlorine")
    if substance in STABILISED:
        found.append("adds-stabiliser")
    if substance in REDUCERS:
        found.append("neutraliser-in-portions")
        found.append("keep-reducer-apart")
    if word_in(pool, "location") != "outdoor":
        found.append("ventilate")
    found.append("feeders-stop-with-flow")
    if word_in(part(request, "volume"), "of") == "pool":
        if len(items_in(part(request, "volume"), "shared")) > 0:
            found.append("shared-filter")
    return found
