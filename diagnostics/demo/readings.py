"""Plausible readings for a test kind: inside or outside its limits, or typical where only the maker has any."""

from __future__ import annotations

import random
from dataclasses import dataclass
from decimal import Decimal

from diagnostics.catalogue import TestKind

TYPICAL: dict[str, tuple[str, str]] = {
    "V": ("12.2", "14.4"),
    "mV": ("100", "800"),
    "A": ("2.0", "8.0"),
    "mA": ("10", "40"),
    "ohm": ("0.8", "14.0"),
    "kohm": ("2.0", "12.0"),
    "kPa": ("200", "400"),
    "bar": ("2.0", "4.0"),
    "psi": ("28", "60"),
    "degC": ("82", "96"),
    "mm": ("1.5", "8.0"),
    "min": ("1", "8"),
    "s": ("1.0", "9.0"),
    "Hz": ("20", "90"),
    "1/min": ("720", "900"),
    "%": ("5", "60"),
    "g": ("420", "560"),
    "Nm": ("80", "120"),
    "L": ("3.5", "5.5"),
}
UNKNOWN_UNIT = ("10", "40")
FURTHEST_OUT = 0.6


@dataclass(frozen=True, slots=True)
class Limits:
    """Lower and upper limit of a reading; one may be missing."""

    lo: Decimal | None
    hi: Decimal | None


def limits_of(kind: TestKind, rng: random.Random) -> Limits:
    """Return the generic limits of a kind, or such as a maker's book would give where it has none."""
    if kind.lo is not None or kind.hi is not None:
        return Limits(kind.lo, kind.hi)
    lowest, highest = TYPICAL.get(kind.unit, UNKNOWN_UNIT)
    middle = _between(float(lowest), float(highest), rng)
    places = _places(Decimal(lowest))
    return Limits(_rounded(middle * 0.9, places), _rounded(middle * 1.1, places))


def within(limits: Limits, rng: random.Random) -> Decimal:
    """Return a reading that its limits pass."""
    lo, hi = limits.lo, limits.hi
    if lo is not None and hi is not None:
        value = rng.triangular(float(lo), float(hi))
    elif lo is not None:
        value = float(lo) + abs(float(lo)) * rng.uniform(0.01, 0.25)
    else:
        assert hi is not None
        value = float(hi) - abs(float(hi)) * rng.uniform(0.1, 0.9)
    return _kept_within(_rounded(value, _decimals(limits)), limits)


def outside(limits: Limits, rng: random.Random) -> Decimal:
    """Return a reading that its limits fail, by two steps of its last digit at least."""
    lo, hi = limits.lo, limits.hi
    step = Decimal(1).scaleb(-_decimals(limits))
    below = lo is not None and lo > 0 and (hi is None or rng.random() < 0.5)
    if below and lo is not None:
        value = float(lo) * (1 - rng.uniform(0.03, FURTHEST_OUT))
        return min(max(_rounded(value, _decimals(limits)), Decimal(0)), lo - 2 * step)
    edge = hi if hi is not None else lo
    assert edge is not None
    if hi is None:
        return edge - 2 * step
    value = float(edge) + max(abs(float(edge)), 1.0) * rng.uniform(0.08, 2.5)
    return max(_rounded(value, _decimals(limits)), edge + 2 * step)


def _between(lowest: float, highest: float, rng: random.Random) -> float:
    return rng.uniform(lowest, highest)


def _decimals(limits: Limits) -> int:
    return max(_places(limit) for limit in (limits.lo, limits.hi) if limit is not None)


def _places(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def _rounded(value: float, places: int) -> Decimal:
    return Decimal(f"{value:.{places}f}")


def _kept_within(value: Decimal, limits: Limits) -> Decimal:
    if limits.lo is not None:
        value = max(value, limits.lo)
    if limits.hi is not None:
        value = min(value, limits.hi)
    return value
