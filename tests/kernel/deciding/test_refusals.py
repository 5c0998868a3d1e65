"""No amount where anything is missing, doubtful or standing: each refusal by its name."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from tests.kernel.deciding.advice_cases import ACID, DAY, HYPOCHLORITE, change, full, without
from tests.kernel.deciding.deciding_cases import AT, HOUR, before, reading

from lanewater.kernel.deciding.advice import advise
from lanewater.service.constants import load_constants

NO_CONSTANTS: tuple[float, ...] = ()
# A chlorine amount is a plain sum: without alkalinity no constant is needed and none is given.
LOW = full(total_alkalinity="", temperature_c="")


def refusal_ids(request: dict[str, Any]) -> list[str]:
    answer = advise(NO_CONSTANTS, request)
    assert "amount" not in answer or answer["state"] == "add"
    return [entry["id"] for entry in answer["refusals"]]


def test_the_complete_request_is_answered_with_an_amount() -> None:
    answer = advise(NO_CONSTANTS, LOW)
    assert answer["state"] == "add"
    assert answer["refusals"] == []


@pytest.mark.parametrize(
    ("path", "value", "identity"),
    [
        ("questions.everybody_out", "unknown", "people-unknown"),
        ("questions.pump_running", "no", "circulation-stopped"),
        ("questions.pump_running", "unknown", "circulation-unknown"),
        ("questions.anything_added", "yes", "added-since-reading"),
        ("questions.anything_added", "unknown", "added-unknown"),
        ("questions.looked", "no", "plant-not-looked-at"),
        ("case.pool.disinfectant", "bromine", "bromine"),
        ("case.pool.disinfectant", "other", "other-disinfectant"),
        ("case.pool.disinfectant", "unknown", "disinfectant-unknown"),
        ("case.pool.water", "sea", "sea-water"),
        ("case.pool.water", "unknown", "water-unknown"),
        ("case.pool.kind", "spa", "kind-not-configured"),
        ("case.pool.kind", "hydrotherapy", "kind-not-configured"),
        ("case.pool.kind", "plunge", "kind-not-configured"),
        ("case.pool.kind", "spray", "kind-not-configured"),
        ("case.pool.kind", "cold-plunge", "kind-not-configured"),
        ("case.pool.kind", "moon", "kind-not-configured"),
        ("late", True, "entered-late"),
        ("taken_at", AT - HOUR - 1, "reading-old"),
        ("taken_at", AT + 301, "reading-ahead"),
        ("targets.free_chlorine", {"low": "2.0", "high": "1.0"}, "target-missing"),
        ("targets.free_chlorine.low", "low", "target-missing"),
        ("volume.of", "site", "volume-kind-not-stated"),
        ("volume.m3", "0", "volume-missing"),
        ("volume.m3", "many", "volume-missing"),
        ("volume.m3", "-400", "volume-missing"),
        ("volume.m3", "100000.001", "volume-too-large"),
        ("volume.circuit_m3", "45", "volumes-disagree"),
        ("targets.free_chlorine", {"low": "0.3", "high": "0.5"}, "target-outside-rules"),
        ("targets.free_chlorine", {"low": "4.0", "high": "6.0"}, "target-outside-rules"),
        ("targets.ph", {"low": "6.2", "high": "6.8"}, "target-outside-rules"),
        ("targets.ph", {"low": "8.0", "high": "8.4"}, "target-outside-rules"),
        ("products.0.excess_caustic", "5", "excess-caustic-not-believable"),
        ("volume.known", "guess", "volume-guess-not-accepted"),
        ("volume.known", "hearsay", "volume-source-missing"),
        ("feeder", "calcium-hypochlorite", "other-chlorine-family"),
        ("feeder", "trichloroisocyanuric-acid", "other-chlorine-family"),
        ("products.0.approved", ["lower-ph"], "product-not-approved"),
        ("products.0.strength.value", "0", "strength-missing"),
        ("products.0.strength.value", ">12", "strength-missing"),
        ("products.0.strength.value", "12", "strength-not-believable"),
        ("products.0.strength.at", AT - 31 * DAY, "strength-old"),
        ("products.0.strength.at", AT + 2 * DAY, "strength-old"),
        ("products.0.strength.unit", "percent", "strength-unit-missing"),
        (
            "products.0.strength",
            {"value": "12", "unit": "percent-w-w", "at": AT},
            "density-missing",
        ),
        ("products.0.method", "somehow", "method-not-stated"),
        ("products", [], "product-not-listed"),
        ("products", [ACID], "product-not-listed"),
        ("choice", "acid-1", "product-not-listed"),
        (
            "blocks",
            [{"id": "dose-in-its-wait", "why": "Acid went in.", "do": "Wait."}],
            "dose-in-its-wait",
        ),
    ],
)
def test_an_amount_is_refused_by_name(path: str, value: Any, identity: str) -> None:
    request = change(LOW, path, value)
    answer = advise(NO_CONSTANTS, request)
    assert answer["state"] == "refused"
    assert [entry["id"] for entry in answer["refusals"]] == [identity]
    for entry in answer["refusals"]:
        assert entry["why"]
        assert entry["do"]


def test_people_in_the_water_leaves_only_the_feed_never_an_amount() -> None:
    answer = advise(NO_CONSTANTS, change(LOW, "questions.everybody_out", "no"))
    assert answer["state"] == "feed"
    assert "amount" not in answer
    doubly = change(change(LOW, "questions.everybody_out", "no"), "questions.pump_running", "no")
    assert refusal_ids(doubly) == ["people-in-the-water", "circulation-stopped"]


def test_acid_with_people_in_is_refused_not_fed() -> None:
    high = change(
        full(free_chlorine="1.5", total_chlorine="1.6", ph="8.0"), "questions.everybody_out", "no"
    )
    assert "people-in-the-water" in refusal_ids(high)


def test_a_reading_at_its_limit_of_age_still_counts() -> None:
    assert advise(NO_CONSTANTS, change(LOW, "taken_at", AT - HOUR))["state"] == "add"


@pytest.mark.parametrize(
    ("values", "identity"),
    [
        ({"free_chlorine": ""}, "reading-missing"),
        ({"ph": ""}, "reading-missing"),
        ({"free_chlorine": "0.60", "total_chlorine": "0.30"}, "pair-not-believable"),
        ({"free_chlorine": ">5.00", "total_chlorine": ""}, "over-range-undiluted"),
        ({"ph": "8.4"}, "doubtful-reading"),
        ({"ph": ">8.4"}, "doubtful-reading"),
        ({"ph": "74.0"}, "doubtful-reading"),
        ({"temperature_c": "82"}, "doubtful-reading"),
        ({"clarity": "not-visible"}, "house-stop"),
        ({"clarity": "cannot-tell"}, "house-stop"),
        ({"circulation": "stopped"}, "house-stop"),
        ({"free_chlorine": "0.00", "total_chlorine": "0.40"}, "house-stop"),
        ({"free_chlorine": "0.10", "total_chlorine": "0.10"}, "possible-bleaching"),
    ],
)
def test_a_doubtful_round_gives_no_amount(values: dict[str, str], identity: str) -> None:
    request = full(**{"total_alkalinity": "", "temperature_c": "", **values})
    answer = advise(NO_CONSTANTS, request)
    assert answer["state"] == "refused"
    assert "amount" not in answer
    assert identity in [entry["id"] for entry in answer["refusals"]]


def test_one_surprising_reading_gives_no_amount_and_its_repeat_does() -> None:
    surprised = change(LOW, "case.history", [before(reading("free_chlorine", "1.45"))])
    assert refusal_ids(surprised) == ["surprising-reading"]
    again = [*surprised["case"]["readings"], reading("free_chlorine", "0.62")]
    assert advise(NO_CONSTANTS, change(surprised, "case.readings", again))["state"] == "add"
    other = [*surprised["case"]["readings"], reading("free_chlorine", "1.40")]
    assert refusal_ids(change(surprised, "case.readings", other)) != []


def test_a_logged_cause_explains_a_surprise() -> None:
    surprised = change(LOW, "case.history", [before(reading("free_chlorine", "1.45"))])
    cause = [{"kind": "cause", "at": AT - HOUR}]
    assert advise(NO_CONSTANTS, change(surprised, "case.events", cause))["state"] == "add"


def test_points_that_disagree_give_no_amount() -> None:
    readings = [
        *[row for row in LOW["case"]["readings"] if row["parameter"] != "free_chlorine"],
        reading("free_chlorine", "0.40", point="deep"),
        reading("free_chlorine", "0.75", point="shallow"),
    ]
    assert refusal_ids(change(LOW, "case.readings", readings)) == ["points-disagree"]


def test_a_circuit_must_say_whether_the_balance_tank_is_in_it() -> None:
    circuit = change(LOW, "volume.of", "circuit")
    assert refusal_ids(circuit) == ["balance-tank-not-stated"]
    for word in ("included", "not-included", "none"):
        answer = advise(NO_CONSTANTS, change(circuit, "volume.balance_tank", word))
        assert answer["state"] == "add"
        assert answer["place"] == "circuit-plant"


@pytest.mark.parametrize(
    ("circuit", "refused"),
    [("450", []), ("1200", []), ("4500", ["volumes-disagree"]), ("45", ["volumes-disagree"])],
)
def test_a_circuit_that_does_not_fit_its_pools_gives_no_amount(
    circuit: str, refused: list[str]
) -> None:
    volume = {"of": "circuit", "m3": circuit, "known": "meter", "balance_tank": "included"}
    request = change(LOW, "volume", volume | {"pools_m3": "400"})
    assert refusal_ids(request) == refused


def shared_circuit(free: str, **facts: Any) -> dict[str, Any]:
    """Give a request for the whole circuit, with a second pool on it that was tested too."""
    volume = {"of": "circuit", "m3": "450", "known": "meter", "balance_tank": "included"}
    request = change(LOW, "volume", volume | {"shared": ["teaching"]})
    other = {
        "name": "Teaching",
        "pool": LOW["case"]["pool"] | facts,
        "configured": False,
        "taken_at": AT - 900,
        "late": False,
        "readings": [reading("free_chlorine", free), reading("ph", "7.4")],
    }
    return change(request, "others", [other])


def test_a_circuits_amount_is_held_to_the_pool_that_asks_for_least() -> None:
    alone = advise(NO_CONSTANTS, shared_circuit("0.60"))
    fuller = advise(NO_CONSTANTS, shared_circuit("0.90"))
    assert (alone["amount"], fuller["amount"]) == (3350, 2250)  # 450 m3 by 0.9 and by 0.6
    assert refusal_ids(shared_circuit("1.95")) == ["another-pool-has-enough"]


@pytest.mark.parametrize(
    ("path", "value", "identity"),
    [
        ("others", [], "other-pool-not-tested"),
        ("others", None, "other-pool-not-tested"),
        ("others.0.taken_at", AT - HOUR - 1, "other-pool-not-tested"),
        ("others.0.taken_at", None, "other-pool-not-tested"),
        ("others.0.late", True, "other-pool-not-tested"),
        ("others.0.readings", [reading("ph", "7.4")], "other-pool-not-tested"),
        ("others.0.readings", [reading("free_chlorine", "<0.6")], "other-pool-not-tested"),
        ("others.0.pool.kind", "spray", "kind-not-configured"),
        ("others.0.pool.kind", "spa", "kind-not-configured"),
        ("others.0.pool.disinfectant", "bromine", "bromine"),
        ("others.0.pool.water", "sea", "sea-water"),
    ],
)
def test_a_circuits_amount_rests_on_every_pool_of_it(path: str, value: Any, identity: str) -> None:
    assert refusal_ids(change(shared_circuit("0.60"), path, value)) == [identity]


def test_a_pool_alone_does_not_ask_for_the_others_of_its_filter() -> None:
    request = change(shared_circuit("1.95", kind="spray"), "volume.of", "pool")
    assert refusal_ids(request) == []


def test_an_accepted_guess_gives_half_and_says_so() -> None:
    guess = change(change(LOW, "volume.known", "guess"), "volume.accepted", True)
    answer = advise(NO_CONSTANTS, guess)
    assert answer["amount"] == 1500
    assert answer["half"] is True
    assert "half-portion" in [entry["id"] for entry in answer["assumed"]]


@pytest.mark.parametrize("kind", ["spa", "hydrotherapy", "plunge"])
def test_a_hot_pool_that_was_set_up_for_dosing_is_answered(kind: str) -> None:
    request = change(change(LOW, "case.pool.kind", kind), "configured", True)
    assert advise(NO_CONSTANTS, request)["state"] == "add"


@pytest.mark.parametrize("kind", ["spray", "cold-plunge"])
def test_no_set_up_makes_a_splash_pad_or_a_cold_plunge_dosable(kind: str) -> None:
    request = change(change(LOW, "case.pool.kind", kind), "configured", True)
    assert refusal_ids(request) == ["kind-not-configured"]


# --- products -------------------------------------------------------------------------------

DICHLOR = {
    **HYPOCHLORITE,
    "product": "dichlor-1",
    "substance": "sodium-dichloroisocyanurate",
    "strength": {"value": "56", "unit": "percent-w-w", "at": AT},
}


def dichlor_outdoors(cyanuric_acid: str = "30") -> dict[str, Any]:
    low = full(total_alkalinity="", temperature_c="", cyanuric_acid=cyanuric_acid)
    request = change(low, "products", [DICHLOR])
    request = change(request, "limits.cyanuric_acid", {"high": "50"})
    request = change(request, "feeder", "sodium-dichloroisocyanurate")
    request = change(request, "case.pool.location", "outdoor")
    return change(request, "case.pool.stabiliser", "used")


def test_stabilised_chlorine_is_for_outdoor_pools_that_use_stabiliser() -> None:
    assert advise(NO_CONSTANTS, dichlor_outdoors())["state"] == "add"


@pytest.mark.parametrize(
    ("cyanuric_acid", "refused"),
    [
        ("", ["stabiliser-missing"]),
        ("<20", ["stabiliser-missing"]),
        ("47.2", []),
        ("47.3", ["stabiliser-full"]),  # 3 mg/L of chlorine bring 2.73 mg/L of stabiliser
        ("90", ["stabiliser-full"]),
    ],
)
def test_stabilised_chlorine_never_takes_the_stabiliser_over_its_limit(
    cyanuric_acid: str, refused: list[str]
) -> None:
    assert refusal_ids(dichlor_outdoors(cyanuric_acid)) == refused


def test_stabilised_chlorine_needs_a_limit_of_the_rules_or_of_the_site() -> None:
    none = change(dichlor_outdoors(), "limits.cyanuric_acid", None)
    assert refusal_ids(none) == ["stabiliser-limit-missing"]
    own = {"low": "20", "high": "40"}
    assert refusal_ids(change(none, "targets.cyanuric_acid", own)) == []
    assert refusal_ids(change(dichlor_outdoors("45"), "targets.cyanuric_acid", own)) == [
        "stabiliser-full"
    ]


def test_stabilised_chlorine_by_an_old_stabiliser_is_refused() -> None:
    request = dichlor_outdoors("")
    old = before(reading("cyanuric_acid", "30"), hours=31 * 24)
    assert refusal_ids(change(request, "case.history", [old])) == ["stabiliser-old"]


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("case.pool.location", "indoor"),
        ("case.pool.location", "roofed"),
        ("case.pool.location", "unknown"),
        ("case.pool.stabiliser", "not-used"),
        ("case.pool.stabiliser", "unknown"),
    ],
)
def test_stabilised_chlorine_is_refused_elsewhere(path: str, value: str) -> None:
    assert refusal_ids(change(dichlor_outdoors(), path, value)) == ["stabilised-not-here"]


def test_stabilised_chlorine_is_refused_in_a_hot_pool_even_where_set_up() -> None:
    spa = change(change(dichlor_outdoors(), "case.pool.kind", "spa"), "configured", True)
    assert refusal_ids(spa) == ["stabilised-not-here"]


@pytest.mark.parametrize(
    ("substance", "method"),
    [
        ("chlorine", "by-hand"),
        ("trichloroisocyanuric-acid", "by-hand"),
        ("sodium-hypochlorite", "feeder-only"),
        ("sodium-hypochlorite", "never-by-hand"),
    ],
)
def test_what_is_not_given_by_hand_is_fed_and_never_an_amount(substance: str, method: str) -> None:
    product = {**HYPOCHLORITE, "substance": substance, "method": method}
    answer = advise(NO_CONSTANTS, change(LOW, "products", [product]))
    assert answer["state"] == "feed"
    assert "amount" not in answer


@pytest.mark.parametrize("substance", ["sulfuric-acid", "carbon-dioxide"])
def test_gas_and_sulfuric_acid_never_lower_ph_by_hand(substance: str) -> None:
    product = {**ACID, "substance": substance}
    request = full(free_chlorine="1.5", total_chlorine="1.6", ph="8.0")
    answer = advise(NO_CONSTANTS, change(request, "products", [product]))
    assert answer["state"] == "feed"


def test_caustic_never_raises_ph_by_hand() -> None:
    product = {**ACID, "substance": "sodium-hydroxide", "approved": ["raise-ph"]}
    request = full(free_chlorine="1.5", total_chlorine="1.6", ph="7.0")
    assert advise(NO_CONSTANTS, change(request, "products", [product]))["state"] == "feed"


def test_the_first_product_that_fits_is_chosen_and_another_on_request() -> None:
    second = {**HYPOCHLORITE, "product": "hypo-2", "name": "Hypo drum"}
    request = change(LOW, "products", [HYPOCHLORITE, second])
    assert advise(NO_CONSTANTS, request)["product"] == "hypo-1"
    assert advise(NO_CONSTANTS, change(request, "choice", "hypo-2"))["product"] == "hypo-2"
    stale = {**HYPOCHLORITE, "strength": {**HYPOCHLORITE["strength"], "at": AT - 90 * DAY}}
    fresh = advise(NO_CONSTANTS, change(LOW, "products", [stale, second]))
    assert fresh["product"] == "hypo-2"


def test_a_jug_that_two_products_share_gets_no_amount() -> None:
    shared = change(LOW, "products.1.jug", "red jug")
    assert refusal_ids(shared) == ["jug-shared"]
    drum = {**HYPOCHLORITE, "product": "hypo-2"}
    assert refusal_ids(change(LOW, "products", [HYPOCHLORITE, drum])) == []
    assert refusal_ids(change(change(LOW, "products.0.jug", ""), "products.1.jug", "")) == []


def test_a_salt_cell_pool_takes_only_hypochlorite() -> None:
    assert advise(NO_CONSTANTS, change(LOW, "feeder", "salt-cell"))["state"] == "add"
    granules = {
        **HYPOCHLORITE,
        "substance": "calcium-hypochlorite",
        "strength": {"value": "65", "unit": "percent-w-w", "at": AT},
    }
    request = change(change(LOW, "products", [granules]), "feeder", "salt-cell")
    assert refusal_ids(request) == ["other-chlorine-family"]


# --- water ----------------------------------------------------------------------------------

HIGH_PH = full(free_chlorine="1.5", total_chlorine="1.6", ph="8.0")


@pytest.mark.parametrize(
    ("values", "identity"),
    [
        ({"total_alkalinity": ""}, "alkalinity-missing"),
        ({"total_alkalinity": ">200"}, "alkalinity-missing"),
        ({"temperature_c": ""}, "temperature-missing"),
    ],
)
def test_acid_needs_alkalinity_and_temperature(values: dict[str, str], identity: str) -> None:
    merged = {"free_chlorine": "1.5", "total_chlorine": "1.6", "ph": "8.0", **values}
    assert identity in refusal_ids(full(**merged))


def test_borrowed_alkalinity_is_used_until_the_sites_limit_and_refused_after() -> None:
    request = full(free_chlorine="1.5", total_chlorine="1.6", ph="8.0", total_alkalinity="")
    old = before(reading("total_alkalinity", "100"), hours=7 * 24 + 1)
    assert refusal_ids(change(request, "case.history", [old])) == ["alkalinity-old"]


def test_borrowed_alkalinity_that_was_in_doubt_is_never_dosed_by() -> None:
    request = full(free_chlorine="1.5", total_chlorine="1.6", ph="8.0", total_alkalinity="")
    older = before(reading("total_alkalinity", "100"), hours=8)
    slip = before(reading("total_alkalinity", "1000"), hours=4) | {"doubtful": ["total_alkalinity"]}
    for history in ([slip], [older, slip]):
        assert refusal_ids(change(request, "case.history", history)) == ["alkalinity-missing"]


def test_acid_by_an_alkalinity_far_from_the_last_is_refused_until_it_is_repeated() -> None:
    request = full(free_chlorine="1.5", total_chlorine="1.6", ph="8.0", total_alkalinity="300")
    request = change(request, "case.history", [before(reading("total_alkalinity", "100"))])
    assert refusal_ids(request) == ["surprising-reading"]
    again = [*request["case"]["readings"], reading("total_alkalinity", "305")]
    assert advise(load_constants(), change(request, "case.readings", again))["state"] == "add"


@pytest.mark.parametrize("stabiliser", ["used", "unknown", None])
def test_acid_needs_stabiliser_where_it_may_be_in_the_water(stabiliser: str | None) -> None:
    request = change(HIGH_PH, "case.pool.stabiliser", stabiliser)
    assert refusal_ids(request) == ["stabiliser-missing"]


@pytest.mark.parametrize(
    ("values", "refused"),
    [
        ({"total_alkalinity": "5"}, False),
        ({"total_alkalinity": "4.9"}, True),
        ({"total_alkalinity": "0"}, True),
        ({"calcium_hardness": "1501"}, True),
        ({"salt": "20001"}, True),
    ],
)
def test_a_water_outside_the_tested_range_is_never_worked_out(
    values: dict[str, str], refused: bool
) -> None:
    ids = [entry["id"] for entry in advise(load_constants(), full(**values))["refusals"]]
    assert ("water-outside-range" in ids) is refused


@pytest.mark.parametrize("parameter", ["total_alkalinity", "cyanuric_acid"])
def test_acid_by_points_that_disagree_is_refused(parameter: str) -> None:
    rest = [row for row in HIGH_PH["case"]["readings"] if row["parameter"] != parameter]
    apart = [reading(parameter, "60", point="deep"), reading(parameter, "120", point="shallow")]
    request = change(HIGH_PH, "case.readings", [*rest, *apart])
    if parameter == "cyanuric_acid":
        request = change(request, "case.pool.stabiliser", "used")
    assert refusal_ids(request) == ["points-disagree"]


def test_acid_needs_the_salt_of_salt_water() -> None:
    assert refusal_ids(change(HIGH_PH, "case.pool.water", "salt")) == ["salt-missing"]


def test_chlorine_that_is_too_high_is_waited_for() -> None:
    answer = advise(NO_CONSTANTS, full(free_chlorine="2.5", total_chlorine="2.6"))
    assert answer["state"] == "wait"
    assert "amount" not in answer


def test_inside_the_targets_nothing_is_added() -> None:
    answer = advise(NO_CONSTANTS, full(free_chlorine="1.5", total_chlorine="1.6"))
    assert answer["state"] == "nothing"


def test_nothing_to_add_is_never_said_of_a_doubtful_round() -> None:
    doubtful = full(free_chlorine="1.52", total_chlorine="1.20")
    assert advise(NO_CONSTANTS, doubtful)["state"] == "refused"
    late = change(full(free_chlorine="1.5", total_chlorine="1.6"), "late", True)
    assert advise(NO_CONSTANTS, late)["state"] == "refused"


@pytest.mark.parametrize("parameter", ["total_alkalinity", "calcium_hardness"])
@pytest.mark.parametrize("value", ["<20", ">300"])
def test_nothing_to_add_is_never_said_of_a_number_out_of_the_tests_range(
    parameter: str, value: str
) -> None:
    answer = advise(
        NO_CONSTANTS, full(free_chlorine="1.5", total_chlorine="1.6", **{parameter: value})
    )
    assert answer["state"] == "refused"


@pytest.mark.parametrize(
    ("low", "high", "free", "state"),
    [
        ("0.5", "2.0", "0.70", "add"),  # inside the target, under the rules' 0.8
        ("1.0", "9.0", "3.20", "wait"),  # inside the target, over the rules' 3.0
    ],
)
def test_a_target_wider_than_the_rules_never_hides_a_broken_limit(
    low: str, high: str, free: str, state: str
) -> None:
    request = full(free_chlorine=free, total_chlorine=free, total_alkalinity="", temperature_c="")
    request = change(request, "targets.free_chlorine", {"low": low, "high": high})
    assert advise(NO_CONSTANTS, request)["state"] == state


# --- every key ------------------------------------------------------------------------------

OPTIONAL = {
    "case.purpose",
    "case.at",
    "case.history",
    "case.pool.location",  # only stabilised chlorine asks for it
    "case.pool.stabiliser",  # only acid, alkali and stabilised chlorine ask for it
    "case.pool.coagulant",  # unknown shows the caution
    "targets.total_alkalinity",
    "targets.calcium_hardness",
    "limits.free_chlorine",  # rules without such a limit
    "limits.ph",
    "volume.shared",
    "others",  # only an addition to the whole circuit asks for them
    "choice",
    "configured",
    "mixing_s",
    "dye_test",
    "ages.alkalinity_s",  # only acid and alkali ask for it
    "ages.stabiliser_s",
    "ages.stable_strength_s",
    "products.0.jug",
    "products.0.name",
    "products.0.product",
    "products.1",
    "products.2",
    "products.3",
    "products.4",
}


def paths_of(value: Any, path: str = "") -> Iterator[str]:
    """Name every key and list place of a request, readings apart."""
    if isinstance(value, dict):
        items: list[tuple[str, Any]] = list(value.items())
    elif isinstance(value, list) and not path.endswith(("readings", "approved", "shared")):
        items = [(str(index), item) for index, item in enumerate(value)]
    else:
        return
    for name, item in items:
        here = f"{path}.{name}" if path else name
        yield here
        yield from paths_of(item, here)


def required_paths() -> list[str]:
    return [
        path
        for path in paths_of(LOW)
        if not any(path == free or path.startswith(f"{free}.") for free in OPTIONAL)
    ]


def test_the_walk_finds_the_keys_that_matter() -> None:
    found = required_paths()
    assert len(found) > 35
    for path in ("volume.of", "questions.looked", "products.0.strength.at", "blocks", "limits"):
        assert path in found


@pytest.mark.parametrize("path", required_paths())
def test_every_missing_input_is_a_refusal(path: str) -> None:
    gone = advise(NO_CONSTANTS, without(LOW, path))
    assert gone["state"] == "refused"
    assert "amount" not in gone
    if path.rpartition(".")[2].isdigit():
        return
    null = advise(NO_CONSTANTS, change(LOW, path, None))
    assert "amount" not in null
    assert [entry["id"] for entry in null["refusals"]] == [
        entry["id"] for entry in gone["refusals"]
    ]


@pytest.mark.parametrize("path", sorted(OPTIONAL - {f"products.{n}" for n in (1, 2, 3, 4)}))
def test_what_is_optional_may_be_null_as_well_as_absent(path: str) -> None:
    assert advise(NO_CONSTANTS, without(LOW, path))["state"] == "add"
    assert advise(NO_CONSTANTS, change(LOW, path, None))["state"] == "add"


@pytest.mark.parametrize("parameter", ["free_chlorine", "ph"])
def test_a_missing_core_reading_is_a_refusal(parameter: str) -> None:
    rest = [row for row in LOW["case"]["readings"] if row["parameter"] != parameter]
    answer = advise(NO_CONSTANTS, change(LOW, "case.readings", rest))
    assert answer["state"] == "refused"
    assert "reading-missing" in [entry["id"] for entry in answer["refusals"]]


def test_an_empty_request_is_refused_and_never_raises() -> None:
    answer = advise(NO_CONSTANTS, {})
    assert answer["state"] == "refused"
    assert "amount" not in answer
