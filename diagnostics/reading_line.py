"""Reads one line of typing: a quantity, and the measuring point where it is another than usual.

`12.31 V`, `5.3mV @ fuse 14`, `fuse 14 5.3 mV`. What the quantity may look like is in shared/quantities.py.
Nothing is guessed: a line that can be read in two ways is answered with a question.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from shared.numerals import plain
from shared.quantities import LONGEST_TEXT, Quantity, Question, example, read_quantity
from shared.units import NoSuchValue, convert, inverts, same_kind
from shared.wording import quantity_text

OVER_RANGE = "over range"

# A point before the number starts with a letter, and the unit is typed out: "fuse 14" alone is no reading.
_POINT_FIRST = re.compile(
    r"^(?P<point>[^\W\d_][^@]*?)[\s,:]+(?P<rest>[+-]?(?:[0-9][0-9.,]*|[.,][0-9]+)\s*[^\d\s].*)$"
)
# These begin a quantity, so no point is looked for in front of it.
_BEGINS_QUANTITY = re.compile(
    r"^(?:o\.?\s?l\b|o/l|over|under|above|below|less|more|greater|at most|at least|minus)", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Entry:
    """One line as it was understood.

    `value` is the number that stands for the reading, None where no number can. `observation` says what
    the instrument showed where that is more than a number. `resolution` is the step of the last digit.
    """

    typed: str
    value: Decimal | None
    unit: str
    point: str = ""
    observation: str = ""
    resolution: Decimal | None = None


def read_line(
    text: str,
    *,
    unit: str = "",
    point: str = "",
    lo: Decimal | None = None,
    hi: Decimal | None = None,
    limit_unit: str = "",
    decimal_comma: bool | None = None,
    sure: bool = False,
) -> Entry:
    """Return the reading that one typed line says.

    Parameters
    ----------
    text : str
        A quantity. The measuring point, where it is another than usual, stands behind an `@` or before
        the number.
    unit : str
        The unit of the test, taken where none is typed; empty where the test has none.
    point : str
        The usual measuring point, taken where none is typed.
    lo, hi : Decimal, optional
        The limits. [limit_unit, or unit without one]
    decimal_comma, sure
        As in `read_quantity`.

    Returns
    -------
    Entry
        The value with the digits as typed, in the unit as typed. Over range has no value and says so
        in `observation`. A bound (`< 0.1`) is the value only where it settles on which side of the limits
        the reading lies; else there is none. Of a range the end nearest to the limits is the value, or
        without limits its middle, which is its best estimate (JCGM 100:2008 4.3.7, from memory).

    Raises
    ------
    Question
        If there is no finite number, the unit is missing, unknown or of another kind than the test's,
        the marks can be read in two ways, the size cannot be or is likely a slip, or a limit lies inside
        a range.
    """
    typed = " ".join(text.split())
    body, at_sign, named = (part.strip() for part in typed.partition("@"))
    if at_sign and not named:
        raise Question("point_missing", "Which point? Write it after the @, as in 5.3 mV @ fuse 14.")
    if len(body) > LONGEST_TEXT or len(named) > LONGEST_TEXT:
        raise Question("too_long", f"A reading or a point has at most {LONGEST_TEXT} characters.")
    where, line = named or point, plain(body)
    if not named and not _BEGINS_QUANTITY.match(line) and (leading := _POINT_FIRST.match(line)):
        where, line = leading["point"], leading["rest"]
    if not line:
        raise Question("empty", f"What did the instrument show? {example(unit)}")
    try:
        found = read_quantity(
            line, unit=unit, lo=lo, hi=hi, limit_unit=limit_unit, decimal_comma=decimal_comma, sure=sure
        )
        value = stands_for(found, lo, hi, limit_unit or unit)
    except Question as question:
        raise _with_point(question, "" if where == point else where) from None
    return Entry(body, value, found.unit, where, shown(found), found.resolution)


def _with_point(question: Question, point: str) -> Question:
    """The same question; the readings it offers keep the point that was typed."""
    if not point or not question.suggestions:
        return question
    offers = tuple(f"{offer} @ {point}" for offer in question.suggestions)
    return Question(question.code, str(question), offers, can_confirm=question.can_confirm)


def shown(quantity: Quantity) -> str:
    """Return what the instrument showed where that is more than a number: "less than 0.1 Ω"."""
    if quantity.form == "plain":
        return ""
    if quantity.value is None:
        return OVER_RANGE
    if quantity.low is not None and quantity.high is not None:
        return f"{quantity.low:f} to {quantity_text(quantity.high, quantity.unit)}"
    number = quantity_text(quantity.value, quantity.unit)
    if quantity.tolerance is not None:
        return f"{number} ± {quantity_text(quantity.tolerance, quantity.unit)}"
    return f"{'less' if quantity.form == 'less than' else 'more'} than {number}"


def _limits_in(
    unit: str, lo: Decimal | None, hi: Decimal | None, limit_unit: str
) -> tuple[Decimal | None, Decimal | None]:
    """The limits in the unit of the reading; none where they are of another kind."""
    if not same_kind(unit, limit_unit):
        return None, None
    first, second = (_in_unit(limit, limit_unit, unit) for limit in (lo, hi))
    return (second, first) if inverts(unit, limit_unit) else (first, second)


def _in_unit(limit: Decimal | None, unit: str, to: str) -> Decimal | None:
    try:
        return None if limit is None else convert(limit, unit, to)
    except NoSuchValue:
        return None


def stands_for(
    found: Quantity, lo: Decimal | None, hi: Decimal | None, limit_unit: str = ""
) -> Decimal | None:
    """Return the number that stands for a quantity beside its limits, as `read_line` says; None if none can.

    Raises
    ------
    Question
        If a limit lies inside a range.
    """
    lo, hi = _limits_in(found.unit, lo, hi, limit_unit or found.unit)
    if found.form == "less than":
        return found.value if _settles_less(found.value, lo, hi) else None
    if found.form == "greater than":
        return found.value if _settles_more(found.value, lo, hi) else None
    if found.low is not None and found.high is not None:
        return _end_that_counts(found, found.low, found.high, lo, hi)
    return found.value


def _settles_less(bound: Decimal | None, lo: Decimal | None, hi: Decimal | None) -> bool:
    """Whether every value below the bound lies on the side of the limits on which the bound lies."""
    assert bound is not None
    return (lo is None and hi is not None and bound <= hi) or (lo is not None and bound < lo)


def _settles_more(bound: Decimal | None, lo: Decimal | None, hi: Decimal | None) -> bool:
    assert bound is not None
    return (hi is None and lo is not None and bound >= lo) or (hi is not None and bound > hi)


def _end_that_counts(
    found: Quantity, low: Decimal, high: Decimal, lo: Decimal | None, hi: Decimal | None
) -> Decimal | None:
    """The end of a range that is nearest to a limit, whichever side both ends lie on."""
    limits = [limit for limit in (lo, hi) if limit is not None]
    if not limits:
        return found.value
    if any(low < limit < high for limit in limits) or _side(low, lo, hi) != _side(high, lo, hi):
        raise Question(
            "range_across_limit",
            f"A limit lies between {low:f} and {high:f} {found.unit}. Which value counts?",
            (f"{low} {found.unit}", f"{high} {found.unit}"),
        )
    return min((low, high), key=lambda end: min(abs(end - limit) for limit in limits))


def _side(value: Decimal, lo: Decimal | None, hi: Decimal | None) -> int:
    return -1 if lo is not None and value < lo else 1 if hi is not None and value > hi else 0
