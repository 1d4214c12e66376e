"""What a reading says: its outcome, how far it lies from its limits, how much it can prove.

An outcome is computed from value, unit and limits, never typed (practice.md sections 3 and 4).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from diagnostics.snapshot import Instrument, Order, Test
from shared.moments import Moment
from shared.units import NoSuchValue, as_decimal, convert_exactly, inverts, same_kind

Outcome = Literal["pass", "fail"]

LEVEL_NAMES = {
    "E0": "claimed",
    "E1": "observed",
    "E2": "measured",
    "E3": "judged",
    "E4": "verified",
    "E5": "confirmed",
}


@dataclass(frozen=True, slots=True)
class Limits:
    """Lower and upper limit in the unit of the reading; None where there is none."""

    lo: Decimal | Fraction | None
    hi: Decimal | Fraction | None


@dataclass(frozen=True, slots=True)
class Verdict:
    """How a test is shown: `key` chooses the sign, `words` stand beside it, `why` it is not judged."""

    key: str  # within, above, below, passed, failed, none
    words: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class EvidenceLevel:
    """How much a reading can prove, E0 to E5, and whether it was entered on a later date than done."""

    code: str
    late: bool = False

    @property
    def name(self) -> str:
        """The level's name: claimed, observed, measured, judged, verified or confirmed."""
        return LEVEL_NAMES[self.code]

    @property
    def words(self) -> str:
        """Code, name and mark, as printed beside a reading: "E4 verified, late"."""
        return f"{self.code} {self.name}{', late' if self.late else ''}"


def is_blank(text: str | None) -> bool:
    """Return whether a text is absent, empty or only spaces."""
    return text is None or not text.strip()


def same_text(a: str, b: str) -> bool:
    """Return whether two texts name the same thing. A blank one equals nothing."""
    return a.strip() == b.strip() != ""


def same_reading(a: Test, b: Test) -> bool:
    """Return whether two tests are the same reading: same step code and same point, blank points included."""
    return reading_key(a) == reading_key(b)


def reading_key(test: Test) -> tuple[str, str]:
    """Return step code and point, equal for the same reading."""
    return test.code.strip(), test.point.strip()


def done_by_hand_over(on: Moment, order: Order) -> bool:
    """Return whether something dated `on` may count: not on a date after hand-over."""
    return order.returned is None or on.on <= order.returned.on


def unjudged_because(test: Test) -> str:
    """Return in plain words why the test has no outcome, or an empty string if it has one."""
    if test.status == "not_applicable":
        return "not applicable"
    if test.kind == "attribute":
        return _attribute_unjudged_because(test)
    if test.kind != "numeric":
        return "a code read is a report, not a reading"
    if test.value is None:
        return "no value"
    if is_blank(test.unit):
        return "no unit"
    if test.info_only:
        return "for information only"
    if test.lo is None and test.hi is None:
        return "no limit"
    if not limits_fit_unit(test):
        return f"limits in {test.limit_unit.strip()}, reading in {test.unit.strip()}"
    return ""


def _attribute_unjudged_because(test: Test) -> str:
    if is_blank(test.observation):
        return "no observation"
    return "" if test.result in ("pass", "fail") else "no result"


def limits_fit_unit(test: Test) -> bool:
    """Return whether the limits' unit is of the reading's kind. Without a unit they are in the reading's."""
    return is_blank(test.limit_unit) or same_kind(test.unit, test.limit_unit)


def limits_of(test: Test) -> Limits | None:
    """Return the limits of a numeric test in the unit of the reading, or None if it cannot be judged."""
    if test.kind != "numeric" or unjudged_because(test):
        return None
    if is_blank(test.limit_unit) or test.limit_unit == test.unit:
        return Limits(test.lo, test.hi)
    lo, hi = _in_reading_unit(test.lo, test), _in_reading_unit(test.hi, test)
    # At least 30 mpg is at most 7.84 L/100 km.
    return Limits(hi, lo) if inverts(test.limit_unit, test.unit) else Limits(lo, hi)


def _in_reading_unit(limit: Decimal | None, test: Test) -> Fraction | None:
    if limit is None:
        return None
    try:
        return convert_exactly(limit, test.limit_unit, test.unit)
    except NoSuchValue:  # 0 mpg limits no number of litres.
        return None


def outcome(test: Test) -> Outcome | None:
    """Return pass or fail, or None for a test that has no outcome.

    Parameters
    ----------
    test : Test
        An attribute test has its written result, if an observation is written too. A numeric test
        fails below its lower or above its upper limit; a value on a limit passes. A code read, a
        test that is not applicable, an information-only reading, and one without value, unit or
        limits of the unit's kind have no outcome.

    References
    ----------
    practice.md section 4, "Outcome of a test".
    """
    if test.kind == "attribute":
        if unjudged_because(test):
            return None
        return "fail" if test.result == "fail" else "pass"
    limits = limits_of(test)
    if limits is None:
        return None
    return "fail" if _side(test, limits) else "pass"


