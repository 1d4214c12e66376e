"""How the figures of an answer are written: as many digits as mean something, the unit behind."""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal

from shared.wording import NBSP, number_text, quantity_text

DIGITS = 4
# Beyond these a plain number has more zeros than anyone counts.
SMALLEST_PLAIN, LARGEST_PLAIN = 1e-6, 1e12

_RAISED = str.maketrans("0123456789-", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻")


def figure(value: float, unit: str = "", digits: int = DIGITS) -> str:
    """Return a number of so many significant digits, without idle zeros, and its unit.

    Parameters
    ----------
    value : float or int
        In `unit`. A whole number given as `int` keeps all its digits.
    unit : str
        Empty where the value has none.
    digits : int
        Significant digits that are kept, 1 or more.
    """
    if isinstance(value, int):
        return quantity_text(value, unit)
    if not math.isfinite(value):
        return "no finite number"
    if value and not SMALLEST_PLAIN <= abs(value) < LARGEST_PLAIN:
        return _with_power(value, digits) + (f"{NBSP}{unit}" if unit else "")
    rounded = Decimal(f"{value:.{digits}g}").normalize() + 0
    return quantity_text(rounded, unit)


def figures(values: Sequence[float], unit: str = "", digits: int = DIGITS) -> str:
    """Return several numbers and their unit once: "1,200; 1,180 kPa"."""
    body = "; ".join(figure(value, "", digits) for value in values)
    return f"{body}{NBSP}{unit}" if unit and body else body


def _with_power(value: float, digits: int) -> str:
    mantissa, _, power = f"{value:.{digits - 1}e}".partition("e")
    return f"{number_text(Decimal(mantissa).normalize())}{NBSP}×{NBSP}10{str(int(power)).translate(_RAISED)}"
