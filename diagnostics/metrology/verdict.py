"""One reading judged against its limits with what its instrument can tell apart, and why in one sentence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Context, Decimal
from fractions import Fraction

from diagnostics.metrology.accuracy import Accuracy
from diagnostics.metrology.conformity import Conformity, limits_given, p_conform, placed
from diagnostics.metrology.uncertainty import COVERAGE_FACTOR, ROOT_3, combine, type_a
from shared.computing import Refused
from shared.units import NoSuchValue, as_decimal, convert_exactly, inverts, same_kind
from shared.wording import limits_text, quantity_text

RULE = "ISO 14253-1: proved within from the limit inward by U, proved outside beyond it by more than U"
GUARD = "guard band w = U = k u (JCGM 106:2012 clause 8); probability by its clause 7, normal"
# Simple acceptance is open where U is at most a quarter of the tolerance ("4:1"). JCGM 106 8.2, ILAC-G8.
SMALL_SHARE = 0.25
MOST_DIGITS = 6  # Of a mean or a converted limit in the sentence.


@dataclass(frozen=True, slots=True)
class Judgement:
    """A reading, its uncertainty, its place by the limits, and whether that place is proved.

    value, lower, upper, u, U : in `unit`. `p` : probability that the true value is within the limits.
    `accept_from`, `accept_to` : what would prove conformity; None where there is no such limit.
    `side` : within, below or above, by the value alone. `n` : how many readings were taken.
    """

    value: Decimal
    unit: str
    lower: Decimal | None
    upper: Decimal | None
    u: float
    U: float
    k: float
    p: float
    conformity: Conformity
    side: str
    accept_from: float | None
    accept_to: float | None
    n: int = 1
    whose: str = ""

    @property
    def verdict(self) -> str:
        """within, outside, or not_proved."""
        return {"conform": "within", "not-conform": "outside", "not-proved": "not_proved"}[self.conformity]

    @property
    def is_proved(self) -> bool:
        return self.conformity != "not-proved"

    @property
    def words(self) -> str:
        """The verdict in words: "within, proved", "outside, not proved"."""
        place = "within" if self.side == "within" else "outside"
        return f"{place}, {'proved' if self.is_proved else 'not proved'}"

    @property
    def p_words(self) -> str:
        """The probability of conformity in words: "84 %", "over 99.9 %", "under 0.1 %"."""
        percent = 100 * self.p
        if percent > 99.9:
            return "over 99.9 %"
        if percent < 0.1:
            return "under 0.1 %"
        return f"{percent:.1f} %" if percent < 1 or percent > 99 else f"{percent:.0f} %"

    @property
    def is_small(self) -> bool | None:
        """Whether U is at most a quarter of the tolerance; None where a side is open."""
        if self.lower is None or self.upper is None:
            return None
        return float(self.upper - self.lower) * SMALL_SHARE >= self.U

    @property
    def why(self) -> str:
        """The one sentence: the distance from the limit against the uncertainty, and what follows."""
        limit, distance = self._nearest()
        whose = f" ({self.whose})" if self.whose else ""
        inside = self.side == "within"
        uncertainty = f"its uncertainty of {quantity_text(rounded_up(self.U), self.unit)} (k = {self.k:g})"
        if not self.is_proved:
            follows = f"no farther than {uncertainty} can hide, so neither within nor outside is proved"
        elif inside:
            follows = f"at least {uncertainty}, so within is proved"
        else:
            follows = f"more than {uncertainty}, so outside is proved"
        where = f"{'inside' if inside else 'outside'} the limit {self._text(limit)}{whose}"
        return (
            f"{'The mean' if self.n > 1 else 'The reading'} {self._text(self.value)} lies "
            f"{self._text(distance)} {where}, {follows}; the probability that it conforms is {self.p_words}."
        )

    def _text(self, value: Decimal) -> str:
        """A value with its unit; a mean or a converted limit without digits that mean nothing."""
        return quantity_text(_short(value), self.unit)

    @property
    def limits_words(self) -> str:
        """The limits in the unit of the reading, in words."""
        low, high = (None if limit is None else _short(limit) for limit in (self.lower, self.upper))
        return limits_text(low, high, self.unit)

    def as_dict(self) -> dict[str, object]:
        """Return the judgement with the keys of the command `judge`."""
        return {
            "value": self.value,
            "unit": self.unit,
            "low": self.lower,
            "high": self.upper,
            "whose": self.whose,
            "n": self.n,
            "verdict": self.verdict,
            "conformity": self.conformity,
            "side": self.side,
            "probability": self.p,
            "u": self.u,
            "U": self.U,
            "k": self.k,
            "accept_from": self.accept_from,
            "accept_to": self.accept_to,
            "rule": RULE,
            "guard_band": GUARD,
            "simple_acceptance_open": self.is_small,
            "why": self.why,
        }

    def _nearest(self) -> tuple[Decimal, Decimal]:
        limits = [limit for limit in (self.lower, self.upper) if limit is not None]
        if self.side == "below" and self.lower is not None:
            limits = [self.lower]
        if self.side == "above" and self.upper is not None:
            limits = [self.upper]
        limit = min(limits, key=lambda one: abs(self.value - one))
        return limit, abs(self.value - limit)


def judge(
    readings: Sequence[Decimal],
    unit: str,
    *,
    lower: Decimal | Fraction | None = None,
    upper: Decimal | Fraction | None = None,
    limit_unit: str = "",
    half_width: Fraction | None = None,
    spec_k: Decimal | None = None,
    resolution: Decimal | None = None,
    U: Fraction | None = None,
    k: float = COVERAGE_FACTOR,
    whose: str = "",
) -> Judgement:
    """Return what one reading, or the mean of several, proves.

    Parameters
    ----------
    readings : n decimals
        Taken under the same conditions; n at least 1. [unit]
    lower, upper : Decimal or Fraction, optional
        The limits; at least one. [limit_unit, or unit without one]
    half_width : Fraction, optional
        Of the maker's band about the mean, as `Accuracy.half_width` gives it. [unit]
    spec_k : Decimal, optional
        Coverage factor that the maker gives for the band; without it the band is rectangular. [1]
    resolution : Decimal, optional
        Step of the last digit, which counts where no band is given. [unit]
    U : Fraction, optional
        Expanded uncertainty of one reading, taken as it is instead of a band. [unit]
    k : float
        Coverage factor, above 0. [1]
    whose : str
        Whose limit it is, for the sentence.

    Returns
    -------
    Judgement
        In `unit`. The scatter of repeats (Type A) is combined with the instrument's part (Type B).

    Raises
    ------
    Refused
        If no limit is given, limits are crossed or of another kind, or nothing says how accurate it is.

    References
    ----------
    JCGM 100:2008 4.2, 4.3.7, 5.1, 6; JCGM 106:2012 7, 8; ISO 14253-1. trade-values.md section 5.
    """
    low, high = _limits_in(unit, lower, upper, limit_unit or unit)
    limits_given(low, high)
    value = _mean(readings)
    u = _standard(readings, half_width, spec_k, resolution, U, k)
    expanded = float(U) if U is not None and len(readings) == 1 else k * u
    # What is compared exactly is what was given exactly: the digits of the reading, the limits, and U.
    width: Fraction | float = U if U is not None and len(readings) == 1 else expanded
    return Judgement(
        value=readings[0] if len(readings) == 1 else as_decimal(value),
        unit=unit,
        lower=_as_written(low, lower),
        upper=_as_written(high, upper),
        u=u,
        U=expanded,
        k=k,
        p=p_conform(float(value), u, _float(low), _float(high)),
        conformity=placed(value, width, low, high),
        side=_side(value, low, high),
        accept_from=None if low is None else float(low) + expanded,
        accept_to=None if high is None else float(high) - expanded,
        n=len(readings),
        whose=whose,
    )


def _as_written(limit: Fraction | None, given: Decimal | Fraction | None) -> Decimal | None:
    """The limit with the digits it was given with, where no other unit changed them."""
    if limit is None:
        return None
    return given if isinstance(given, Decimal) and given == limit else as_decimal(limit)


def _side(value: Fraction, low: Fraction | None, high: Fraction | None) -> str:
    if low is not None and value < low:
        return "below"
    return "above" if high is not None and value > high else "within"


def half_width_of(
    accuracy: Accuracy,
    readings: Sequence[Decimal],
    unit: str,
    resolution: Decimal | None,
    span: Decimal | None,
) -> Fraction:
    """Return half the width of the maker's band about the mean of the readings. [unit]"""
    return accuracy.half_width(
        _mean(readings),
        unit,
        resolution=None if resolution is None else Fraction(resolution),
        span=None if span is None else Fraction(span),
    )


