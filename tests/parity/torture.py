"""Every construct of the kernel subset, at its edges. Translated as it stands, and run as it stands.

It is written in the subset and nowhere used but in tests.
"""

# ruff: noqa - odd constructs are what it is for

import math
from typing import Any

WHOLE = 7
BELOW = -2.5
PAIR = (3, -4)
NESTED = ((1, 2), ("a", None), (True, PAIR))
TABLE = {"__proto__": 1, "constructor": (2, 3), "": "empty", "key": {"inner": 4}}


# --- Arithmetic ------------------------------------------------------------------------------


def plus(a: Any, b: Any) -> Any:
    return a + b


def minus(a: Any, b: Any) -> Any:
    return a - b


def times(a: Any, b: Any) -> Any:
    return a * b


def over(a: Any, b: Any) -> Any:
    return a / b


def whole_over(a: Any, b: Any) -> Any:
    return a // b


def rest_of(a: Any, b: Any) -> Any:
    return a % b


def powers(a: Any) -> Any:
    return [a**0, a**1, a**2, a**3, -(a**2), (-a) ** 2]


def negative(a: Any) -> Any:
    return -a


def order_of_signs(a: Any, b: Any, c: Any) -> Any:
    return [
        a - b - c,
        a - (b - c),
        a + b * c - a / b,
        a // b * c,
        a * b // c,
        a % b * c,
        -a // b,
        -a % b,
        -(a // b),
        2 * -a,
        a - -b,
        (a + b) * c,
        a / b / c,
        a / (b / c),
    ]


def grown(a: Any, b: Any) -> Any:
    x = a
    x += b
    x -= 1
    x *= 3
    x //= 2
    x %= 7
    return x


def joined_text(a: Any, b: Any) -> Any:
    text = "<" + a
    text += b
    return text + ">"


def absolute(a: Any) -> Any:
    return abs(a)


def infinite(sign: int) -> float:
    return sign * 1e308 * 10


def no_number() -> float:
    return infinite(1) - infinite(1)


def with_odd_numbers(a: float) -> Any:
    big = infinite(1)
    nan = no_number()
    return [
        big > a,
        -big < a,
        nan == nan,
        nan < a,
        nan >= a,
        nan != a,
        big == big,
        a / big,
        min(nan, a) == a,
        min(a, nan) == a,
        max(nan, a) == a,
        max(a, nan) == a,
        math.isfinite(big),
        math.isfinite(nan),
        math.isfinite(a),
        math.exp(-big),
        math.exp(big),
        math.sqrt(big),
        math.log(big),
        abs(-big),
    ]


def floor_of_infinite() -> int:
    return math.floor(infinite(1))


def floor_of_no_number() -> int:
    return math.floor(no_number())


def logarithm(a: Any) -> Any:
    return math.log(a)


def logarithm_10(a: Any) -> Any:
    return math.log10(a)


def exponential(a: Any) -> Any:
    return math.exp(a)


def root(a: Any) -> Any:
    return math.sqrt(a)


def floored(a: Any) -> Any:
    return math.floor(a)


def finite(a: Any) -> Any:
    return math.isfinite(a)


# --- Comparing -------------------------------------------------------------------------------


def same(a: Any, b: Any) -> Any:
    return [a == b, a != b, not a == b, (a == b) == (b == a)]


def below(a: Any, b: Any) -> Any:
    return a < b


def at_most(a: Any, b: Any) -> Any:
    return a <= b


def above(a: Any, b: Any) -> Any:
    return a > b


def at_least(a: Any, b: Any) -> Any:
    return a >= b


def none_or_not(a: Any) -> Any:
    return [a is None, a is not None, not a is None]


def within(a: Any, b: Any) -> Any:
    return [a in b, a not in b]


def noted(log: list[Any], value: Any) -> Any:
    log.append(value)
    return value


def middle_once(low: Any, middle: Any, high: Any) -> Any:
    log: list[Any] = []
    answer = noted(log, low) < noted(log, middle) <= noted(log, high)
    return [answer, log]


def two_chains(a: Any, b: Any, c: Any) -> Any:
    return [a < b < c, a <= b > c, a > b >= c, (a < b < c) == (c > b > a)]


def chain_in_a_loop(rows: list[Any]) -> Any:
    found = []
    for row in rows:
        while row[0] < row[1] < row[2]:
            row = [row[0] + 1, row[1], row[2]]
            found.append(row[0])
    return found


def both_ways(a: bool, b: bool, c: bool) -> Any:
    return [
        a and b or c,
        a and (b or c),
        not a or b and not c,
        not (a or b) and c,
        (a and b) == c,
        not a == b,
    ]


def short(a: Any, b: Any, c: Any) -> Any:
    log: list[Any] = []
    first = noted(log, a) and noted(log, b) or noted(log, c)
    return [first, log]


def guarded(row: Any) -> Any:
    return row is not None and "x" in row and row["x"] > 1


def either(row: Any) -> Any:
    return row is None or row["x"] > 1


def chosen(a: Any, b: Any, c: Any) -> Any:
    return [
        a if b < c else b,
        (a if b < c else b) + 1,
        a if b < c else b + 1,
        a if b < c else b if c < a else c,
        1 if a == 1 else 2 if a == 2 else 3,
    ]


def choice_is_lazy(a: Any, b: Any) -> Any:
    return a / b if b != 0 else 0


def least(a: Any, b: Any, c: Any) -> Any:
    return [min(a, b), min(a, b, c), min([a, b, c])]


def most(a: Any, b: Any, c: Any) -> Any:
    return [max(a, b), max(a, b, c), max([a, b, c])]


def least_in(values: Any) -> Any:
    return min(values)


def most_in(values: Any) -> Any:
    return max(values)


def in_order(values: Any) -> Any:
    ordered = sorted(values)
    return [ordered, values]


# --- Lists, tuples, dicts, texts -------------------------------------------------------------


def taken(held: Any, index: Any) -> Any:
    return held[index]


def taken_twice(held: Any, index: Any, inner: Any) -> Any:
    return held[index][inner]


def stored(held: Any, index: Any, value: Any) -> Any:
    copy: Any = []
    if "list" in held:
        copy = [1, 2, 3]
    if "dict" in held:
        copy = {"a": 1, "b": 2}
    if "text" in held:
        copy = "abc"
    if "none" in held:
        copy = None
    if "constant" in held:
        copy = PAIR
    copy[index] = value
    return copy


def size_of(held: Any) -> Any:
    return len(held)


def asked(held: Any, key: Any) -> Any:
    return [held.get(key), held.get(key, "other"), held.get(key, None)]


def appended(held: Any, value: Any) -> Any:
    copy: Any = [0]
    if held is None:
        copy = None
    elif held == "text":
        copy = "text"
    elif held == "dict":
        copy = {"a": 1}
    elif held == "constant":
        copy = PAIR
    copy.append(value)
    return copy


def asked_before_arguments(held: Any) -> Any:
    held.append(1 // 0)
    return held


def got_before_arguments(held: Any) -> Any:
    return held.get(1 // 0)


def unpacked(row: Any) -> Any:
    first, second = row
    return [second, first]


def exchanged(a: Any, b: Any) -> Any:
    a, b = b, a
    x, y, z = (a, b, [a, b])
    return [a, b, x, y, z]


def walked(held: Any) -> Any:
    found = []
    for entry in held:
        found.append(entry)
    return found


def walked_pairs(held: Any) -> Any:
    found = []
    for key, value in held.items():
        found.append([key, value])
    for pair in held.items():
        found.append(pair[1])
    return found


def walked_rows(rows: Any) -> Any:
    total = 0
    for name, number in rows:
        total = total + number
        name = name + "!"
    return total


def growing_list(limit: int) -> Any:
    rows = [1]
    for row in rows:
        if len(rows) < limit:
            rows.append(row + 1)
    return rows


def growing_dict(limit: int) -> Any:
    rows = {"a": 1}
    count = 0
    for key in rows:
        count = count + 1
        if count <= limit:
            rows[key + "x"] = count
    return rows


def growing_pairs(limit: int) -> Any:
    rows = {"a": 1, "b": 2}
    count = 0
    for key, value in rows.items():
        count = count + value
        if count <= limit:
            rows[key + "x"] = count
    return rows


def changed_while_walked() -> Any:
    rows = {"a": 1, "b": 2}
    for key in rows:
        rows[key] = rows[key] * 10
    return rows


def keys_in_order(names: list[str]) -> Any:
    rows: dict[str, Any] = {}
    for name in names:
        rows[name] = rows.get(name, 0) + 1
    found = []
    for name in rows:
        found.append(name)
    return [found, rows]


def keyed_by(a: Any, b: Any) -> Any:
    rows: Any = {}
    rows[a] = "first"
    rows[b] = "second"
    return [len(rows), rows.get(a), a in rows, b in rows, rows[b]]


def displayed(key: Any, value: Any) -> Any:
    return {"before": [value], key: {"inner": (value, key)}, "after": None}


def shared_list(value: Any) -> Any:
    one: list[Any] = []
    other = one
    held = {"list": one}
    one.append(value)
    other.append(value)
    held["list"].append(value)
    return [one, other, held]


def constants(index: Any) -> Any:
    return [WHOLE, BELOW, PAIR[0] - PAIR[1], NESTED[index], TABLE.get("key"), NESTED[2][1][0]]


def table_of(key: Any) -> Any:
    return [TABLE.get(key, "none"), key in TABLE, len(TABLE)]


def characters_of(text: Any) -> Any:
    found = []
    for index in range(len(text)):
        found.append(text[index])
    for character in text:
        found.append(character)
    return found


def back_of(text: str) -> Any:
    return [text[-1], text[-len(text)]]


# --- Order of work ---------------------------------------------------------------------------


def order_of_sums(a: Any, b: Any) -> Any:
    log: list[Any] = []
    total = noted(log, a) + noted(log, b) * noted(log, 3)
    return [total, log]


def order_of_call(a: Any, b: Any) -> Any:
    log: list[Any] = []
    answer = minus(noted(log, a), noted(log, b))
    return [answer, log]


def order_of_displays(a: Any, b: Any) -> Any:
    log: list[Any] = []
    row = [noted(log, a), (noted(log, b), noted(log, a)), {"x": noted(log, 1), "y": noted(log, 2)}]
    table = {noted(log, "k"): noted(log, "v"), noted(log, "l"): noted(log, "w")}
    return [row, table, log]


def order_of_store(a: Any, b: Any) -> Any:
    log: list[Any] = []
    rows = [0, 0, 0, 0]
    rows[noted(log, a)] = noted(log, b)
    rows[noted(log, 3)] = rows[noted(log, a)] + 1
    return [rows, log]


def order_of_augmented(a: Any, b: Any) -> Any:
    log: list[Any] = []
    rows = [10, 20, 30]
    rows[noted(log, a)] += noted(log, b)
    rows[noted(log, -1)] *= rows[noted(log, a)]
    return [rows, log]


def raised_to(rows: list[Any], value: Any) -> Any:
    rows[0] = value
    return value


def augmented_reads_first(value: Any) -> Any:
    rows = [1]
    rows[0] += raised_to(rows, value)
    total = rows[0]
    total += total
    return [rows, total]


def augmented_dict(key: str) -> Any:
    rows = {"a": {"n": 1}, "b": {"n": 2}}
    rows[key]["n"] += 5
    rows[key]["n"] -= 1
    return rows


def middle_is_read_once(rows: list[Any]) -> Any:
    log: list[Any] = []
    return [rows[noted(log, 0)] <= rows[noted(log, 1)] < rows[noted(log, 2)], log]


# --- Statements ------------------------------------------------------------------------------


def counted(start: Any, end: Any) -> Any:
    found = []
    for number in range(start, end):
        found.append(number)
    return found


def counted_to(end: Any) -> Any:
    last = -1
    for number in range(end):
        last = number
        number = 99
    return last


def counted_in_steps(start: int, end: int) -> Any:
    found = []
    for number in range(start, end, 3):
        found.append(number)
    for number in range(end, start, -2):
        found.append(number)
    for number in range(start, end, 1):
        found.append(number)
    return found


def end_is_read_once(end: int) -> Any:
    log: list[Any] = []
    for number in range(noted(log, end)):
        end = 0
        log.append(number)
    return [log, end]


def variable_after_loop(rows: list[Any]) -> Any:
    last = None
    index = -5
    for index in range(len(rows)):
        last = rows[index]
    for last in rows:
        pass
    return [index, last]


def broken_off(rows: list[Any], limit: Any) -> Any:
    seen = []
    for row in rows:
        if row == 0:
            continue
        for inner in range(row):
            if inner == limit:
                break
            seen.append(inner)
        if row > 5:
            break
        seen.append(row * 100)
    return seen


def while_it_lasts(number: int) -> Any:
    turns = 0
    while True:
        turns = turns + 1
        if number == 1:
            break
        if number % 2 == 0:
            number = number // 2
            continue
        number = 3 * number + 1
    while turns > 100:
        turns -= 100
    return turns


def one_of_many(a: Any) -> Any:
    if a == 1:
        found = "one"
    elif a == 2:
        found = "two"
    elif a is None:
        return None
    else:
        if a == 3:
            return "three"
        found = "many"
    return found


def falls_off(a: Any) -> None:
    if a == 1:
        return


def bare_return(a: Any) -> None:
    if a == 1:
        return
    raise ValueError("a 'text' with \"marks\", \\ and \n a line")


def raises(a: Any) -> Any:
    if a == 0:
        raise ValueError("zero")
    return a


def called_for_itself(a: Any) -> Any:
    raises(a)
    return "went on"


def factorial(n: int) -> int:
    if n <= 1:
        return 1
    return n * factorial(n - 1)


def with_docstring() -> str:
    """A text that says what it is."""
    return 'quote " and \\ and \n and \x00 and \u2028 and é and \U0001f3ca'


def odd_names(new: Any, default: Any, arguments: Any, eval: Any, let: Any) -> Any:
    var = new
    function = default
    this = arguments
    typeof = eval
    static = let
    undefined = 1
    Map = 2
    Array = 3
    Object = 4
    of = 5
    get = 6
    set = 7
    prototype = 8
    constructor = 9
    globalThis = 10
    NaN = 11
    Infinity = 12
    switch = {"void": 13}
    yields = 0
    void = ""
    for case in [14]:
        yields = case
    for void, delete in switch.items():
        yields = yields + delete
    new += 1
    names = [var, function, this, typeof, static, undefined, Map, Array, Object, of, get, set]
    return [names, prototype, constructor, globalThis, NaN, Infinity, yields, new, void]


def argument_set_again(a: Any, b: Any) -> Any:
    a = a + 1
    b = a
    a = b * 2
    return [a, b]
