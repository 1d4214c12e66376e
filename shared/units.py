"""The trade's units: what they measure, and the exact factor from one to another.

A reading may be written in one unit and its limits in another. The two can be compared
only when both units are of one kind. A unit that is not in the table is of no other
unit's kind, but the same unknown text equals itself.

Sources
-------
The International System of Units (SI brochure), 9th ed., BIPM, 2019: SI units, prefixes,
litre, minute, hour, and the Celsius zero of 273.15 K. From memory.
NIST Special Publication 811, 2008 ed., appendix B: inch, pound, pound-force, mile, US gallon, fluid
ounce, conventional mercury and water columns, standard atmosphere and torr, British thermal unit
(International Table). From memory; tests check the factors against SciPy, and every unit against pint.
UK Weights and Measures Act 1985, schedule 1: imperial gallon of 4.546 09 L. From memory.
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
IMPERIAL_GALLON_L = Fraction("4.54609")
CUBIC_FOOT_L = (FOOT_M * 10) ** 3
ATMOSPHERE_PA = Fraction(101325)
TORR_PA = ATMOSPHERE_PA / 760
BTU_J = Fraction("1055.05585262")
CELSIUS_ZERO_K = Fraction("273.15")
FAHRENHEIT_K = Fraction(5, 9)
FAHRENHEIT_ZERO_K = CELSIUS_ZERO_K - 32 * FAHRENHEIT_K

DIGITS = 28  # Significant digits of a converted value that does not end.


class UnitsDoNotMatch(ValueError):
    """Two units measure different things, or one of them is not in the table."""


class NoSuchValue(ValueError):
    """A value has no counterpart in the other unit: 0 L/100 km is no number of miles per gallon."""


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: value in the kind's base unit = value * factor + offset, or factor / value if reciprocal."""

    symbol: str
    kind: str
    factor: Fraction
    spellings: tuple[str, ...] = ()
    offset: Fraction = Fraction(0)
    is_reciprocal: bool = False

    def to_base(self, value: Decimal | Fraction) -> Fraction:
        """Return a value of this unit in the base unit of its kind, exactly."""
        number = Fraction(value)
        if self.is_reciprocal:
            return self._over(number)
        return number * self.factor + self.offset

    def from_base(self, value: Fraction) -> Fraction:
        """Return a value of the base unit in this unit, exactly."""
        return self._over(value) if self.is_reciprocal else (value - self.offset) / self.factor

    def _over(self, number: Fraction) -> Fraction:
        if number == 0:
            raise NoSuchValue(f"0 has no counterpart in {self.symbol}, which counts the other way round.")
        return self.factor / number


def _u(
    symbol: str,
    kind: str,
    factor: Fraction | str,
    spellings: str = "",
    offset: Fraction = Fraction(0),
    *,
    is_reciprocal: bool = False,
) -> Unit:
    names = tuple(name.strip() for name in spellings.split("|") if name.strip() not in ("", symbol))
    return Unit(symbol, kind, Fraction(factor), names, offset, is_reciprocal)


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
    ("kgf/cm²", GRAVITY_M_PER_S2 * 10_000, "kg/cm² | kg/cm2 | kgf/cm2", "kgf/cm² abs"),
    ("ksi", PSI_PA * 1000, "KSI", "ksi abs"),
)
# Only ever used for absolute pressure: the vacuum that a refrigerant circuit is pumped down to.
_VACUUMS: tuple[tuple[str, Fraction, str], ...] = (
    ("atm", ATMOSPHERE_PA, "atmosphere | atmospheres"),
    ("Torr", TORR_PA, "torr | TORR"),
    ("mTorr", TORR_PA / 1000, "mtorr"),
    ("µmHg", MMHG_PA / 1000, "umHg | micron Hg | microns Hg"),
)