def _short(value: Decimal) -> Decimal:
    is_short = len(value.as_tuple().digits) <= MOST_DIGITS
    return value if is_short else Context(prec=MOST_DIGITS).create_decimal(value)


def rounded_up(value: float) -> Decimal:
    """Return an uncertainty to two significant digits, never smaller (JCGM 100:2008 7.2.6, from memory)."""
    if value == 0:
        return Decimal(0)
    number = Context(prec=2, rounding=ROUND_CEILING).create_decimal(repr(float(f"{value:.12g}")))
    return Decimal(f"{number:f}")


def _limits_in(
    unit: str, lower: Decimal | Fraction | None, upper: Decimal | Fraction | None, limit_unit: str
) -> tuple[Fraction | None, Fraction | None]:
    if not same_kind(unit, limit_unit):
        raise Refused(
            "limits",
            f"The limits are in {limit_unit}, the reading in {unit}.",
            "limits in a unit of one kind",
        )
    limits_given(lower, upper)
    low, high = (_limit_in(limit, limit_unit, unit) for limit in (lower, upper))
    return (high, low) if inverts(unit, limit_unit) else (low, high)


def _limit_in(limit: Decimal | Fraction | None, unit: str, to: str) -> Fraction | None:
    try:
        return None if limit is None else convert_exactly(limit, unit, to)
    except NoSuchValue:
        return None


def _mean(readings: Sequence[Decimal]) -> Fraction:
    if not readings:
        raise Refused("readings", "There is no reading.", "one reading or more")
    return sum((Fraction(reading) for reading in readings), Fraction(0)) / len(readings)


def _standard(
    readings: Sequence[Decimal],
    half_width: Fraction | None,
    spec_k: Decimal | None,
    resolution: Decimal | None,
    U: Fraction | None,
    k: float,
) -> float:
    if U is not None:
        own = float(U) / k
    elif half_width is not None:
        own = float(half_width) / (float(spec_k) if spec_k else ROOT_3)
    elif resolution is not None:
        own = float(resolution) / 2 / ROOT_3
    else:
        raise Refused("accuracy", "Nothing says how accurate the reading is.", "an accuracy or a resolution")
    scatter = type_a([float(reading) for reading in readings])["u"] if len(readings) > 1 else 0.0
    return combine([own, scatter])


def _float(value: Fraction | None) -> float | None:
    return None if value is None else float(value)
