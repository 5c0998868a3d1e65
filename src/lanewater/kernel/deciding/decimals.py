"""Text as typed to scaled integers (thousandths) and back; no float ever decides."""

import math
from typing import Any

DIGITS = "0123456789"
DIGIT_VALUES = {
    "0": 0,
    "1": 1,
    "2": 2,
    "3": 3,
    "4": 4,
    "5": 5,
    "6": 6,
    "7": 7,
    "8": 8,
    "9": 9,
}


# What a number with so many decimals is multiplied by to be in thousandths.
SCALES = (1000, 100, 10)


def digit_value(character: str) -> int:
    """Give the value of one decimal digit, or -1 where it is none."""
    return DIGIT_VALUES.get(character, -1)


def relation_of(text: str) -> str:
    """Tell whether a reading is exact, above the range (">5.00") or below it ("<6.8")."""
    if len(text) > 0 and text[0] == ">":
        return "above"
    if len(text) > 0 and text[0] == "<":
        return "below"
    return "exact"


def thousandths(text: str) -> int:
    """Turn a decimal text into thousandths of its unit, exactly.

    A leading > or < is passed over (see relation_of). A comma is a decimal mark, except where
    three digits follow it: then it could part thousands, and the text is refused.

    Parameters
    ----------
    text : str
        Such as "1.52", "-0.3", ">5.00", "7,4". At most nine digits before the mark; beyond
        three after it only zeros.

    Returns
    -------
    int
        Thousandths of the unit.

    Raises
    ------
    ValueError
        Where the text is not one such number.
    """
    length = len(text)
    start = 0
    if length > 0 and (text[0] == ">" or text[0] == "<"):
        start = 1
    sign = 1
    if start < length and text[start] == "-":
        sign = -1
        start = start + 1
    number = 0
    whole_digits = 0
    fraction_digits = 0
    mark = ""
    for index in range(start, length):
        character = text[index]
        digit = DIGIT_VALUES.get(character, -1)
        if digit < 0:
            if (character != "." and character != ",") or mark != "" or whole_digits == 0:
                raise ValueError("not a number")
            mark = character
        elif mark == "":
            whole_digits = whole_digits + 1
            if whole_digits > 9:
                raise ValueError("not a number")
            number = number * 10 + digit
        else:
            fraction_digits = fraction_digits + 1
            if fraction_digits <= 3:
                number = number * 10 + digit
            elif digit != 0:
                raise ValueError("more than three decimals")
    if whole_digits == 0 or (mark != "" and fraction_digits == 0):
        raise ValueError("not a number")
    if mark == "," and fraction_digits == 3:
        raise ValueError("a comma before three digits can be read two ways")
    if fraction_digits < 3:
        number = number * SCALES[fraction_digits]
    return sign * number


def thousandths_of_float(value: float) -> int:
    """Turn a computed number into thousandths, by floor(1000 x + 0.5)."""
    return math.floor(1000.0 * value + 0.5)


def whole_text(number: int) -> str:
    """Write a whole number of zero or more in decimal digits."""
    if number == 0:
        return "0"
    text = ""
    rest = number
    while rest > 0:
        text = DIGITS[rest % 10] + text
        rest = rest // 10
    return text


def decimal_text(number: int) -> str:
    """Write thousandths as a decimal text, without needless zeros beyond two decimals.

    Parameters
    ----------
    number : int
        Thousandths of a unit.

    Returns
    -------
    str
        "0.16" for 160, "-0.24" for -240, "1.525" for 1525.
    """
    sign = ""
    rest = number
    if rest < 0:
        sign = "-"
        rest = -rest
    cents = (rest % 1000) // 10
    text = whole_text(rest // 1000) + "." + DIGITS[cents // 10] + DIGITS[cents % 10]
    if rest % 10 != 0:
        text = text + DIGITS[rest % 10]
    return sign + text


def reading_thousandths(reading: dict[str, Any]) -> int:
    """Give a reading in thousandths of its unit, with its dilution applied."""
    return thousandths(reading["value"]) * reading["dilution"]
