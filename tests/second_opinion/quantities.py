"""A small exact unit table: symbol, kind, factor and offset to the base unit of its kind."""

from decimal import Decimal
from fractions import Fraction

POUND_FORCE_NEWTON = Fraction("0.45359237") * Fraction(
    "9.80665"
)  # international pound, standard gravity: exact
SQUARE_INCH_M2 = Fraction("0.0254") ** 2  # international inch: exact
KM_PER_MILE = Decimal("1.609344")  # international mile: exact

_KPA = Fraction(1000)
UNITS: dict[str, tuple[str, Fraction, Fraction]] = {
    "V": ("voltage", Fraction(1), Fraction(0)),
    "mV": ("voltage", Fraction(1, 1000), Fraction(0)),
    "ohm": ("resistance", Fraction(1), Fraction(0)),
    "kohm": ("resistance", Fraction(1000), Fraction(0)),
    "kPa": ("pressure", _KPA, Fraction(0)),
    "bar": ("pressure", Fraction(100000), Fraction(0)),
    "psi": ("pressure", POUND_FORCE_NEWTON / SQUARE_INCH_M2, Fraction(0)),
    "°C": ("temperature", Fraction(1), Fraction("273.15")),
    "°F": ("temperature", Fraction(5, 9), Fraction("273.15") - Fraction(160, 9)),
}


def exact(number: object) -> Fraction:
    return Fraction(str(number))


def converted(value: Fraction, unit: str, into: str) -> Fraction | None:
    """The value in another unit of its kind, else None. A strange unit is of no kind but its own."""
    if unit == into:
        return value
    if unit not in UNITS or into not in UNITS or UNITS[unit][0] != UNITS[into][0]:
        return None
    _, factor, offset = UNITS[unit]
    _, into_factor, into_offset = UNITS[into]
    return (value * factor + offset - into_offset) / into_factor


def kilometres(number: object, unit: str | None) -> Decimal | None:
    if number is None:
        return None
    return Decimal(str(number)) * (KM_PER_MILE if unit == "mi" else 1)
