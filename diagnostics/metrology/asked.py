"""Judges what a person typed: readings, limits and accuracy as texts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from diagnostics.metrology.accuracy import Accuracy, read_accuracy
from diagnostics.metrology.uncertainty import COVERAGE_FACTOR
from diagnostics.metrology.verdict import Judgement, half_width_of, judge
from diagnostics.reading_line import stands_for
from shared.computing import Refused
from shared.quantities import Quantity, read_quantity
from shared.units import convert


@dataclass(frozen=True, slots=True)
class Asked:
    """A typed judgement: the readings as they were understood, and what they prove."""

    readings: tuple[Quantity, ...]
    accuracy: Accuracy | None
    resolution: Decimal | None
    judgement: Judgement

    def as_dict(self) -> dict[str, Any]:
        """Return the answer with the keys of the command `judge`."""
        return {
            "typed": [reading.typed for reading in self.readings],
            "resolution": self.resolution,
            "accuracy": self.accuracy.words if self.accuracy else None,
            **self.judgement.as_dict(),
        }


def judge_typed(
    reading: str,
    *,
    repeats: Sequence[str] = (),
    low: str = "",
    high: str = "",
    unit: str = "",
    accuracy: str = "",
    resolution: str = "",
    span: str = "",
    U: str = "",
    k: float | None = None,
    whose: str = "",
    decimal_comma: bool | None = None,
    sure: bool = False,
) -> Asked:
    """Return what typed readings prove against typed limits.

    Parameters
    ----------
    reading, repeats : str
        Quantities; a unit is taken from `unit` where none is typed.
    low, high : str
        Limits, in `unit` where none is typed; at least one is not blank.
    accuracy : str
        As the maker states it. Without it a tolerance typed with the reading is its expanded
        uncertainty, and without that the step of the last digit counts.
    resolution, span, U : str
        Step of the last digit (else the digits typed), end of the range, expanded uncertainty.
    k : float, optional
        Coverage factor above 0; 2 without it.
    decimal_comma, sure
        As in `read_quantity`.

    Raises
    ------
    Question
        If a text is not clear.
    Refused
        If a limit or the accuracy is missing, or no number stands for the reading.
    """
    if k is not None and not 0 < k < 100:
        raise Refused("k", f"{k:g} is no coverage factor. About 95 % have k = 2.", "a number above 0")
    limits = {name: _value(text, unit, decimal_comma) for name, text in (("lo", low), ("hi", high))}
    found = tuple(
        read_quantity(text, unit=unit, decimal_comma=decimal_comma, sure=sure, limit_unit=unit, **limits)
        for text in (reading, *repeats)
    )
    here = found[0].unit
    values = [_in_first_unit(one, limits["lo"], limits["hi"], unit, here) for one in found]
    step = _value(resolution, here, decimal_comma) or _step(found, here)
    stated = read_accuracy(accuracy) if accuracy.strip() else None
    expanded = _value(U, here, decimal_comma)
    if expanded is None and stated is None:
        expanded = found[0].tolerance
    width = (
        half_width_of(stated, values, here, step, _value(span, here, decimal_comma))
        if stated and expanded is None
        else None
    )
    judgement = judge(
        values,
        here,
        lower=limits["lo"],
        upper=limits["hi"],
        limit_unit=unit or here,
        half_width=width,
        spec_k=stated.k if stated else None,
        resolution=step,
        U=None if expanded is None else Fraction(expanded),
        k=COVERAGE_FACTOR if k is None else k,
        whose=whose,
    )
    return Asked(found, stated, step, judgement)


def _value(text: str, unit: str, decimal_comma: bool | None) -> Decimal | None:
    """A plain value in `unit`; None for a blank text."""
    if not text.strip():
        return None
    found = read_quantity(text, unit=unit or "1", decimal_comma=decimal_comma, sure=True)
    if found.form != "plain" or found.value is None:
        raise Refused("limit", f"'{text}' is not one number.", "a number, with its unit if it is another")
    return convert(found.value, found.unit, unit) if unit else found.value


def _in_first_unit(
    one: Quantity, lo: Decimal | None, hi: Decimal | None, limit_unit: str, unit: str
) -> Decimal:
    value = stands_for(one, lo, hi, limit_unit)
    if value is None:
        raise Refused(
            "reading",
            f"'{one.typed}' does not say on which side of the limits the value lies.",
            "a number, or a range that shows the value",
        )
    return convert(value, one.unit, unit)


def _step(found: Sequence[Quantity], unit: str) -> Decimal | None:
    """The coarsest step typed, in the unit of the first reading."""
    steps = [one.resolution for one in found if one.unit == unit and one.resolution is not None]
    return max(steps, default=None)
