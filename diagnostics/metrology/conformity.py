"""Whether a reading proves that it lies within limits, that it does not, or neither.

Sources: ISO 14253-1 for the three-way rule (read in public summaries); JCGM 106:2012 clause 7 for the
probability of conformity and clause 8 for guard bands (from memory). trade-values.md section 5.
"""

from __future__ import annotations

import math
from decimal import Decimal
from fractions import Fraction
from statistics import NormalDist
from typing import Literal

from diagnostics.metrology.uncertainty import COVERAGE_FACTOR, spec_u
from shared.computing import Refused

Conformity = Literal["conform", "not-proved", "not-conform"]
Number = int | float | Decimal | Fraction


def three_way(
    reading: float,
    percent: float = 0.0,
    counts: float = 0.0,
    resolution: float | None = None,
    U: float | None = None,
    k: float | None = None,
    lower: float | None = None,
    upper: float | None = None,
) -> Conformity:
    """Return whether conformity is proved, non-conformity is, or neither.

    Parameters
    ----------
    reading, percent, counts, resolution
        As in `spec_half_width`. [unit]
    U : float, optional
        Expanded uncertainty, taken as it is. [unit]
    k : float, optional
        Coverage factor in U = k a / sqrt 3; 2 without it. [1]
    lower, upper : float, optional
        The limits; at least one. [unit]

    Returns
    -------
    {'conform', 'not-proved', 'not-conform'}
        Conform if lower + U <= reading <= upper - U, equality included; not-conform beyond a limit by more
        than U.

    Raises
    ------
    Refused
        If no limit is given, the limits are crossed, or nothing says how accurate the reading is.

    References
    ----------
    ISO 14253-1 (rule read in public summaries); trade-values.md section 5, contract of `metro.three_way`.
    """
    limits_given(lower, upper)
    if U is None:
        U = (COVERAGE_FACTOR if k is None else k) * spec_u(reading, percent, counts, resolution)
    return placed(reading, U, lower, upper)


def placed(reading: Number, U: Number, lower: Number | None, upper: Number | None) -> Conformity:
    """Return the three-way verdict, compared on the digits as written, so that equality is equality."""
    y, width = _exactly(reading), _exactly(U)
    low = None if lower is None else _exactly(lower)
    high = None if upper is None else _exactly(upper)
    if (low is None or y >= low + width) and (high is None or y <= high - width):
        return "conform"
    if (low is not None and y < low - width) or (high is not None and y > high + width):
        return "not-conform"
    return "not-proved"


def p_conform(y: float, u: float, lower: float | None = None, upper: float | None = None) -> float:
    """Return the probability that the true value lies within the limits.

    Parameters
    ----------
    y : float
        Best estimate. [unit]
    u : float
        Its standard uncertainty, 0 or more; the true value is taken to be normal about y. [unit]
    lower, upper : float, optional
        The limits; at least one. [unit]

    Returns
    -------
    float
        Phi((upper - y) / u) - Phi((lower - y) / u), 0 to 1; small probabilities keep their digits. [1]

    Raises
    ------
    Refused
        If no limit is given or the limits are crossed.

    References
    ----------
    JCGM 106:2012 7.2 to 7.4 (from memory).
    """
    limits_given(lower, upper)
    if u == 0:
        return float((lower is None or y >= lower) and (upper is None or y <= upper))
    below = -math.inf if lower is None else (lower - y) / u
    above = math.inf if upper is None else (upper - y) / u
    if below > 0:  # Both limits on the upper tail: taken from there, where nothing cancels.
        below, above = -above, -below
    return _phi(above) - _phi(below)


def guard_limit(
    p: float, u: float, lower: float | None = None, upper: float | None = None
) -> float | dict[str, float]:
    """Return the acceptance limit up to which conformity is proved with a probability of at least p.

    Parameters
    ----------
    p : float
        Probability of conformity on one side, 0.5 to below 1. [1]
    u : float
        Standard uncertainty. [unit]
    lower, upper : float, optional
        The limits; at least one. [unit]

    Returns
    -------
    float or dict
        upper - z u, or lower + z u, with z the quantile of p: 1.645 for 95 %. With both limits a dict of
        both; the rule guards each side on its own. [unit]

    Raises
    ------
    Refused
        If no limit is given, the limits are crossed, or no acceptance zone is left between them.

    References
    ----------
    JCGM 106:2012 8.3 (from memory).
    """
    limits_given(lower, upper)
    width = NormalDist().inv_cdf(p) * u
    low = None if lower is None else lower + width
    high = None if upper is None else upper - width
    if low is not None and high is not None:
        if low > high:
            raise Refused("u", "The guard bands meet: no reading could prove conformity.", "a smaller u")
        return {"lower": low, "upper": high}
    only = low if low is not None else high
    assert only is not None
    return only


def limits_given(lower: Number | None, upper: Number | None) -> None:
    """Refuse a judgement without a limit, or with the limits crossed."""
    if lower is None and upper is None:
        raise Refused("lower", "No limit is given.", "a lower limit, an upper limit, or both")
    if lower is not None and upper is not None and lower > upper:
        raise Refused("upper", f"The upper limit {upper} is below the lower limit {lower}.", "lower or more")


def _exactly(value: Number) -> Fraction:
    return Fraction(str(value)) if isinstance(value, float) else Fraction(value)


def _phi(z: float) -> float:
    return math.erfc(-z / math.sqrt(2)) / 2
