"""What a reading would have said if its instrument's error, found later, had been known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Context, Decimal
from fractions import Fraction

from diagnostics.judging import describe, outcome
from diagnostics.metrology.of_reading import judgement_of
from diagnostics.snapshot import Instrument, Test
from shared.numerals import step_of
from shared.units import as_decimal, find_unit, same_kind

PERCENT = "%"
MOST_DIGITS = 100  # More than any reading on record has.


@dataclass(frozen=True, slots=True)
class LookBack:
    """One reading with the error taken out.

    corrected : what the instrument would have shown without its error, one digit finer than it was read;
        None if that cannot be said. [unit of the reading]
    was, would_be : the verdict with its proof, in words.
    changes : whether the outcome (pass, fail or none) would be another.
    weakens : whether the outcome stays but would no longer be proved.
    why_not : why nothing can be said, empty where something can.
    """

    corrected: Decimal | None
    was: str
    would_be: str
    changes: bool
    weakens: bool
    why_not: str = ""

    @property
    def words(self) -> str:
        """What would change, in words."""
        if self.why_not:
            return self.why_not
        if self.changes:
            return "the verdict would change"
        return "no longer proved" if self.weakens else "stays"


def look_back(
    test: Test,
    instruments: Mapping[str, Instrument],
    error: Decimal | None,
    error_unit: str,
    *,
    of_unit: str = "",
) -> LookBack:
    """Return what a reading says with the error of its instrument taken out.

    Parameters
    ----------
    test : Test
    instruments : mapping of id to Instrument
        The shop's list, for the proof.
    error : Decimal, optional
        What the instrument showed too much, as found. [error_unit]
    error_unit : str
        A unit of the reading's kind, or "%" for a share of the reading; for a reading that is itself a
        ratio, "%" is in points.
    of_unit : str
        A unit of the kind in which the error was found; other readings keep what they say. Empty: any.
    """
    was = _verdict(test, instruments)
    if of_unit and test.value is not None and not same_kind(of_unit, test.unit):
        return LookBack(None, was, "", False, False, f"not touched: the error was found in {of_unit}")
    value, why_not = _without_error(test, error, error_unit)
    if value is None or test.value is None:
        return LookBack(None, was, "", False, False, f"cannot tell: {why_not}")
    corrected = replace(test, value=as_decimal(value))
    would_be = _verdict(corrected, instruments)
    changes = outcome(test) != outcome(corrected)
    weakens = not changes and _is_proved(test, instruments) and not _is_proved(corrected, instruments)
    shown = as_decimal(value).quantize(step_of(test.value) / 10, context=Context(prec=MOST_DIGITS))
    return LookBack(shown, was, would_be, changes, weakens)


def _without_error(test: Test, error: Decimal | None, unit: str) -> tuple[Fraction | None, str]:
    if test.kind != "numeric" or test.value is None:
        return None, "no number was read"
    if error is None:
        return None, "the error is not known"
    value = Fraction(test.value)
    reads, of_error = find_unit(test.unit), find_unit(unit)
    if unit == PERCENT and (reads is None or reads.kind != "ratio"):
        share = 1 + Fraction(error) / 100
        return (value / share, "") if share > 0 else (None, "an error of -100 % leaves no reading")
    if not same_kind(unit, test.unit):
        return None, f"the error is in {unit}, the reading in {test.unit or 'no unit'}"
    if reads is None or of_error is None:
        return value - Fraction(error), ""
    if reads.is_reciprocal != of_error.is_reciprocal:
        return None, f"the error is in {unit}, which counts the other way round"
    return value - Fraction(error) * of_error.factor / reads.factor, ""


def _verdict(test: Test, instruments: Mapping[str, Instrument]) -> str:
    judgement = judgement_of(test, instruments)
    words = describe(test).words
    return words if judgement is None else f"{words}, {'proved' if judgement.is_proved else 'not proved'}"


def _is_proved(test: Test, instruments: Mapping[str, Instrument]) -> bool:
    judgement = judgement_of(test, instruments)
    return judgement is not None and judgement.is_proved
