"""The text of the lanes: blocks of waters that step together, out of the kernel's own functions.

The step is the kernel's, inlined; nothing of it is written again here. A block holds its constants,
totals and states in one flat array, a row each, so that the loop over its lanes is the innermost
one and straight: that is what LLVM makes vector instructions of. The constants come as polynomials
of temperature, fitted to what the kernel says; exp and log are `closeexp`'s.
"""

from __future__ import annotations

from collections.abc import Sequence
from string import Template

from lanewater.fleet.sources import Flavour, one_module, water_sources
from lanewater.kernel.water.slots import C_ACTIVITY, C_SOLID

LANES = 32
TERMS = 13
# The polynomials reach from the coldest to the warmest. [deg C]
COLDEST, WARMEST = 0.0, 50.0
TOTALS = 10
STATE = 10
# A lane has settled where its last step went no further.
SETTLED = 2e-5
# No block is asked before so many steps whether it has settled, and none goes on after the most.
FEWEST = {"FROM_PH": 3, "FROM_CARBON": 4}
MOST_LANE_STEPS = 60

FAST = "error_model='numpy', fastmath={'contract', 'nsz', 'arcp'}"
INLINED = Flavour(
    f"numba.njit({FAST}, forceinline=True)",
    {"exp": "lane_exp", "log": "lane_log"},
)
BESIDE = ("closeexp", "lanestart")
ROOTS = ("closeexp", "lanestart", "saturation")

BLOCKS = Template("""
@numba.njit(cache=True, parallel=True, $fast)
def $name(table, given, temperatures, found, blocks):
    for block in numba.prange(blocks):
        first = block * $lanes
        z = np.empty($rows * $lanes)
        for row in $plain:
            for l in range($lanes):
                z[row * $lanes + l] = table[row * $terms]
        for row in $varied:
            $read_terms
            for l in range($lanes):
                x = (temperatures[first + l] - $middle) / $half
                z[row * $lanes + l] = $horner
        for l in range($lanes):
            $put_totals
        for l in range($lanes):
            c = $constants
            totals = $totals
            state = lane_start(c, totals, $start)
            $put_start
        for step in range($most):
            for l in range($lanes):
                state = next_state($constants, $totals, $mode, 0.0, $state)
                $put_state
            if step >= $fewest:
                moving = 0
                for l in range($lanes):
                    if not z[$moved * $lanes + l] < $settled:
                        moving += 1
                if moving == 0:
                    break
        for l in range($lanes):
            c = $constants
            totals = $totals
            state = $state
            ended = INCONSISTENT if $mode == FROM_PH and state[S_CARBONATE] == 0.0 else SOLVED
            found[0, first + l] = ended if state[S_MOVED] < $settled else NOT_CONVERGED
            found[1, first + l] = -state[S_LN_PROTON] / LN_10
            free = free_forms(c, totals, state)[0]
            found[3, first + l] = free * CHLORINE * MILLI
            found[4, first + l] = saturation_of_state(c, state) / LN_10
            found[2, first + l] = $carbon
""")


def lane_text(shape: Sequence[int]) -> str:
    """Write the whole module.

    Parameters
    ----------
    shape : sequence of int
        How many constants each group of `c` has.
    """
    kernel = one_module(water_sources(beside=BESIDE), ROOTS, INLINED)
    ways = {"FROM_PH": "readings_in_lanes", "FROM_CARBON": "totals_in_lanes"}
    return kernel + "".join(blocks_text(shape, mode, name) for mode, name in ways.items())


def blocks_text(shape: Sequence[int], mode: str, name: str) -> str:
    """Write one way of solving: from readings, or from totals."""
    constants = sum(shape)
    totals = at_lane(constants, TOTALS)
    state = at_lane(constants + TOTALS, STATE)
    from_ph = mode == "FROM_PH"
    columns = [f"given[{column}, first + l]" for column in range(TOTALS)]
    put_totals = put(totals, columns)
    if from_ph:
        put_totals = [f"row = given_totals({together(columns)})"]
        put_totals += put(totals, items("row", TOTALS))
    put_state = put(state, items("state", STATE))
    return BLOCKS.substitute(
        fast=FAST,
        name=name,
        mode=mode,
        lanes=LANES,
        rows=constants + TOTALS + STATE,
        moved=constants + TOTALS + STATE - 1,
        middle=(COLDEST + WARMEST) / 2,
        half=(WARMEST - COLDEST) / 2,
        most=MOST_LANE_STEPS,
        fewest=FEWEST[mode],
        settled=SETTLED,
        terms=TERMS,
        plain=plain_rows(shape),
        varied=tuple(row for row in range(constants) if row not in plain_rows(shape)),
        read_terms=lines([f"t{term} = table[row * {TERMS} + {term}]" for term in range(TERMS)], 12),
        horner=horner(),
        put_totals=lines(put_totals, 12),
        put_start=lines(put_state, 12),
        put_state=lines(put_state, 16),
        constants=grouped(shape),
        totals=together(totals),
        state=together(state),
        start=columns[0] if from_ph else "-1.0",
        carbon="carbon_of_state(c, state)" if from_ph else "totals[T_CARBON]",
    )


def at_lane(first: int, count: int) -> list[str]:
    """Write where a lane's values stand in the block."""
    return [f"z[{row * LANES} + l]" for row in range(first, first + count)]


def items(name: str, count: int) -> list[str]:
    """Write the items of a tuple."""
    return [f"{name}[{place}]" for place in range(count)]


def put(places: Sequence[str], values: Sequence[str]) -> list[str]:
    """Write an assignment for each."""
    return [f"{place} = {value}" for place, value in zip(places, values, strict=True)]


def together(parts: Sequence[str]) -> str:
    """Write a tuple."""
    return f"({', '.join(parts)})"


def lines(statements: Sequence[str], depth: int) -> str:
    """Write statements below each other."""
    return ("\n" + " " * depth).join(statements)


def grouped(shape: Sequence[int]) -> str:
    """Write the tuple of groups that the kernel takes as `c`."""
    starts = [sum(shape[:group]) for group in range(len(shape))]
    groups = zip(starts, shape, strict=True)
    return together([together(at_lane(start, count)) for start, count in groups])


def plain_rows(shape: Sequence[int]) -> tuple[int, ...]:
    """Name the constants that do not vary, or that no lane reads.

    Of the activity's group the slope alone varies; of the solids' the lanes read calcite alone.
    """
    solids = sum(shape[:C_SOLID])
    return (*range(1, shape[C_ACTIVITY]), *range(solids + 1, solids + shape[C_SOLID]))


def horner() -> str:
    """Write a polynomial of x in the terms t0, t1 and so on."""
    text = f"t{TERMS - 1}"
    for term in range(TERMS - 2, -1, -1):
        text = f"({text} * x + t{term})"
    return text