UNITS: tuple[Unit, ...] = (
    _u("V", "voltage", "1", "v | volt | volts | Volt | Volts | VDC | Vdc | V DC | V dc | VAC | V AC"),
    _u("mV", "voltage", "1e-3", "mv | millivolt | millivolts | mVDC | mV DC | mVAC | mV AC"),
    _u("kV", "voltage", "1e3", "kv | KV | kilovolt | kilovolts"),
    _u("µV", "voltage", "1e-6", "uV | microvolt | microvolts"),
    _u("A", "current", "1", "a | amp | amps | ampere | amperes | Amp | Amps | ADC | A DC | AAC | A AC"),
    _u("mA", "current", "1e-3", "ma | milliamp | milliamps | mADC | mA DC"),
    _u("µA", "current", "1e-6", "uA | microamp | microamps"),
    _u("nA", "current", "1e-9", "nanoamp | nanoamps"),
    _u("kA", "current", "1e3", "kiloamp"),
    # A rating by a cold test (SAE J537, EN 50342-1), not a current that flows: of no other unit's kind.
    _u("CCA", "cold cranking rating", "1", "cca | A CCA | CCA A"),
    _u("Ω", "resistance", "1", "ohm | ohms | Ohm | Ohms | OHM | R"),
    _u("µΩ", "resistance", "1e-6", "uohm | µohm | microohm | microohms"),
    _u("mΩ", "resistance", "1e-3", "mohm | mOhm | milliohm | milliohms"),
    _u("kΩ", "resistance", "1e3", "kohm | kOhm | kohms | Kohm | KOhm | KΩ | kilohm | kilohms | kiloohm"),
    _u("MΩ", "resistance", "1e6", "Mohm | MOhm | Mohms | megohm | megohms | megaohm"),
    _u("GΩ", "resistance", "1e9", "Gohm | GOhm | gigohm | gigohms"),
    _u("S", "conductance", "1", "siemens | mho | mhos"),
    _u("mS", "conductance", "1e-3", "millisiemens"),
    _u("µS", "conductance", "1e-6", "uS | microsiemens"),
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
    _u("mHz", "frequency", "1e-3", "millihertz"),
    _u("GHz", "frequency", "1e9", "gigahertz"),
    _u("bit/s", "bit rate", "1", "bps | baud | Bd"),
    _u("kbit/s", "bit rate", "1e3", "kbps | kbaud | kBd"),
    _u("Mbit/s", "bit rate", "1e6", "Mbps | MBd"),
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
    *(_u(symbol, "absolute pressure", factor, names) for symbol, factor, names in _VACUUMS),
    _u("N·m", "torque", "1", "Nm | N m | N-m | N.m | N*m | NM | newton metre | newton metres"),
    _u("N·cm", "torque", "1e-2", "Ncm | N cm | N-cm | N.cm"),
    _u("kgf·m", "torque", GRAVITY_M_PER_S2, "kgf-m | kgfm | kgm | kg-m | kg·m | kgf m"),
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
    _u(
        "oz-in",
        "torque",
        INCH_M * POUND_FORCE_N / 16,
        _spelled_together(("in", "inch"), ("oz", "ozf")),
    ),
    _u("m", "length", "1", "metre | metres | meter | meters"),
    _u("km", "length", "1e3", "kilometre | kilometres | kilometer | kilometers"),
    _u("cm", "length", "1e-2", "centimetre | centimeter"),
    _u("mm", "length", "1e-3", "millimetre | millimetres | millimeter | millimeters"),
    _u("µm", "length", "1e-6", "um | micron | microns | micrometre | micrometer"),
    _u("in", "length", INCH_M, 'inch | inches | in. | "'),
    _u("thou", "length", INCH_M / 1000, "thousandths | mil | mils"),
    # Tread is read on gauges that count thirty-seconds: 49 CFR 393.75(c) and 570.9 give limits in them.
    _u("32nds", "length", INCH_M / 32, "32nds in | thirty-seconds"),
    _u("yd", "length", 3 * FOOT_M, "yard | yards"),
    _u("ft", "length", FOOT_M, "foot | feet"),
    _u("mi", "length", MILE_M, "mile | miles"),
    _u("km/h", "speed", Fraction(1000, 3600), "kmh | kph | KPH | km/hr"),
    _u("mph", "speed", MILE_M / 3600, "MPH | mi/h"),
    _u("m/s", "speed", "1", "mps"),
    _u("ft/s", "speed", FOOT_M, "fps"),
    _u("m/s²", "acceleration", "1", "m/s2 | m/s/s"),
    _u("g0", "acceleration", GRAVITY_M_PER_S2, "gee | gn"),
    _u("mm²", "area", "1e-6", "mm2 | sq mm"),
    _u("cm²", "area", "1e-4", "cm2 | sq cm"),
    _u("m²", "area", "1", "m2 | sq m"),
    _u("in²", "area", INCH_M**2, "in2 | sq in"),
    _u("L", "volume", "1", "l | litre | litres | liter | liters"),
    _u("mL", "volume", "1e-3", "ml | cc | cm3 | cm³ | millilitre | milliliter"),
    _u("gal", "volume", US_GALLON_L, "US gal | gallon | gallons"),
    _u("qt", "volume", US_GALLON_L / 4, "US qt | quart | quarts"),
    _u("pt", "volume", US_GALLON_L / 8, "US pt | pint | pints"),
    _u("fl oz", "volume", US_GALLON_L / 128, "US fl oz | floz | fluid ounce | fluid ounces"),
    _u("imp gal", "volume", IMPERIAL_GALLON_L, "UK gal | imperial gallon | imperial gallons"),
    _u("cu in", "volume", (INCH_M * 10) ** 3, "in3 | in³ | cid | cubic inch | cubic inches"),
    _u("mm³", "volume", "1e-6", "mm3 | µL | uL"),
    _u("m³", "volume", "1e3", "m3"),
    # Distance for a volume and volume for a distance are one kind: more in the one is less in the other.
    _u("km/L", "fuel economy", "1", "km/l | kpl"),
    _u("mpg", "fuel economy", MILE_M / 1000 / US_GALLON_L, "MPG | mpg US | US mpg | mpg (US)"),
    _u("mpg imp", "fuel economy", MILE_M / 1000 / IMPERIAL_GALLON_L, "imp mpg | mpg UK | UK mpg | mpg (imp)"),
    _u("L/100 km", "fuel economy", "100", "l/100km | L/100km | l/100 km | litres/100 km", is_reciprocal=True),
    _u("L/h", "volume flow", "1", "l/h | L/hr | l/hr | lph"),
    _u("L/min", "volume flow", "60", "l/min | lpm | LPM"),
    _u("mL/min", "volume flow", "0.06", "ml/min | cc/min"),
    _u("L/s", "volume flow", "3600", "l/s"),
    _u("m³/h", "volume flow", "1e3", "m3/h | m3/hr"),
    _u("cfm", "volume flow", CUBIC_FOOT_L * 60, "CFM | ft3/min | ft³/min | cu ft/min | SCFM | scfm"),
    _u("gal/h", "volume flow", US_GALLON_L, "gph | GPH"),
    _u("gal/min", "volume flow", US_GALLON_L * 60, "gpm | GPM"),
    _u("g/s", "mass flow", "1", "gps | g/sec"),
    _u("kg/h", "mass flow", Fraction(1000, 3600), "kg/hr"),
    _u("lb/min", "mass flow", POUND_KG * 1000 / 60, "lbs/min"),
    _u("lb/h", "mass flow", POUND_KG * 1000 / 3600, "lb/hr | lbs/hr"),
    _u("mg/stroke", "mass a stroke", "1", "mg/str | mg/stk"),
    _u("%", "ratio", "1e-2", "percent | per cent | pct | % vol | vol %"),
    _u("ppm", "ratio", "1e-6", "PPM | ppm vol"),
    # Dwell and timing are degrees of the crankshaft or the distributor; toe and camber of the wheel.
    _u(
        "°",
        "angle",
        "1",
        "deg | degree | degrees | ° dwell | deg dwell | dwell degrees | °CA | deg CA | crank degrees",
    ),
    _u("arcmin", "angle", Fraction(1, 60), "′ | minutes of arc"),
    _u("λ", "air ratio", "1", "lambda"),
    # The ratio by mass at which lambda is 1 is the fuel's own, so the two are not converted.
    _u("AFR", "air-fuel ratio", "1", "afr | :1"),
    _u("SG", "relative density", "1", "sg | specific gravity"),
    _u("g/cm³", "density", "1e3", "g/cm3 | g/cc | kg/L | kg/l"),
    _u("kg/m³", "density", "1", "kg/m3"),
    _u("pH", "acidity", "1", "ph"),
    _u("dB", "level", "1", "decibel | decibels"),
    _u("dB(A)", "sound level", "1", "dBA | dB A"),
    _u("lx", "illuminance", "1", "lux"),
    _u("cd", "luminous intensity", "1", "candela"),
    _u("W", "power", "1", "watt | watts"),
    _u("mW", "power", "1e-3", "milliwatt"),
    _u("kW", "power", "1e3", "kw | KW | kilowatt | kilowatts"),
    _u("hp", "power", 550 * FOOT_M * POUND_FORCE_N, "HP | bhp"),
    _u("PS", "power", 75 * GRAVITY_M_PER_S2, "metric hp"),
    _u("MW", "power", "1e6", "megawatt"),
    _u("BTU/h", "power", BTU_J / 3600, "Btu/h | BTU/hr | BTUH"),
    _u("Ah", "charge", "3600", "A·h | Ah. | amp hour | amp hours | ampere hour"),
    _u("mAh", "charge", "3.6", "mA·h"),
    _u("J", "energy", "1", "joule | joules"),
    _u("mJ", "energy", "1e-3", "millijoule"),
    _u("kJ", "energy", "1e3", "kilojoule"),
    _u("BTU", "energy", BTU_J, "Btu"),
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
    _u("t", "mass", "1e3", "tonne | tonnes"),
    _u("lb", "mass", POUND_KG, "lbs | lbm | pound | pounds"),
    _u("oz", "mass", POUND_KG / 16, "ounce | ounces"),
    _u("N", "force", "1", "newton | newtons"),
    _u("kN", "force", "1e3", "kilonewton"),
    _u("lbf", "force", POUND_FORCE_N, "pound-force"),
    _u("kgf", "force", GRAVITY_M_PER_S2, "kp | kilogram-force"),
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
    NoSuchValue
        If the value is 0 and one unit counts the other way round.
    """
    source, target = find_unit(unit), find_unit(to)
    if not same_kind(unit, to):
        raise UnitsDoNotMatch(_why_not(unit, source, to, target))
    if source is None or target is None or source is target:
        return Fraction(value)
    return target.from_base(source.to_base(value))


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


def inverts(a: str, b: str) -> bool:
    """Return whether more in the one unit is less in the other, as with mpg and L/100 km."""
    first, second = find_unit(a), find_unit(b)
    if first is None or second is None or first.kind != second.kind:
        return False
    return first.is_reciprocal != second.is_reciprocal


def units_of_kind(kind: str) -> tuple[Unit, ...]:
    """Return the units that measure this, in the order of the table."""
    return tuple(unit for unit in UNITS if unit.kind == kind)


def scaled(unit: str, factor: Fraction) -> Unit | None:
    """Return the unit that is `factor` times this one, as kV is 1000 times V; None if there is none."""
    known = find_unit(unit)
    if known is None or known.offset or known.is_reciprocal:
        return None
    wanted = [
        other
        for other in units_of_kind(known.kind)
        if other.factor == known.factor * factor and not other.offset and not other.is_reciprocal
    ]
    # Of mbar and hPa the one that is named after the bar.
    named_after = [other for other in wanted if _is_named_after(other.symbol, known.symbol)]
    return next(iter(named_after + wanted), None)


def _is_named_after(a: str, b: str) -> bool:
    return a.endswith(b) or b.endswith(a)


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