def _side(test: Test, limits: Limits) -> str:
    assert test.value is not None
    if limits.lo is not None and test.value < limits.lo:
        return "below"
    if limits.hi is not None and test.value > limits.hi:
        return "above"
    return ""


def describe(test: Test) -> Verdict:
    """Return the verdict as pages and papers show it: within, outside, passed, failed or not judged."""
    why = unjudged_because(test)
    if why:
        return Verdict("none", "not judged", why)
    if test.kind == "attribute":
        return Verdict("failed", "failed") if test.result == "fail" else Verdict("passed", "passed")
    limits = limits_of(test)
    side = _side(test, limits) if limits else ""
    return Verdict(side, f"outside, {side}") if side else Verdict("within", "within")


def distance_outside(test: Test) -> Fraction | None:
    """Return how far a failing numeric reading lies outside its limit. [unit of the reading]

    None if the test is not a judged numeric reading, or lies within. Exact.
    """
    limits = limits_of(test)
    if limits is None or test.value is None or not _side(test, limits):
        return None
    value = Fraction(test.value)
    below = [Fraction(limits.lo) - value] if limits.lo is not None else []
    above = [value - Fraction(limits.hi)] if limits.hi is not None else []
    return max(below + above)


def distance_inside(test: Test) -> Fraction | None:
    """Return how far a passing numeric reading lies inside its nearest limit. [unit of the reading]

    None if the test is not a judged numeric reading, or lies outside. Zero on the limit. Exact.
    """
    limits = limits_of(test)
    if limits is None or test.value is None or _side(test, limits):
        return None
    value = Fraction(test.value)
    above_lo = [value - Fraction(limits.lo)] if limits.lo is not None else []
    below_hi = [Fraction(limits.hi) - value] if limits.hi is not None else []
    return min(above_lo + below_hi)


def limits_in_reading_unit(test: Test) -> tuple[Decimal | None, Decimal | None]:
    """Return lower and upper limit as decimals in the reading's unit; both None if it cannot be judged."""
    limits = limits_of(test)
    if limits is None:
        return None, None
    lo, hi = limits.lo, limits.hi
    return (None if lo is None else as_decimal(lo)), (None if hi is None else as_decimal(hi))


def known_accuracy(test: Test, instruments: Mapping[str, Instrument]) -> Decimal | None:
    """Return the accuracy on the listed instrument's record, or None. [unit of the reading]"""
    instrument = instruments.get(test.instrument)
    return instrument.accuracy if instrument else None


def calibration_remark(instrument: Instrument, on: date) -> str:
    """Return what is wrong with using the instrument on that date, or an empty string.

    The due date is the last day that counts without remark; the day of withdrawal is the first
    that does not. Withdrawal counts whether or not the instrument needs calibration.
    """
    if instrument.withdrawn_on is not None and instrument.withdrawn_on <= on:
        return "withdrawn"
    if not instrument.cal_required:
        return ""
    if instrument.cal_due is None:
        return "no due date"
    return "overdue" if instrument.cal_due < on else ""


def is_late(test: Test) -> bool:
    """Return whether the test was entered on a later date than it was done."""
    return test.entered_on is not None and test.entered_on.on > test.on.on


def evidence_level(test: Test, order: Order, instruments: Mapping[str, Instrument]) -> EvidenceLevel | None:
    """Return how much the test can prove, or None for a code read or a test that is not applicable.

    Parameters
    ----------
    test : Test
        A test of `order`.
    order : Order
        Its other tests may confirm this one, if they were not done on a date after hand-over.
    instruments : mapping of id to Instrument
        The shop's list.

    Returns
    -------
    EvidenceLevel or None
        E0 claimed to E5 confirmed, with the mark "late".

    References
    ----------
    practice.md section 3.
    """
    if test.status == "not_applicable" or test.kind == "code":
        return None
    code = _own_level(test, instruments)
    if code == "E4" and any(_confirms(other, test, order, instruments) for other in order.tests):
        code = "E5"
    return EvidenceLevel(code, is_late(test))


def _own_level(test: Test, instruments: Mapping[str, Instrument]) -> str:
    if test.kind == "attribute":
        # An observation without a result proves as little as a result without an observation.
        return "E1" if outcome(test) else "E0"
    if test.value is None or is_blank(test.unit):
        return "E0"
    if outcome(test) is None:
        return "E2"
    instrument = instruments.get(test.instrument)
    if instrument is None or is_blank(test.by) or calibration_remark(instrument, test.on.on):
        return "E3"
    return "E4"


def _confirms(other: Test, test: Test, order: Order, instruments: Mapping[str, Instrument]) -> bool:
    """Whether `other`, an E4 test of the same phase and outcome, makes `test` confirmed."""
    if other is test or other.phase != test.phase or not done_by_hand_over(other.on, order):
        return False
    by_another = same_reading(other, test) and other.by.strip() != test.by.strip()
    another_way = other.code.strip() != test.code.strip() and same_text(other.isolates, test.isolates)
    if not (by_another or another_way) or other.status == "not_applicable" or other.kind != "numeric":
        return False
    return outcome(other) == outcome(test) and _own_level(other, instruments) == "E4"
