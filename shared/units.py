"""The trade's units: what they measure, and the exact factor from one to another.

A reading may be written in one unit and its limits in another. The two can be compared
only when both units are of one kind. A unit that is not in the table is of no other
unit's kind, but the same unknown text equals itself.

Sources
-------
The International System of Units (SI brochure), 9th ed., BIPM, 2019: SI units, prefixes,
litre, minute, hour, and the Celsius zero of 273.15 K. From memory.
NIST Special Publication 811, 2008 ed., appendix B: inch, pound, pound-force, mile, US gallon,
conventional mercury and water columns. From memory; tests check the factors against SciPy.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from decimal import Decimal, localcontext
from fractions import Fraction

# Exact by definition: international yard and pound agreement, 1959; standard gravity, 3rd CGPM, 1901.
INCH_M = Fraction("0.0254")
FOOT_M = 12 * INCH_M
MILE_M = 5280 * FOOT_M
POUND_KG = Fraction("0.45359237")
GRAVITY_M_PER_S2 = Fraction("9.80665")
POUND_FORCE_N = POUND_KG * GRAVITY_M_PER_S2
PSI_PA = POUND_FORCE_N / INCH_M**2
# Conventional columns: mercury of 13 595.1 kg/m3 and water of 1000 kg/m3 (NIST SP 811).
MMHG_PA = Fraction("13.5951") * GRAVITY_M_PER_S2
MMH2O_PA = GRAVITY_M_PER_S2
US_GALLON_L = 231 * (INCH_M * 10) ** 3
CELSIUS_ZERO_K = Fraction("273.15")
FAHRENHEIT_K = Fraction(5, 9)
FAHRENHEIT_ZERO_K = CELSIUS_ZERO_K - 32 * FAHRENHEIT_K

DIGITS = 28  # Significant digits of a converted value that does not end.


class UnitsDoNotMatch(ValueError):
    """Two units measure different things, or one of them is not in the table."""


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: value in the kind's base unit = value * factor + offset."""

    symbol: str
    kind: str
    factor: Fraction
    spellings: tuple[str, ...] = ()
    offset: Fraction = Fraction(0)


def _u(
    symbol: str, kind: str, factor: Fraction | str, spellings: str = "", offset: Fraction = Fraction(0)
) -> Unit:
    names = tuple(name.strip() for name in spellings.split("|") if name.strip() not in ("", symbol))
    return Unit(symbol, kind, Fraction(factor), names, offset)


def _spelled_together(lengths: tuple[str, ...], forces: tuple[str, ...]) -> str:
    """Spellings of a torque: ft-lb, ftlb, ft·lbf, lb ft, and so on."""
    return " | ".join(
        name
        for length in lengths
        for force in forces
        for joint in ("-", "", " ", "·", ".")
        for name in (f"{length}{joint}{force}", f"{force}{joint}{length}")
    )


# Absolute pressure is a kind of its own: it has the factor of gauge pressure, but a limit in the
# one says nothing about a reading in the other, which differ by the air pressure of the day.
_PRESSURES: tuple[tuple[str, Fraction | str, str, str], ...] = (
    ("Pa", "1", "pascal", "Pa abs"),
    ("hPa", "1e2", "hpa", "hPa abs"),
    ("kPa", "1e3", "kpa | KPA | KPa | kPag | kPa gauge", "kPa abs | kPaa | kPa(a) | kPa absolute"),
    ("MPa", "1e6", "megapascal", "MPa abs"),
    ("bar", "1e5", "Bar | BAR | barg | bar gauge", "bara | bar abs | bar(a) | bar absolute"),
    ("mbar", "1e2", "millibar | mbarg", "mbar abs | mbara"),
    ("psi", PSI_PA, "PSI | Psi | psig | PSIG | lbf/in2 | lb/in2", "psia | PSIA | psi abs | psi absolute"),
    ("inHg", MMHG_PA * 254 / 10, "in Hg | inhg | in.Hg | in. Hg | inHG", "inHg abs | inHgA"),
    ("mmHg", MMHG_PA, "mm Hg | mmhg", "mmHg abs"),
    ("inH2O", MMH2O_PA * 254 / 10, "in H2O | inWC | in WC | inH₂O", "inH2O abs"),
    ("mmH2O", MMH2O_PA, "mm H2O | mmWC", "mmH2O abs"),
)

