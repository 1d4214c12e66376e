"""Accuracy as makers state it: `0.5 % + 2`, `±(0.5 % rdg + 2 dgt)`, `1 % + 0.02 V`, `2 °C or 2 %`.

Read from data sheets of many makers; no standard fixes the form. Common practice, except that a count is a
step of the last digit (public tutorials, trade-values.md section 5, read).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from shared.numerals import Numeral, plain, read_number
from shared.quantities import Question
from shared.units import find_unit, same_kind
from shared.wording import number_text, quantity_text

LONGEST_TEXT = 150
EXAMPLE = "Write it like 0.5 % + 2 counts, 1 % + 0.02 V, or 0.05 V."

_COVERAGE = re.compile(r"[\s(,;]*\bk\s*=\s*(?P<k>[0-9]+(?:[.,][0-9]+)?)\s*\)?\s*$", re.IGNORECASE)
_LARGER = re.compile(
    r",?\s*(?:whichever|the)\s+(?:is\s+)?(?:the\s+)?(?:greater|larger|more)(?:\s+one)?\s*$", re.IGNORECASE
)
_READING = re.compile(
    r"^%\s*(?:(?:of\s+)?(?:the\s+)?(?:rdg|rd|reading|value|mv|m\.v\.|measured value)\.?)?$", re.IGNORECASE
)
_SPAN = re.compile(
    r"^%\s*(?:of\s+)?(?:the\s+)?(?:fs|f\.s\.|full[\s-]?scale|range|rng|span|fso)\.?$", re.IGNORECASE
)
_COUNTS = re.compile(r"^(?:of\s+)?(?:counts?|cts?|digits?|dgts?|dig|d|lsd|steps?)\.?$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Accuracy:
    """Half the width of the band: percent of reading, of the range's end, counts, and a fixed part.

    percent, percent_of_span : [%]. counts : steps of the last digit. absolute : in `unit`; without a
    unit in that of the reading. k : coverage factor that the maker gives. `other`: an alternative, of which
    the larger counts.
    """

    percent: Decimal = Decimal(0)
    percent_of_span: Decimal = Decimal(0)
    counts: Decimal = Decimal(0)
    absolute: Decimal = Decimal(0)
    unit: str = ""
    k: Decimal | None = None
    other: Accuracy | None = field(default=None)

    @property
    def words(self) -> str:
        """The accuracy as it was understood: "±(0.5 % of reading + 2 counts)"."""
        parts = [
            f"{number_text(self.percent)} % of reading" if self.percent else "",
            f"{number_text(self.percent_of_span)} % of range" if self.percent_of_span else "",
            f"{number_text(self.counts)} {'count' if self.counts == 1 else 'counts'}" if self.counts else "",
            quantity_text(self.absolute, self.unit) if self.absolute else "",
        ]
        given = [part for part in parts if part]
        own = f"±({' + '.join(given)})" if len(given) > 1 else f"±{given[0]}" if given else "±0"
        own += f" at k = {number_text(self.k)}" if self.k else ""
        return f"{own} or {self.other.words}, whichever is larger" if self.other else own

    @property
    def needs_resolution(self) -> bool:
        """Whether it counts steps of the last digit."""
        return bool(self.counts) or (self.other is not None and self.other.needs_resolution)

    def half_width(
        self,
        reading: Fraction,
        unit: str,
        *,
        resolution: Fraction | None = None,
        span: Fraction | None = None,
    ) -> Fraction:
        """Return half the width of the band about a reading, exactly.

        Parameters
        ----------
        reading : Fraction
            [unit]
        resolution : Fraction, optional
            Step of the last digit; needed where the accuracy has counts. [unit]
        span : Fraction, optional
            End of the range; needed where the accuracy has a percentage of it. [unit]

        Raises
        ------
        Question
            If resolution or span is needed and not given, or the fixed part is of another kind.
        """
        if self.counts and resolution is None:
            raise Question("resolution_missing", "Counts are steps of the last digit: of which resolution?")
        if self.percent_of_span and span is None:
            raise Question("range_missing", "The accuracy is a percentage of the range. Where does it end?")
        width = (
            abs(reading) * Fraction(self.percent) / 100
            + abs(span or Fraction(0)) * Fraction(self.percent_of_span) / 100
            + Fraction(self.counts) * (resolution or Fraction(0))
            + self._fixed_in(unit)
        )
        if self.other is None:
            return width
        return max(width, self.other.half_width(reading, unit, resolution=resolution, span=span))

    def _fixed_in(self, unit: str) -> Fraction:
        """The fixed part as a width in another unit: a difference, so zero points do not matter."""
        width = Fraction(self.absolute)
        if not width or not self.unit or self.unit == unit:
            return width
        source, target = find_unit(self.unit), find_unit(unit)
        if not same_kind(self.unit, unit) or source is None or target is None:
            raise Question(
                "unit_of_another_kind",
                f"The accuracy is in {self.unit}, the reading in {unit}. Give both in units of one kind.",
            )
        if source.is_reciprocal != target.is_reciprocal:
            raise Question("two_units", f"A width in {self.unit} is none in {unit}. Give both in one unit.")
        return width * source.factor / target.factor


def read_accuracy(text: str) -> Accuracy:
    """Return the accuracy that a maker's statement says.

    Parameters
    ----------
    text : str
        Terms joined by `+` (or `±`): a percentage (of reading, or of full scale), counts, or a value with
        its unit. A whole number without a unit behind a percentage counts steps, as data sheets write it.
        "A or B, whichever is greater" takes the larger; "k = 2" at the end is the maker's coverage factor.

    Raises
    ------
    Question
        If a term is no number, or it is not clear what it counts.
    """
    whole = plain(text)
    if not whole:
        raise Question("empty", f"How accurate is it? {EXAMPLE}")
    if len(whole) > LONGEST_TEXT:
        raise Question("too_long", f"An accuracy has at most {LONGEST_TEXT} characters.")
    k = None
    if found := _COVERAGE.search(whole):
        k, whole = Decimal(found["k"].replace(",", ".")), whole[: found.start()]
        if not k:
            raise Question("coverage", "A coverage factor is above 0. About 95 % have k = 2.")
    first, *rest = re.split(r",?\s+or\s+", _LARGER.sub("", whole), flags=re.IGNORECASE)
    if len(rest) > 1:
        raise Question("too_many", f"Give at most two alternatives. {EXAMPLE}")
    other = _terms(rest[0], k) if rest else None
    return _terms(first, k, other)


def _terms(text: str, k: Decimal | None, other: Accuracy | None = None) -> Accuracy:
    body = text.strip()
    body = re.sub(r"^(?:±|\+/-|\+-)\s*", "", body)
    if body.startswith("(") and body.endswith(")"):
        body = body[1:-1]
    parts = [part.strip(" ()[]") for part in re.split(r"\s*(?:±|\+/-|\+-|\+|&|\band\b)\s*", body)]
    found = Accuracy(k=k, other=other)
    for place, part in enumerate(parts):
        found = _with_term(found, part, place)
    return found


def _with_term(found: Accuracy, part: str, place: int) -> Accuracy:
    number = read_number(part)
    if number is None or number.unit or number.is_fraction:
        raise Question("not_an_accuracy", f"'{part}' is no part of an accuracy. {EXAMPLE}")
    if number.value < 0:
        raise Question("negative", f"An accuracy cannot be below 0: '{part}'. Write 0.05 V for ±0.05 V.")
    name, amount = _what_it_counts(number, part, place)
    if getattr(found, name):
        raise Question("twice", f"'{part}' stands beside another part of its kind. {EXAMPLE}")
    unit = find_unit(number.rest)
    changed = {name: amount} | ({"unit": unit.symbol} if name == "absolute" and unit else {})
    values = {slot: getattr(found, slot) for slot in Accuracy.__slots__} | changed
    return Accuracy(**values)


def _what_it_counts(number: Numeral, part: str, place: int) -> tuple[str, Decimal]:
    said = number.rest
    if _READING.match(said):
        return "percent", number.value
    if _SPAN.match(said):
        return "percent_of_span", number.value
    if re.match(r"^ppm\b", said):
        return "percent", number.value / 10_000
    if said and _COUNTS.match(said):
        return "counts", number.value
    if find_unit(said) is not None:
        return "absolute", number.value
    if not said and place and number.value == number.value.to_integral_value():
        return "counts", number.value
    if said:
        raise Question("not_an_accuracy", f"'{part}' is no part of an accuracy. {EXAMPLE}")
    raise Question(
        "counts_or_unit",
        f"{part} of what? Write {part} counts, or the number with its unit.",
        (f"{part} counts",),
    )
