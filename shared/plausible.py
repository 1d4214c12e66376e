"""What a workshop's instruments can show: a band for each kind, and slips of a prefix.

The bands are wide. A value outside is asked about, never refused for good, unless nature forbids it.
Common practice, no source found: each is a round figure above what the trade measures, such as
an ignition voltage of 50 kV, a starter current of 2 kA, a diesel rail of 300 MPa, a turbine of 300,000 rpm.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from shared.numerals import Question
from shared.units import NoSuchValue, convert_exactly, find_unit, inverts, same_kind, scaled

# Lowest and highest value in the base unit of the kind (that of factor 1 in shared/units.py).
BANDS: dict[str, tuple[str, str]] = {
    "voltage": ("-1e5", "1e5"),
    "current": ("-1e4", "1e4"),
    "cold cranking rating": ("0", "3000"),
    "resistance": ("-10", "1e13"),
    "conductance": ("0", "1e5"),
    "time": ("-1e9", "1e9"),
    "frequency": ("0", "1e11"),
    "bit rate": ("0", "1e11"),
    "rotational speed": ("-4e5", "4e5"),
    "temperature": ("170", "2300"),
    "pressure": ("-1.1e5", "5e8"),
    "absolute pressure": ("0", "5e8"),
    "torque": ("-1e5", "1e5"),
    "length": ("-2e9", "2e9"),
    "area": ("0", "1e3"),
    "speed": ("-150", "150"),
    "acceleration": ("-1e4", "1e4"),
    "volume": ("0", "1e6"),
    "fuel economy": ("0", "1e3"),
    "volume flow": ("-1e7", "1e7"),
    "mass flow": ("-1e5", "1e5"),
    "mass a stroke": ("0", "1e4"),
    "ratio": ("-100", "100"),
    "angle": ("-7200", "7200"),
    "air ratio": ("0", "100"),
    "air-fuel ratio": ("0", "1000"),
    "relative density": ("0", "25"),
    "density": ("0", "25000"),
    "acidity": ("-2", "16"),
    "level": ("-300", "300"),
    "sound level": ("0", "200"),
    "illuminance": ("0", "2e5"),
    "luminous intensity": ("0", "1e7"),
    "power": ("-1e7", "1e7"),
    "charge": ("-1e8", "1e8"),
    "energy": ("-1e11", "1e11"),
    "capacitance": ("0", "1e5"),
    "inductance": ("0", "1e4"),
    "mass": ("-1e5", "1e5"),
    "force": ("-1e7", "1e7"),
    "count": ("-1e12", "1e12"),
}
IMPOSSIBLE_BELOW = {"temperature": Fraction(0), "absolute pressure": Fraction(0)}
SMALLEST = Fraction(1, 10**16)  # Nearer to zero than this no kind is measured, in its base unit.
# "About 1000": with a value this many times beyond the limit, the thousandth part is looked at.
FAR = 100
# A limit on one side only says less about what to expect: so far from it may the true reading be.
NEAR_TWO_SIDED, NEAR_ONE_SIDED = 2, 20
THOUSAND = Fraction(1000)
# Open-ended kinds: insulation of a thousand times the least that is asked is a good reading.
MORE_IS_FINE = {"resistance"}


def ask_about_size(value: Decimal, unit: str) -> None:
    """Ask about a value that no instrument of a workshop shows.

    Raises
    ------
    Question
        Code `impossible` below absolute zero; `absurd`, to be confirmed, outside the band of the kind.
    """
    known = find_unit(unit)
    if known is None or value == 0:
        return
    base, shown = known.to_base(value), f"{value:f} {known.symbol}"
    if base < IMPOSSIBLE_BELOW.get(known.kind, base):
        raise Question("impossible", f"{shown} is below absolute zero. Check sign and number.")
    low, high = (Fraction(bound) for bound in BANDS[known.kind])
    if low <= base <= high and (abs(base) >= SMALLEST or known.is_reciprocal):
        return
    smaller, larger = scaled(unit, 1 / THOUSAND), scaled(unit, THOUSAND)
    other = smaller if abs(base) > 1 else larger
    raise Question(
        "absurd",
        f"{shown} is no {known.kind} that a workshop measures. Is it meant so? Check number and unit.",
        (f"{value:f} {other.symbol}",) if other else (),
        can_confirm=True,
    )


def ask_about_prefix(
    value: Decimal, unit: str, lo: Decimal | None, hi: Decimal | None, limit_unit: str
) -> None:
    """Ask about a value about 1000 times beyond what is expected, if the next prefix would explain it.

    Parameters
    ----------
    value : Decimal
        As typed. [unit]
    lo, hi : Decimal, optional
        What is expected. [limit_unit]

    Raises
    ------
    Question
        Code `prefix_slip`, to be confirmed; the reading with the other prefix is suggested.
    """
    if not same_kind(unit, limit_unit) or value == 0 or inverts(unit, limit_unit):
        return
    try:
        size = convert_exactly(value, unit, limit_unit)
    except NoSuchValue:
        return
    factor = _factor_of_slip(size, lo, hi, limit_unit)
    other = scaled(unit, factor) if factor else None
    if factor is None or other is None:
        return
    known = find_unit(unit)
    times = "1000 times above" if factor < 1 else "1000 times below"
    raise Question(
        "prefix_slip",
        f"{value:f} {known.symbol if known else unit} is about {times} what is expected here. "
        f"Is it {value:f} {other.symbol}?",
        (f"{value:f} {other.symbol}",),
        can_confirm=True,
    )


def _factor_of_slip(size: Fraction, lo: Decimal | None, hi: Decimal | None, unit: str) -> Fraction | None:
    """The prefix that would bring the value to its limits: 1/1000, 1000, or none."""
    bounds = [abs(Fraction(bound)) for bound in (lo, hi) if bound]
    if not bounds:
        return None
    near = NEAR_TWO_SIDED if len(bounds) == 2 else NEAR_ONE_SIDED
    most = max(bounds) * (NEAR_TWO_SIDED if hi is not None else near)
    least = min(bounds) / (NEAR_TWO_SIDED if lo is not None else near)
    known = find_unit(unit)
    is_high = abs(size) > FAR * max(bounds) and not (
        hi is None and known is not None and known.kind in MORE_IS_FINE
    )
    is_low = abs(size) * FAR < min(bounds) and (lo is not None and size < lo)
    if is_high and least <= abs(size) / THOUSAND <= most:
        return 1 / THOUSAND
    if is_low and least <= abs(size) * THOUSAND <= most:
        return THOUSAND
    return None