UNITS: tuple[Unit, ...] = (
    _u("V", "voltage", "1", "v | volt | volts | Volt | Volts"),
    _u("mV", "voltage", "1e-3", "mv | millivolt | millivolts"),
    _u("kV", "voltage", "1e3", "kv | KV | kilovolt | kilovolts"),
    _u("µV", "voltage", "1e-6", "uV | microvolt | microvolts"),
    _u("A", "current", "1", "a | amp | amps | ampere | amperes | Amp | Amps"),
    _u("mA", "current", "1e-3", "ma | milliamp | milliamps"),
    _u("µA", "current", "1e-6", "uA | microamp | microamps"),
    _u("kA", "current", "1e3", "kiloamp"),
    _u("Ω", "resistance", "1", "ohm | ohms | Ohm | Ohms | OHM | R"),
    _u("mΩ", "resistance", "1e-3", "mohm | mOhm | milliohm | milliohms"),
    _u("kΩ", "resistance", "1e3", "kohm | kOhm | kohms | Kohm | KOhm | KΩ | kilohm | kilohms | kiloohm"),
    _u("MΩ", "resistance", "1e6", "Mohm | MOhm | Mohms | megohm | megohms | megaohm"),
    _u("s", "time", "1", "sec | secs | second | seconds"),
    _u("ms", "time", "1e-3", "msec | millisecond | milliseconds"),
    _u("µs", "time", "1e-6", "us | usec | microsecond | microseconds"),
    _u("ns", "time", "1e-9", "nanosecond | nanoseconds"),
    _u("min", "time", "60", "mins | minute | minutes"),
    _u("h", "time", "3600", "hr | hrs | hour | hours"),
    _u("d", "time", "86400", "day | days"),
    _u("Hz", "frequency", "1", "hz | HZ | hertz"),
    _u("kHz", "frequency", "1e3", "khz | KHz | kilohertz"),
    _u("MHz", "frequency", "1e6", "megahertz"),
    _u("rpm", "rotational speed", "1", "RPM | Rpm | r/min | rev/min | min-1 | 1/min"),
    _u("K", "temperature", "1", "kelvin"),
    _u("°C", "temperature", "1", "C | degC | deg C | celsius", CELSIUS_ZERO_K),
    # In a repair shop a bare F is Fahrenheit; the farad is written out or has a prefix. Common practice.
    _u("°F", "temperature", FAHRENHEIT_K, "F | degF | deg F | fahrenheit", FAHRENHEIT_ZERO_K),
    *(_u(symbol, "pressure", factor, names) for symbol, factor, names, _ in _PRESSURES),
    *(
        _u(names.split(" | ")[0], "absolute pressure", factor, " | ".join(names.split(" | ")[1:]))
        for _, factor, _, names in _PRESSURES
    ),
    _u("N·m", "torque", "1", "Nm | N m | N-m | N.m | N*m | NM"),
    _u(
        "ft-lb",
        "torque",
        FOOT_M * POUND_FORCE_N,
        _spelled_together(("ft", "foot"), ("lb", "lbs", "lbf")),
    ),
    _u(
        "in-lb",
        "torque",
        INCH_M * POUND_FORCE_N,
        _spelled_together(("in", "inch"), ("lb", "lbs", "lbf")),
    ),
    _u("m", "length", "1", "metre | metres | meter | meters"),
    _u("km", "length", "1e3", "kilometre | kilometres | kilometer | kilometers"),
    _u("cm", "length", "1e-2", "centimetre | centimeter"),
    _u("mm", "length", "1e-3", "millimetre | millimetres | millimeter | millimeters"),
    _u("µm", "length", "1e-6", "um | micron | microns | micrometre | micrometer"),
    _u("in", "length", INCH_M, 'inch | inches | in. | "'),
    _u("thou", "length", INCH_M / 1000, "thousandths"),
    _u("ft", "length", FOOT_M, "foot | feet"),
    _u("mi", "length", MILE_M, "mile | miles"),
    _u("km/h", "speed", Fraction(1000, 3600), "kmh | kph | KPH | km/hr"),
    _u("mph", "speed", MILE_M / 3600, "MPH | mi/h"),
    _u("m/s", "speed", "1", "mps"),
    _u("L", "volume", "1", "l | litre | litres | liter | liters"),
    _u("mL", "volume", "1e-3", "ml | cc | cm3 | cm³ | millilitre | milliliter"),
    _u("gal", "volume", US_GALLON_L, "US gal | gallon | gallons"),
    _u("qt", "volume", US_GALLON_L / 4, "US qt | quart | quarts"),
    _u("L/h", "volume flow", "1", "l/h | L/hr | l/hr | lph"),
    _u("L/min", "volume flow", "60", "l/min | lpm | LPM"),
    _u("mL/min", "volume flow", "0.06", "ml/min | cc/min"),
    _u("g/s", "mass flow", "1", "gps | g/sec"),
    _u("kg/h", "mass flow", Fraction(1000, 3600), "kg/hr"),
    _u("lb/min", "mass flow", POUND_KG * 1000 / 60, "lbs/min"),
    _u("%", "ratio", "1e-2", "percent | per cent | pct | % vol | vol %"),
    _u("ppm", "ratio", "1e-6", "PPM | ppm vol"),
    _u("°", "angle", "1", "deg | degree | degrees"),
    _u("W", "power", "1", "watt | watts"),
    _u("mW", "power", "1e-3", "milliwatt"),
    _u("kW", "power", "1e3", "kw | KW | kilowatt | kilowatts"),
    _u("hp", "power", 550 * FOOT_M * POUND_FORCE_N, "HP | bhp"),
    _u("PS", "power", 75 * GRAVITY_M_PER_S2, "metric hp"),
    _u("Ah", "charge", "3600", "A·h | Ah. | amp hour | amp hours | ampere hour"),
    _u("mAh", "charge", "3.6", "mA·h"),
    _u("J", "energy", "1", "joule | joules"),
    _u("mJ", "energy", "1e-3", "millijoule"),
    _u("kJ", "energy", "1e3", "kilojoule"),
    _u("Wh", "energy", "3600", "W·h"),
    _u("kWh", "energy", "3.6e6", "kW·h"),
    _u("farad", "capacitance", "1", "farads"),
    _u("mF", "capacitance", "1e-3", "millifarad"),
    _u("µF", "capacitance", "1e-6", "uF | microfarad | microfarads"),
    _u("nF", "capacitance", "1e-9", "nanofarad"),
    _u("pF", "capacitance", "1e-12", "picofarad"),
    _u("H", "inductance", "1", "henry"),
    _u("mH", "inductance", "1e-3", "millihenry"),
    _u("µH", "inductance", "1e-6", "uH | microhenry"),
    _u("kg", "mass", "1", "kilogram | kilograms | kilo | kilos"),
    _u("g", "mass", "1e-3", "gram | grams"),
    _u("mg", "mass", "1e-6", "milligram | milligrams"),
    _u("lb", "mass", POUND_KG, "lbs | lbm | pound | pounds"),
    _u("oz", "mass", POUND_KG / 16, "ounce | ounces"),
    _u("N", "force", "1", "newton | newtons"),
    _u("kN", "force", "1e3", "kilonewton"),
    _u("lbf", "force", POUND_FORCE_N, "pound-force"),
    _u("1", "count", "1", "count | counts | x | times"),
)


