"""The cautions that travel with an addition: our words, why, and how good the evidence is.

The kernel chooses which apply (`kernel/deciding/cautions.py`); a test holds the two lists to each
other. Evidence reads "seen" where the source was read, "secondary" where only a second-hand or
trade page was, "memory" (MEM) where neither.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

SEEN = "seen"
SECONDARY = "secondary"
MEMORY = "memory"


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution.

    Attributes
    ----------
    id : str
        As the kernel names it.
    text : str
        What to do or not to do.
    why : str
        What happens otherwise.
    source : str
        Where that is known from.
    evidence : str
        seen, secondary or memory.
    """

    id: str
    text: str
    why: str
    source: str
    evidence: str


CAUTIONS: dict[str, Caution] = {
    caution.id: caution
    for caution in (
        Caution(
            "label-first",
            "Gloves, goggles and handling by the product's label and data sheet. "
            "Their limits outrank this amount.",
            "Burns to eyes and skin.",
            "CDC chemical safety rules (Maryland health department)",
            SEEN,
        ),
        Caution(
            "pool-empty",
            "Nobody in the water while it is added, and until two tests meet. "
            "A timer alone never lets people in.",
            "Bathers were burned by product that had not mixed.",
            "San Bernardino County closure rules; swim-school case (trade page)",
            SEEN,
        ),
        Caution(
            "one-product",
            "One product. Circulate, wait, test. Only then look at the next.",
            "Two products in one place react with each other.",
            "Trade practice",
            MEMORY,
        ),
        Caution(
            "never-mix",
            "Never mix pool chemicals with each other, wet or dry.",
            "Acid and hypochlorite make chlorine gas.",
            "CDC, MMWR 58(18) 2009, 36 New York events",
            SEEN,
        ),
        Caution(
            "own-jug",
            "Use the product's own dry jug or scoop, for nothing else.",
            "Remains of another product in a shared jug start the reaction.",
            "US EPA 550-F-01-003 (2001)",
            SEEN,
        ),
        Caution(
            "into-water",
            "Product into water, never water onto product. "
            "Dissolve first only if its label says so.",
            "Water on a concentrated product boils and spits.",
            "North Yorkshire Fire: storage at swimming pools",
            SEEN,
        ),
        Caution(
            "not-through-skimmer",
            "Not through a skimmer, unless the plant is built for it.",
            "It meets what is left there of another product.",
            "Trade practice",
            MEMORY,
        ),
        Caution(
            "unlabelled",
            "No label, or a powder nobody knows: do not use it.",
            "An unlabelled container led to a gas release at a hydrotherapy pool.",
            "Basingstoke 2021, HSE prosecution",
            SEEN,
        ),
        Caution(
            "spill",
            "Spilt on the deck: barrier, rinse as the data sheet says, keep bathers away.",
            "A child was burned by product on the deck.",
            "Trade page",
            SECONDARY,
        ),
        Caution(
            "one-kind-of-chlorine",
            "Never let two kinds of chlorine meet: no shared scoop, bucket, feeder or shelf.",
            "Hypochlorite and chlorinated cyanurates burn or explode together.",
            "US EPA 550-F-01-003 (2001); Fire Engineering",
            SEEN,
        ),
        Caution(
            "keep-from-acid",
            "Keep it well away from acid, in the store, in the jug and in the pool.",
            "Chlorine gas.",
            "CDC, MMWR 58(18) 2009; MMWR 66(19) 2017",
            SEEN,
        ),
        Caution(
            "keep-from-coagulant",
            "Keep it away from coagulant, descaler, carbonate and calcium chloride.",
            "Coagulant in the hypochlorite tank made chlorine gas.",
            "Edinburgh 2010 prosecution",
            SEEN,
        ),
        Caution(
            "acid-from-chlorine",
            "Keep acid well away from every chlorine product, and from where chlorine goes in.",
            "Chlorine gas.",
            "CDC, MMWR 58(18) 2009; MMWR 66(19) 2017",
            SEEN,
        ),
        Caution(
            "keep-from-chlorine",
            "Keep it away from hypochlorite, dry and wet.",
            "Carbonate and calcium chloride react with hypochlorite.",
            "Edinburgh 2010 prosecution",
            SEEN,
        ),
        Caution(
            "adds-stabiliser",
            "This product adds stabiliser that stays in the water. Watch its level.",
            "Too much stabiliser holds back disinfection.",
            "Chemistry: 0.91 mg/L of cyanuric acid with each mg/L of chlorine from dichlor",
            SEEN,
        ),
        Caution(
            "neutraliser-in-portions",
            "A first quarter, then circulate and test. Never the whole amount at once.",
            "By which way it reacts, the same amount takes up to eight times more chlorine; "
            "what is left of it eats the chlorine added next.",
            "Stoichiometry of thiosulfate with hypochlorous acid",
            SEEN,
        ),
        Caution(
            "keep-reducer-apart",
            "Keep it away from acid and from every chlorine product, dry and wet.",
            "With acid it gives off sulfur dioxide; with strong chlorine it heats up.",
            "Chemistry of sulfites and thiosulfate",
            MEMORY,
        ),
        Caution(
            "drain-consent",
            "Drain only to where you have consent to, after the chlorine has fallen.",
            "Pool water in a stream or storm drain kills, and is fined.",
            "A council was fined after a backwash reached a creek (trade report)",
            SECONDARY,
        ),
        Caution(
            "drain-uplift",
            "Never lower a pool further than its builder allows; ask about ground water first.",
            "Ground water can lift or crack a tank that is not full.",
            "Trade practice",
            MEMORY,
        ),
        Caution(
            "ventilate",
            "Full fresh air in the hall and in the store.",
            "Fumes gather indoors.",
            "PWTAG TN62 (gas monitoring)",
            SEEN,
        ),
        Caution(
            "feeders-stop-with-flow",
            "Feeders must stop when the flow stops. After any stop: feeders off by hand, "
            "people out, then restart.",
            "Chlorine gas reached bathers when pumps restarted with product in the line.",
            "Wilken et al., MMWR 66(19) 2017; Ipswich 2012 prosecution",
            SEEN,
        ),
        Caution(
            "shared-filter",
            "This pool shares its filter. What is added here spreads to the other pools "
            "within hours.",
            "The pool falls back, the others rise.",
            "Mass balance",
            SEEN,
        ),
    )
}


def cautions_of(ids: Iterable[str]) -> tuple[Caution, ...]:
    """Give the cautions of an advice in the kernel's order; an unknown id is a KeyError."""
    return tuple(CAUTIONS[identity] for identity in ids)
