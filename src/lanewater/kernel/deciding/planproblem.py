"""From a request to the numeric problem: the water it starts from, its bands and its products."""

from typing import Any

from lanewater.kernel.deciding.amounts import (
    MICROGRAMS_A_GRAM,
    caustic_of,
    dose_of,
    product_index,
    water_tuple,
)
from lanewater.kernel.deciding.asking import (
    UNKNOWN,
    items_in,
    number_in,
    part,
    refusal,
    said_yes,
    whole_in,
    word_in,
)
from lanewater.kernel.deciding.planbands import band_rows, planned_bands, wanted_of
from lanewater.kernel.deciding.planneeds import (
    dilution_wanted,
    fresh_water_known,
    left_out,
    not_planned,
    products_for,
    purposes_wanted,
    side_in,
)
from lanewater.kernel.deciding.planrows import (
    MOVED_BY,
    fresh_row,
    halves_wanted,
    price_in,
    row_of,
    typical_need,
    unit_size,
)
from lanewater.kernel.deciding.planwater import SUMMED, water_shown
from lanewater.kernel.deciding.portion import place_of, reading_for
from lanewater.kernel.deciding.steps import step_to
from lanewater.kernel.deciding.strengths import strength_divisor
from lanewater.kernel.deciding.tries import number_of
from lanewater.kernel.deciding.waterknown import (
    W_TEMPERATURE,
    WATER_ORDER,
    aged_error,
    borrowed_refusal,
    water_numbers,
)
from lanewater.kernel.water.additions import add_product
from lanewater.kernel.water.equilibrium import totals_of_reading
from lanewater.kernel.water.planningslots import R_GROUP
from lanewater.kernel.water.slots import SOLVED
from lanewater.kernel.water.units import mol_of_product

# Where pH is not over its band, acid waits for bicarbonate: before it, the water holds pH least.
LATE_ACID = 4.5
NOTHING_IN_IT = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


def product_named(request: dict[str, Any], identity: str) -> dict[str, Any]:
    """Give a product on the list by its id, empty where it is not there."""
    for product in items_in(request, "products"):
        if word_in(product, "product") == identity:
            found: dict[str, Any] = product
            return found
    return {}


def plan_start(
    k: tuple[float, ...], request: dict[str, Any], case: dict[str, Any], first: dict[str, Any]
) -> dict[str, Any]:
    """Give the water that a plan starts from: as it was read, or after the advice's first step.

    Parameters
    ----------
    k, request, case : tuple, dict, dict
        The constants, what was asked, and its case.
    first : dict
        What the one-step advice says to add now, empty where nothing.

    Returns
    -------
    dict
        {"known", "temperature_c", "totals"}.
    """
    numbers = water_numbers(request, case)
    adding = "amount" in first
    if adding:
        wanted = step_to(first["purpose"], first["parameter"])
        numbers[place_of(first["parameter"])] = number_of(reading_for(request, case, wanted))
    status, totals = totals_of_reading(k, water_tuple(numbers))
    if status != SOLVED:
        return {"known": False}
    if adding:
        product = product_named(request, first["product"])
        volume = number_in(part(request, "volume"), "m3")
        dose = dose_of(first["amount"], volume, strength_divisor(product))
        index = product_index(product["substance"])
        mol_l = mol_of_product(index, dose / MICROGRAMS_A_GRAM / 1000)
        totals = add_product(totals, index, mol_l, caustic_of(product) / 1000)
    return {"known": True, "temperature_c": numbers[W_TEMPERATURE] / 1000, "totals": totals}


def fill_of(k: tuple[float, ...], request: dict[str, Any]) -> dict[str, Any]:
    """Give the totals of the fill water; "known" is False where it is not known well enough."""
    if not fresh_water_known(request):
        return {"known": False, "totals": NOTHING_IN_IT}
    fill = part(request, "fresh_water")
    numbers = []
    for parameter in WATER_ORDER:
        numbers.append(max(number_in(fill, parameter), 0))
    status, totals = totals_of_reading(k, water_tuple(numbers))
    if status != SOLVED:
        return {"known": False, "totals": NOTHING_IN_IT}
    return {"known": True, "totals": totals}


def untested_of(request: dict[str, Any], case: dict[str, Any]) -> list[str]:
    """Name the figures that were not tested, or so long ago that they count as missing."""
    found = []
    for parameter in SUMMED:
        if len(borrowed_refusal(request, case, parameter, parameter)) > 0:
            found.append(parameter)
    if "calcium_hardness" in found or "total_alkalinity" in found:
        found.append("saturation_index")
    return found


def errors_of(request: dict[str, Any], case: dict[str, Any]) -> dict[str, Any]:
    """Give the 95 % error of every number of the water, grown with its age, in thousandths."""
    errors: dict[str, Any] = {}
    for parameter in WATER_ORDER:
        errors[parameter] = aged_error(request, case, parameter)
    return errors


