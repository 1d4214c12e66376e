"""What a test on record proves, with the accuracy of the instrument it was taken with.

It stands beside the outcome, which stays pass or fail by practice.md section 4, and beside R16, which goes by
the one number on the instrument's record. With that number a, U is 2 a / sqrt 3, so every reading that R16
calls marginal (no farther from its limit than a) is not proved here either.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction

from diagnostics.judging import known_accuracy, limits_of
from diagnostics.metrology.accuracy import read_accuracy
from diagnostics.metrology.verdict import Judgement, judge
from diagnostics.snapshot import Instrument, InstrumentRange, Test
from shared.computing import Refused
from shared.numerals import step_of
from shared.quantities import Question
from shared.units import convert_exactly, find_unit, inverts, same_kind


def judgement_of(test: Test, instruments: Mapping[str, Instrument], *, whose: str = "") -> Judgement | None:
    """Return what a numeric test proves, or None if it has no outcome or its accuracy is not known.

    Parameters
    ----------
    test : Test
        With value, unit and limits.
    instruments : mapping of id to Instrument
        The shop's list. The range that contains the value gives the accuracy; else the instrument's one
        number does.
    whose : str
        Whose limit it is, for the sentence.
    """
    limits = limits_of(test)
    found = None if test.value is None else _half_width(test, test.value, instruments)
    if limits is None or test.value is None or found is None:
        return None
    try:
        return judge(
            [test.value],
            test.unit,
            lower=limits.lo,
            upper=limits.hi,
            half_width=found[0],
            spec_k=found[1],
            whose=whose,
        )
    except (Refused, OverflowError):  # Imported limits may be crossed, or of a size that no meter shows.
        return None


def range_of(test: Test, instrument: Instrument) -> InstrumentRange | None:
    """Return the range that the reading was taken in, or None if none contains it.

    Of several the one with the step of the reading's last digit, as the display shows it; else the
    narrowest, which an instrument that chooses for itself takes.
    """
    if test.value is None:
        return None
    holding = [one for one in instrument.ranges if _contains(one, test.value, test.unit)]
    step = _width_in(Fraction(step_of(test.value)), test.unit, "")
    same_step = [
        one
        for one in holding
        if one.resolution is not None and _width_in(Fraction(one.resolution), one.unit, "") == step
    ]
    return min(same_step or holding, key=_span_of, default=None)


def proof_words(test: Test, judgement: Judgement | None) -> str:
    """Return what stands behind the outcome: "not proved: 85 % that it conforms", or nothing."""
    if judgement is None or judgement.is_proved:
        return ""
    return f"not proved: {judgement.p_words} that it conforms"


def _half_width(
    test: Test, value: Decimal, instruments: Mapping[str, Instrument]
) -> tuple[Fraction, Decimal | None] | None:
    instrument = instruments.get(test.instrument)
    if instrument is None:
        return None
    chosen = range_of(test, instrument)
    if chosen is not None:
        try:
            return _width_of_range(chosen, value, test.unit)
        except Question:  # A statement that was kept before it could be read: the one number stands.
            pass
    accuracy = known_accuracy(test, instruments)
    return None if accuracy is None else (Fraction(accuracy), None)


def _width_of_range(chosen: InstrumentRange, value: Decimal, unit: str) -> tuple[Fraction, Decimal | None]:
    accuracy = read_accuracy(chosen.accuracy_text)
    here = convert_exactly(value, unit, chosen.unit)
    step = (
        Fraction(chosen.resolution)
        if chosen.resolution is not None
        else _width_in(Fraction(step_of(value)), unit, chosen.unit)
    )
    width = accuracy.half_width(here, chosen.unit, resolution=step, span=Fraction(chosen.high))
    return _width_in(width, chosen.unit, unit), accuracy.k


def _contains(one: InstrumentRange, value: Decimal, unit: str) -> bool:
    if not same_kind(unit, one.unit) or inverts(unit, one.unit):
        return False
    here = convert_exactly(value, unit, one.unit)
    # A range from 0 is meant for both signs: a meter shows the other polarity with a minus.
    size = abs(here) if one.low >= 0 and not _has_zero_point(one.unit) else here
    return Fraction(one.low) <= size <= Fraction(one.high)


def _has_zero_point(unit: str) -> bool:
    known = find_unit(unit)
    return known is not None and known.kind == "temperature"


def _span_of(one: InstrumentRange) -> Fraction:
    return _width_in(Fraction(one.high) - Fraction(one.low), one.unit, "")


def _width_in(width: Fraction, unit: str, to: str) -> Fraction:
    """A width in another unit of the kind, or in its base unit without one: zero points do not matter."""
    source, target = find_unit(unit), find_unit(to) if to else None
    if source is None:
        return width
    return width * source.factor / (target.factor if target else 1)
