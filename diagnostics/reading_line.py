"""Reads one line of typing: `12.31 V`, `12,31`, `5.3mV @ fuse 14`, `fuse 14 5.3 mV`, `4k7`, `OL`.

Nothing is guessed: a line that can be read in two ways is answered with a question.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from shared.units import find_unit, same_kind

LONGEST_LINE = 64
LONGEST_NUMBER = 40
OVER_RANGE = "over range"

_NUMBER = re.compile(r"^(?P<sign>[+-]?)\s*(?P<digits>[0-9][0-9.,]*|[.,][0-9]+)\s*(?P<unit>.*)$", re.DOTALL)
# The letter stands in the place of the decimal point: 4k7 is 4.7 kΩ. IEC 60062:2016, clause 4. From memory.
_LETTER_AS_POINT = re.compile(r"^(?P<whole>[0-9]+)(?P<letter>[RrkKM])(?P<part>[0-9]+)$")
# A point before the number starts with a letter, and the unit is typed out: "fuse 14" alone is no reading.
_POINT_FIRST = re.compile(
    r"^(?P<point>[^\W\d_][^@]*?)[\s,:]+(?P<rest>[+-]?(?:[0-9][0-9.,]*|[.,][0-9]+)\s*[^\d\s].*)$"
)
_LETTER_UNITS = {"R": "Ω", "r": "Ω", "k": "kΩ", "K": "kΩ", "M": "MΩ"}
_OVER_RANGE = re.compile(
    r"^(o\.?\s?l\.?|o/l|over[\s-]?range|over[\s-]?limit|over[\s-]?load|∞)$", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Entry:
    """One line as it was understood. `value` is None where the instrument showed over range."""

    typed: str
    value: Decimal | None
    unit: str
    point: str = ""
    observation: str = ""


class UnclearReading(ValueError):
    """A line that cannot be read. The text asks for what is missing; `code` names it."""

    def __init__(self, code: str, text: str) -> None:
        self.code = code
        super().__init__(text)


def read_line(text: str, *, unit: str = "", point: str = "") -> Entry:
    """Return the reading that one typed line says.

    Parameters
    ----------
    text : str
        A number with a decimal point or comma, then its unit. The measuring point, where it is another
        than usual, stands behind an `@` or before the number. "OL" or "over range" in the place of the
        number.
    unit : str
        The unit of the test, taken where none is typed; empty where the test has none.
    point : str
        The usual measuring point, taken where none is typed.

    Returns
    -------
    Entry
        The value with the digits as typed, in the unit as typed. Over range has no value and says so
        in `observation`.

    Raises
    ------
    UnclearReading
        If there is no finite number, the unit is missing, unknown or of another kind than the test's,
        or a comma may be a decimal comma or part thousands.
    """
    typed = " ".join(text.split())
    body, at_sign, named = (part.strip() for part in typed.partition("@"))
    if at_sign and not named:
        raise UnclearReading("point_missing", "Which point? Write it after the @, as in 5.3 mV @ fuse 14.")
    if len(body) > LONGEST_LINE or len(named) > LONGEST_LINE:
        raise UnclearReading("too_long", f"A reading or a point has at most {LONGEST_LINE} characters.")
    where = named or point
    if not body:
        raise UnclearReading("empty", f"What did the instrument show? {_example(unit)}")
    if _OVER_RANGE.match(body):
        return Entry(body, None, unit, where, OVER_RANGE)
    plain = body.replace("\u2212", "-").replace("\u2013", "-")
    if not named and (leading := _POINT_FIRST.match(plain)):
        where, plain = leading["point"], leading["rest"]
    value, written = _number_and_unit(plain, unit)
    return Entry(body, value, _unit_of(written, unit), where)


def _number_and_unit(plain: str, unit: str) -> tuple[Decimal, str]:
    if letter := _LETTER_AS_POINT.match(plain):
        return Decimal(f"{letter['whole']}.{letter['part']}"), _LETTER_UNITS[letter["letter"]]
    match = _NUMBER.match(plain)
    if match is None:
        raise UnclearReading("not_a_number", f"'{plain}' is not a number. {_example(unit)}")
    return _decimal(match["sign"], match["digits"]), _with_prefix(match["unit"].strip(), unit)


def _decimal(sign: str, digits: str) -> Decimal:
    if digits.count(".") + digits.count(",") > 1:
        raise UnclearReading(
            "two_points", f"'{digits}' has two marks. Write the number with one decimal point."
        )
    whole, comma, part = digits.partition(",")
    if comma and len(part) == 3 and whole.strip("0"):
        raise UnclearReading(
            "comma_unclear",
            f"Is '{digits}' {whole}{part} or {whole}.{part}? Write it in one of these two ways.",
        )
    plain = digits.replace(",", ".").rstrip(".")
    if len(plain) > LONGEST_NUMBER:
        raise UnclearReading("too_long", f"A number has at most {LONGEST_NUMBER} digits.")
    return Decimal(f"{sign}{plain}")


def _with_prefix(written: str, unit: str) -> str:
    """A bare k, K or M stands for kΩ or MΩ where the test reads resistance."""
    reads_resistance = bool(unit) and same_kind(unit, "Ω")
    return _LETTER_UNITS[written] if written in ("k", "K", "M") and reads_resistance else written


def _unit_of(written: str, unit: str) -> str:
    if not written:
        if not unit:
            raise UnclearReading("unit_missing", "In which unit? Write it after the number, as in 12.31 V.")
        return unit
    known = find_unit(written)
    if unit and same_kind(written, unit):
        return known.symbol if known else unit
    if known is None:
        raise UnclearReading(
            "unit_unknown",
            f"'{written}' is not a unit this site knows. {_example(unit)} A point goes after an @.",
        )
    if unit:
        raise UnclearReading("unit_of_another_kind", _another_kind(known.symbol, known.kind, unit))
    return known.symbol


def _another_kind(symbol: str, kind: str, unit: str) -> str:
    expected = find_unit(unit)
    asks = f"{expected.kind}, in {unit}" if expected else unit
    return (
        f"{symbol} measures {kind}, and this test asks for {asks}. "
        "Is it another test, or does the instrument show another unit?"
    )


def _example(unit: str) -> str:
    return f"Write the number that the instrument shows, such as 12.31 {unit or 'V'}."