def need_of(bands: list[dict[str, Any]], purpose: str) -> int:
    """Give about how far a purpose has to move its figure, in thousandths; 0 where not known."""
    for entry in bands:
        if entry["parameter"] == MOVED_BY[purpose] and entry["now"] is not None:
            if entry["low"] is not None and entry["high"] is not None:
                need: int = abs((entry["low"] + entry["high"]) // 2 - entry["now"])
                return need
    return 0


def gather(
    request: dict[str, Any],
    case: dict[str, Any],
    bands: list[dict[str, Any]],
    water: dict[str, Any],
    fresh: bool,
    first: dict[str, Any],
) -> dict[str, Any]:
    """Gather the products of every purpose that the water asks for or a step may bring about.

    Returns
    -------
    dict
        {"rows", "left_out", "purposes": those that have a product, "fed": those that only a
        feeder could serve}.
    """
    volume = number_in(part(request, "volume"), "m3")
    found: list[dict[str, Any]] = []
    out: list[dict[str, Any]] = []
    fed: list[str] = []
    for purpose in purposes_wanted(bands, fresh):
        serving = products_for(request, case, purpose)
        for entry in serving["left_out"]:
            out.append(entry)
        if len(serving["feed"]) > 0 and len(serving["products"]) == 0:
            fed.append(purpose)
        for product in serving["products"]:
            need = typical_need(purpose, need_of(bands, purpose), fresh)
            size = unit_size(product, purpose, water, need, volume)
            if size > 0:
                late = side_in(bands, "ph") != "high"
                found.append({"product": product, "purpose": purpose, "size": size, "late": late})
            else:
                out.append(left_out(product, purpose, not_measurable(product)))
    for entry in not_planned(request):
        out.append(entry)
    rows = written_rows(request, found, first)
    if fresh:
        rows.append(fresh_row(volume, dilution_wanted(bands), halves_wanted(request)))
    purposes: list[str] = []
    for row in rows:
        purposes.append(row["purpose"])
    return {"rows": rows, "left_out": out, "purposes": purposes, "fed": fed}


def not_measurable(product: dict[str, Any]) -> dict[str, Any]:
    """Refuse a scoop from which no amount of this product can be told."""
    return refusal(
        "scoop-not-measurable",
        "What the scoop of " + word_in(product, "name") + " holds cannot be told.",
        "State g for a solid, mL for a liquid, or the density.",
    )


def written_rows(
    request: dict[str, Any], found: list[dict[str, Any]], first: dict[str, Any]
) -> list[dict[str, Any]]:
    """Write the gathered products as rows; by price only where every one of them has a price."""
    volume = number_in(part(request, "volume"), "m3")
    halves = halves_wanted(request)
    priced = True
    for entry in found:
        if price_in(entry["product"]) == UNKNOWN:
            priced = False
    rows = []
    for entry in found:
        product = entry["product"]
        used = 0
        if word_in(first, "product") == word_in(product, "product"):
            used = whole_in(first, "amount")
        purpose = entry["purpose"]
        row = row_of(product, purpose, entry["size"], volume, priced, max(used, 0), halves)
        row["late"] = entry["late"]
        if entry["late"] and purpose == "lower-ph":
            row["numbers"][R_GROUP] = LATE_ACID
        rows.append(row)
    return rows


def unserved(bands: list[dict[str, Any]], gathered: dict[str, Any]) -> list[dict[str, Any]]:
    """Give what the water asks for that nothing at hand brings about, and why."""
    found = []
    for entry in bands:
        purpose = wanted_of(entry)
        if purpose != "" and purpose not in gathered["purposes"]:
            why = "no-product"
            if purpose == "dilute":
                why = "fresh-water-not-known"
            elif purpose == "lower-chlorine":
                why = "let-chlorine-fall"
            elif purpose in gathered["fed"]:
                why = "feeder-only"
            found.append({"parameter": entry["parameter"], "purpose": purpose, "id": why})
    return found


def flat_rows(table: list[dict[str, Any]]) -> list[float]:
    """Write the products as the numeric planner takes them."""
    rows: list[float] = []
    for row in table:
        for number in row["numbers"]:
            rows.append(number)
    return rows


def problem_of(
    k: tuple[float, ...], request: dict[str, Any], case: dict[str, Any], first: dict[str, Any]
) -> dict[str, Any]:
    """Write the numeric problem of a request that nothing stands against.

    Returns
    -------
    dict
        {"known": False} where the readings cannot all be right; else {"known", "temperature_c",
        "totals", "fill", "rows", "bands", "open_bands", "loose_bands": as the numeric planner takes
        them, and "table", "targets", "water", "errors", "left_out", "unserved" for its answer}.
    """
    start = plan_start(k, request, case, first)
    if not start["known"]:
        return {"known": False}
    water = water_shown(k, start["temperature_c"], start["totals"])
    if not water["known"]:
        return {"known": False}
    errors = errors_of(request, case)
    bands = planned_bands(request, water, errors, untested_of(request, case))
    fill = fill_of(k, request)
    fresh: bool = dilution_wanted(bands) != "" and fill["known"]
    gathered = gather(request, case, bands, water, fresh, first)
    purposes: list[str] = gathered["purposes"]
    return {
        "known": True,
        "temperature_c": start["temperature_c"],
        "totals": start["totals"],
        "fill": fill["totals"],
        "rows": flat_rows(gathered["rows"]),
        "bands": band_rows(request, bands, errors, purposes, 0),
        "open_bands": band_rows(request, bands, errors, purposes, 1),
        "loose_bands": band_rows(request, bands, errors, purposes, 2),
        "table": gathered["rows"],
        "targets": bands,
        "water": water,
        "errors": errors,
        "left_out": gathered["left_out"],
        "now": said_yes(request, "stateless"),
        "unserved": unserved(bands, gathered),
    }
