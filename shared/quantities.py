"""Reads what hands type for one quantity: `12.31 V`, `12,31`, `4k7`, `< 0.1`, `12.4 to 12.9`, `5 +/- 10 %`.

The one parser of the site. Nothing is guessed: what can be read in two ways, is of another kind than asked,
or cannot be true is answered with a `Question`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from shared.numerals import DIGITS, Numeral, Question, plain, read_number
from shared.plausible import ask_about_prefix, ask_about_size
from shared.units import as_decimal, convert, find_unit, inverts, same_kind, units_of_kind

__all__ = ["Form", "Quantity", "Question", "read_quantity"]

Form = Literal["plain", "over limit", "less than", "greater than", "range", "with tolerance"]

LONGEST_TEXT = 64

_OVER = re.compile(
    r"^[+-]?(?:o\.?\s?l\.?|o/l|over[\s-]?range|over[\s-]?limit|over[\s-]?load|∞)(?:\s+(?P<unit>\S.*))?$",
    re.IGNORECASE,
)
_BOUND = re.compile(
    r"^(?:(?P<less>(?:<=|<|≤)|(?:less than|at most|under|below)\s)"
    r"|(?P<more>(?:>=|>|≥)|(?:more than|greater than|at least|over|above)\s))\s*(?P<rest>.+)$",
    re.IGNORECASE,
)
_TOLERANCE = re.compile(r"^(?P<value>.+?)\s*(?:±|\+/-|\+-)\s*(?P<rest>.+)$")
_TO = re.compile(
    rf"^(?P<low>[+-]? ?{DIGITS}(?:[eE][+-]?[0-9]+)?)\s*(?P<unit>[^0-9]*?)\s*(?:-|\bto\b|\.\.\.?|…)\s*"
    rf"(?P<high>[+-]?{DIGITS}.*)$"
)
_FRACTIONS = re.compile(
    r"^(?P<low>[0-9]+/[0-9]+)\s*(?P<unit>[^0-9]*?)\s*(?:-|\bto\b)\s*(?P<high>[0-9]+/[0-9]+.*)$"
)

# A prefix alone, in the place of the unit, is one of these kinds' own; a bare k behind psi's is not.
_PREFIXED = {
    "voltage": "V", "current": "A", "resistance": "Ω", "frequency": "Hz", "power": "W", "conductance": "S",
    "capacitance": "F", "inductance": "H",
}  # fmt: skip
_PREFIX = {"K": "k", "u": "µ", "μ": "µ"}
_PREFIXES = frozenset("pnuµμmkKMG")
# A spelling that means another unit where another kind is asked for. Common practice in the trade.
_BY_KIND = {
    ("capacitance", "F"): "farad",
    ("force", "lb"): "lbf",
    ("force", "lbs"): "lbf",
    ("force", "kg"): "kgf",
    ("absolute pressure", "micron"): "µmHg",
    ("absolute pressure", "microns"): "µmHg",
}


@dataclass(frozen=True, slots=True)
class Quantity:
    """One typed quantity, as it was understood.

    typed : the text as typed.
    value : plain and with tolerance: the number; less and greater than: the bound; range: its middle;
        None over limit. [unit]
    unit : as the table of units writes it; as typed where the table has it not but it was asked for.
    resolution : step of the last digit typed; None over limit. [unit]
    low, high : the ends of a range. tolerance : half width that was typed behind ±. [unit]
    """

    typed: str
    value: Decimal | None
    unit: str
    resolution: Decimal | None
    form: Form = "plain"
    low: Decimal | None = None
    high: Decimal | None = None
    tolerance: Decimal | None = None

    @property
    def words(self) -> str:
        """The quantity written out so that it is read back as the same."""
        if self.value is None:
            return f"OL {self.unit}".strip()
        number = f"{self.value}"
        if self.low is not None and self.high is not None:
            number = f"{self.low} to {self.high}"
        if self.tolerance is not None:
            number = f"{self.value} ± {self.tolerance}"
        sign = {"less than": "less than ", "greater than": "more than "}.get(self.form, "")
        return f"{sign}{number} {self.unit}".strip()


def read_quantity(
    text: str,
    *,
    unit: str = "",
    lo: Decimal | None = None,
    hi: Decimal | None = None,
    limit_unit: str = "",
    decimal_comma: bool | None = None,
    sure: bool = False,
) -> Quantity:
    """Return the quantity that a typed text says.

    Parameters
    ----------
    text : str
        A number with its unit, "OL", a bound, a range, or a number with its tolerance.
    unit : str
        The unit that is asked for, taken where none is typed; empty where any will do.
    lo, hi : Decimal, optional
        What is expected, by which a slip of a prefix is noticed. [limit_unit, or unit without one]
    decimal_comma : bool, optional
        Whether the comma is the decimal mark where the person is; None where that is not known.
    sure : bool
        The person said that the size is meant: neither `absurd` nor `prefix_slip` is asked again.

    Returns
    -------
    Quantity
        Exact: the digits as typed, in the unit as typed.

    Raises
    ------
    Question
        If there is no finite number, the unit is missing, unknown or of another kind, the marks can be
        read in two ways, or the size is one that cannot be or is likely a slip.
    """
    typed = " ".join(text.split())
    if not typed:
        raise Question("empty", f"What did the instrument show? {example(unit)}")
    if len(typed) > LONGEST_TEXT:
        raise Question("too_long", f"A reading or a point has at most {LONGEST_TEXT} characters.")
    found = replace(_read(plain(text), unit, decimal_comma), typed=typed)
    for value in (found.value, found.low, found.high):
        if value is not None and not sure:
            ask_about_size(value, found.unit)
            ask_about_prefix(value, found.unit, lo, hi, limit_unit or unit or found.unit)
        elif value is not None:
            _ask_about_nature(value, found.unit)
    return found


def _ask_about_nature(value: Decimal, unit: str) -> None:
    """What cannot be is not confirmed."""
    try:
        ask_about_size(value, unit)
    except Question as question:
        if not question.can_confirm:
            raise


def _read(text: str, unit: str, comma: bool | None) -> Quantity:
    if over := _OVER.match(text):
        return Quantity(
            "", None, _unit_of(over["unit"] or "", unit, "OL") if over["unit"] else unit, None, "over limit"
        )
    if bound := _BOUND.match(text):
        one = _single(bound["rest"], unit, comma)
        return replace(one, form="less than" if bound["less"] else "greater than")
    if parts := _TOLERANCE.match(text):
        return _with_tolerance(parts["value"], parts["rest"], unit, comma)
    parts = _TO.match(text) or _FRACTIONS.match(text)
    if parts and (not parts["unit"] or find_unit(parts["unit"]) or parts["unit"] in _PREFIXES):
        return _range(f"{parts['low']} {parts['unit']}".strip(), parts["high"], unit, comma)
    return _single(text, unit, comma)


def _single(text: str, unit: str, comma: bool | None) -> Quantity:
    kind = _kind(unit)
    number = read_number(text, kind=kind, decimal_comma=comma)
    if number is None:
        raise Question("not_a_number", f"'{text}' is not a number. {example(unit)}")
    if number.is_fraction:
        _ask_about_fraction(number, text, unit)
    written = _letter_unit(number) if number.unit else number.rest
    return Quantity("", number.value, _unit_of(written, unit, f"{number.value}"), number.resolution)


def _letter_unit(number: Numeral) -> str:
    """The unit of 4k7; an ohm or a farad written behind it says the same."""
    base = "farad" if number.unit.endswith(("F", "farad")) else "Ω"
    named = find_unit("farad" if number.rest == "F" and base == "farad" else number.rest)
    if number.rest and (named is None or named.symbol != base):
        return f"{number.unit} {number.rest}"
    return number.unit


def _ask_about_fraction(number: Numeral, text: str, unit: str) -> None:
    """Fractions are of an inch: tread, sockets, travel. Anything else has a decimal display."""
    named = find_unit(number.rest) if number.rest else find_unit(unit)
    if named is None or named.symbol != "in":
        raise Question(
            "fraction_unclear",
            f"Is '{text}' a part of an inch? Write it with its unit, as in 4/32 in, or as a decimal number.",
            (f"{text.removesuffix(number.rest).strip()} in",) if _kind(unit) in ("", "length") else (),
        )


def _with_tolerance(left: str, right: str, unit: str, comma: bool | None) -> Quantity:
    width = read_number(right, decimal_comma=comma)
    if width is None:
        raise Question("not_a_number", f"'{right}' is not a tolerance. Write it like 12.31 ± 0.05 V.")
    if width.value < 0:
        raise Question("tolerance_below_zero", "A tolerance cannot be below 0. Write 12.31 ± 0.05 V.")
    if width.rest == "%" and _kind(unit) != "ratio":
        one = _single(left, unit, comma)
        assert one.value is not None
        return replace(one, form="with tolerance", tolerance=abs(one.value) * width.value / 100)
    has_unit = (first := read_number(left, decimal_comma=comma)) is not None and (first.rest or first.unit)
    second = _single(right, unit or (_single(left, "", comma).unit if has_unit else ""), comma)
    one = _single(left, unit or second.unit, comma)
    if not has_unit:
        one = replace(one, unit=second.unit)
    assert second.value is not None
    _ask_about_two_units(second.unit, one.unit)
    return replace(one, form="with tolerance", tolerance=_width_in(second.value, second.unit, one.unit))


def _width_in(width: Decimal, unit: str, to: str) -> Decimal:
    """A tolerance is a difference: 4 °F of it are 2.2 °C, whatever the zero points."""
    source, target = find_unit(unit), find_unit(to)
    if source is None or target is None or source is target:
        return width
    return as_decimal(Fraction(width) * source.factor / target.factor)


def _range(low: str, high: str, unit: str, comma: bool | None) -> Quantity:
    first = read_number(low, kind=_kind(unit), decimal_comma=comma)
    has_unit = first is not None and bool(first.rest or first.unit)
    end_number = read_number(high, kind=_kind(unit), decimal_comma=comma)
    end_has_unit = end_number is not None and bool(end_number.rest or end_number.unit)
    start = _single(low, unit, comma) if has_unit else None
    end = _single(high, start.unit if start and not end_has_unit else unit, comma)
    start = start or _single(low, end.unit, comma)
    assert start.value is not None
    assert start.resolution is not None
    assert end.value is not None
    assert end.resolution is not None
    _ask_about_two_units(start.unit, end.unit)
    bottom = convert(start.value, start.unit, end.unit)
    step = (
        min(convert(start.resolution, start.unit, end.unit), end.resolution)
        if _has_steps(end.unit)
        else end.resolution
    )
    if bottom > end.value:
        raise Question(
            "range_crossed",
            f"Is it a range? Then the lower end stands first: {end.value:f} to {bottom:f} {end.unit}.",
            (f"{end.value:f} to {bottom:f} {end.unit}",),
        )
    middle = as_decimal((bottom + end.value) / 2)
    return Quantity("", middle, end.unit, step, "range", low=bottom, high=end.value)


def _ask_about_two_units(first: str, second: str) -> None:
    if not same_kind(first, second) or inverts(first, second):
        raise Question(
            "two_units", f"{first} and {second} cannot stand in one reading. Write both numbers in one unit."
        )


def _has_steps(unit: str) -> bool:
    """Whether a step converts like a value: not with an offset, nor the other way round."""
    known = find_unit(unit)
    return known is not None and not known.offset and not known.is_reciprocal


def _kind(unit: str) -> str:
    known = find_unit(unit) if unit else None
    return known.kind if known else ""


def _unit_of(written: str, unit: str, number: str) -> str:
    """The unit of a number: as typed, by the kind that is asked for, or the one asked for."""
    if not written:
        if not unit:
            raise Question("unit_missing", "In which unit? Write it after the number, as in 12.31 V.")
        return unit
    kind = _kind(unit)
    written = _BY_KIND.get((kind, written), written)
    known = find_unit(written) or find_unit(written.rstrip(".")) or None
    if unit and (same_kind(written, unit) or (known and known.kind == kind)):
        return known.symbol if known else unit
    if written in _PREFIXES and kind in _PREFIXED:
        prefixed = find_unit(_PREFIX.get(written, written) + _PREFIXED[kind])
        if prefixed and prefixed.kind == kind:
            return prefixed.symbol
    if known is None:
        raise _unknown_unit(written, unit, number)
    if unit:
        raise _another_kind(known.symbol, known.kind, unit, number)
    return known.symbol


def _unknown_unit(written: str, unit: str, number: str) -> Question:
    lowered = written.casefold()
    likely = [
        other.symbol
        for other in (units_of_kind(_kind(unit)) if unit else ())
        if any(name.casefold() == lowered for name in (other.symbol, *other.spellings))
    ]
    return Question(
        "unit_unknown",
        f"'{written}' is not a unit this site knows. {example(unit)} A point goes after an @.",
        tuple(f"{number} {symbol}" for symbol in likely),
    )


def _another_kind(symbol: str, kind: str, unit: str, number: str) -> Question:
    expected = find_unit(unit)
    asks = f"{expected.kind}, in {unit}" if expected else unit
    is_over = symbol == "L" and number == "0"  # 0L is how OL is often typed.
    return Question(
        "unit_of_another_kind",
        f"{symbol} measures {kind}, and this test asks for {asks}. "
        "Is it another test, or does the instrument show another unit?",
        ("OL",) if is_over else (f"{number} {unit}",),
    )


def example(unit: str) -> str:
    """Return a sentence that shows how a reading is typed."""
    return f"Write the number that the instrument shows, such as 12.31 {unit or 'V'}."
