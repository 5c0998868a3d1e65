"""When something was tested or done, as schedules ask: by hand or by a controller, and how often.

"read" of a pool's facts gives for each parameter the instants at which it was read, "round" those
of its rounds; "duties_done" what people said of duties. Instants are UTC milliseconds there and
UTC seconds here.
"""

from typing import Any

from lanewater.kernel.deciding.comparing import OF_THE_LABORATORY
from lanewater.kernel.deciding.opendays import local_day

SECOND_MS = 1000
# Readings of one test lie within so long of each other. JUDG.
ONE_TEST_SECONDS = 3600
# A test repeated sooner is no other test of the day. JUDG.
APART_SECONDS = 1800
READ_KEPT = 4
READ_KEPT_MS = 259200000
READ_MOST = 64
CONTROLLER_READS = {"free_chlorine": "controller_free", "ph": "controller_ph"}
# What shows that a duty was done, besides somebody saying so: all of these, or any of those.
DUTY_READINGS = {
    "balance": ("total_alkalinity", "calcium_hardness"),
    "stabiliser": ("cyanuric_acid",),
}
DUTY_SAMPLES = {
    "microbiology": OF_THE_LABORATORY,
}


def times_merged(first: list[int], second: list[int]) -> list[int]:
    """Give the instants of both lists, each once, in order."""
    found: list[int] = []
    both: list[int] = []
    for one in first:
        both.append(one)
    for one in second:
        both.append(one)
    for one in sorted(both):
        if len(found) == 0 or found[len(found) - 1] != one:
            found.append(one)
    return found


def times_kept(times: list[int]) -> list[int]:
    """Give the instants that schedules may still ask for: the last few, and those of three days.

    Which are kept does not depend on the order in which they came.
    """
    found: list[int] = []
    for index in range(len(times)):
        left = len(times) - index
        recent = times[len(times) - 1] - times[index] <= READ_KEPT_MS
        if left <= READ_KEPT or (recent and left <= READ_MOST):
            found.append(times[index])
    return found


def read_with(read: dict[str, list[int]], parameters: list[str], at: int) -> dict[str, list[int]]:
    """Give when each parameter was read once one more round is taken in.

    Parameters
    ----------
    read : dict
        Instants by parameter, in order. [UTC ms]
    parameters : list of str
        What the round read.
    at : int
        When. [UTC ms]
    """
    found = {}
    for parameter, times in read.items():
        found[parameter] = times
    for parameter in parameters:
        found[parameter] = times_kept(times_merged(found.get(parameter, []), [at]))
    return found


def when_read(facts: dict[str, Any], parameter: str, by: str) -> list[int]:
    """Give when a parameter was read. [UTC s]

    Parameters
    ----------
    facts : dict
        The pool's.
    parameter : str
        Parameter id, or "round"; combined chlorine is read where free and total chlorine are.
    by : str
        "hand": what a controller shows does not count; "any": it does.
    """
    read: dict[str, list[int]] = facts["read"]
    times = read.get(parameter, [])
    if by == "any" and parameter in CONTROLLER_READS:
        times = times_merged(times, read.get(CONTROLLER_READS[parameter], []))
    found: list[int] = []
    for at in times:
        found.append(at // SECOND_MS)
    if parameter == "combined_chlorine":
        free = when_read(facts, "free_chlorine", "hand")
        for at in when_read(facts, "total_chlorine", "hand"):
            if any_between(free, at - ONE_TEST_SECONDS, at + ONE_TEST_SECONDS):
                found.append(at)
        return times_merged(found, [])
    return found


def any_between(times: list[int], start: int, end: int) -> bool:
    """Tell whether an instant lies between two, both included."""
    for at in times:
        if start <= at <= end:
            return True
    return False


def reads_wanted(schedule: dict[str, Any]) -> list[list[str]]:
    """Give what must be read for a schedule: of each list one parameter; empty for none."""
    found: list[list[str]] = []
    duty = schedule["duty"]
    if duty in DUTY_READINGS:
        for parameter in DUTY_READINGS[duty]:
            found.append([parameter])
    elif duty in DUTY_SAMPLES:
        found.append(names_listed(DUTY_SAMPLES[duty]))
    elif duty == "":
        for parameter in schedule["test"]:
            found.append([parameter])
    return found


def names_listed(names: tuple[str, ...]) -> list[str]:
    """Give names as a list."""
    found: list[str] = []
    for name in names:
        found.append(name)
    return found


def times_of_any(facts: dict[str, Any], parameters: list[str], by: str) -> list[int]:
    """Give when any of some parameters was read. [UTC s]"""
    found: list[int] = []
    for parameter in parameters:
        found = times_merged(found, when_read(facts, parameter, by))
    return found


def duty_said_done(facts: dict[str, Any], schedule: dict[str, Any]) -> list[int]:
    """Give when somebody said of a schedule that it was done, or was not needed. [UTC s]"""
    found: list[int] = []
    for row in facts["duties_done"]:
        if row["duty"] == schedule["id"] and row["answer"] != "not-done":
            found.append(row["at"] // SECOND_MS)
    return times_merged(found, [])


def read_within(facts: dict[str, Any], schedule: dict[str, Any], start: int, end: int) -> bool:
    """Tell whether all that a schedule asks was done between two instants, both included."""
    if any_between(duty_said_done(facts, schedule), start, end):
        return True
    wanted = reads_wanted(schedule)
    for parameters in wanted:
        if not any_between(times_of_any(facts, parameters, schedule["by"]), start, end):
            return False
    return len(wanted) > 0


def met_times(facts: dict[str, Any], schedule: dict[str, Any]) -> list[int]:
    """Give when all that a schedule asks had been done, oldest first. [UTC s]"""
    found = duty_said_done(facts, schedule)
    lists = []
    every: list[int] = []
    for parameters in reads_wanted(schedule):
        times = times_of_any(facts, parameters, schedule["by"])
        lists.append(times)
        every = times_merged(every, times)
    for at in every:
        whole = True
        for times in lists:
            if not any_between(times, at - ONE_TEST_SECONDS, at):
                whole = False
        if whole:
            found.append(at)
    return times_merged(found, [])


def counted_apart(times: list[int]) -> int:
    """Count tests, one that is repeated within half an hour as one."""
    found = 0
    last = 0
    for at in times:
        if found == 0 or at - last >= APART_SECONDS:
            found = found + 1
            last = at
    return found


def last_counted(facts: dict[str, Any], schedule: dict[str, Any], until: int) -> int | None:
    """Give the last time, up to an instant, at which a schedule was met, None for never. [UTC s]

    What came sooner after the one before than the schedule's least spacing does not count.
    """
    found: int | None = None
    offsets = facts["offsets"]
    for at in met_times(facts, schedule):
        if at > until:
            return found
        if found is None:
            found = at
        elif local_day(offsets, at) - local_day(offsets, found) >= schedule["spacing_days"]:
            found = at
    return found