def _plain(text: str) -> str:
    """One form for characters that look alike: ohm sign, micro sign, ordinal for degree, blanks."""
    alike = text.replace("º", "°").replace("˚", "°")
    return " ".join(unicodedata.normalize("NFKC", alike).replace("μ", "µ").split())


_BY_SPELLING: dict[str, Unit] = {
    _plain(spelling): unit for unit in UNITS for spelling in (unit.symbol, *unit.spellings)
}
_SEEN: dict[str, Unit | None] = {}
_SEEN_LIMIT = 4096  # Texts come from imported files, so the memory of them is bounded.


def find_unit(text: str) -> Unit | None:
    """Return the unit that `text` spells, or None. Case matters: mV is not MV."""
    if text in _SEEN:
        return _SEEN[text]
    unit = _BY_SPELLING.get(_plain(text))
    if len(_SEEN) < _SEEN_LIMIT:
        _SEEN[text] = unit
    return unit


def is_known(text: str) -> bool:
    """Return whether the table has this unit."""
    return find_unit(text) is not None


def same_kind(a: str, b: str) -> bool:
    """Return whether values in `a` and `b` can be compared.

    Parameters
    ----------
    a, b : str
        Units as written, such as "mV" and "volts".

    Returns
    -------
    bool
        True for two known units of one kind, and for one unknown text twice. Blank is no unit.
    """
    first, second = find_unit(a), find_unit(b)
    if first is None or second is None:
        return first is second and _plain(a) == _plain(b) != ""
    return first.kind == second.kind


def convert_exactly(value: Decimal | Fraction, unit: str, to: str) -> Fraction:
    """Return `value`, given in `unit`, in the unit `to`, without rounding.

    Raises
    ------
    UnitsDoNotMatch
        If the two units are not of one kind.
    """
    source, target = find_unit(unit), find_unit(to)
    if not same_kind(unit, to):
        raise UnitsDoNotMatch(_why_not(unit, source, to, target))
    if source is None or target is None or source is target:
        return Fraction(value)
    return (Fraction(value) * source.factor + source.offset - target.offset) / target.factor


def convert(value: Decimal, unit: str, to: str) -> Decimal:
    """Return `value`, given in `unit`, in the unit `to`.

    Parameters
    ----------
    value : Decimal
        The value in `unit`. [unit]
    unit, to : str
        Two units of one kind. A temperature is converted as a reading, with its offset, not as a
        difference.

    Returns
    -------
    Decimal
        Exact where the answer ends within 28 significant digits, else rounded to them. [to]

    Raises
    ------
    UnitsDoNotMatch
        If the two units are not of one kind.
    """
    if find_unit(unit) is find_unit(to) and same_kind(unit, to):
        return value
    return as_decimal(convert_exactly(value, unit, to))


def as_decimal(value: Decimal | Fraction) -> Decimal:
    """Return an exact ratio as a decimal of at most 28 significant digits."""
    if isinstance(value, Decimal):
        return value
    with localcontext() as context:
        context.prec = DIGITS
        return Decimal(value.numerator) / Decimal(value.denominator)


def _why_not(unit: str, source: Unit | None, to: str, target: Unit | None) -> str:
    for text, known in ((unit, source), (to, target)):
        if known is None:
            return f"'{text}' is not a unit this site knows. Write one that it knows, such as V, ohm or kPa."
    assert source is not None
    assert target is not None
    return (
        f"'{unit}' measures {source.kind} and '{to}' measures {target.kind}. Give both in units of one kind."
    )
