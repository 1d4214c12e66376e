"""Live data and readiness of service 01 from raw bytes.

References
----------
.. [1] SAE J1979, PID formulas and the bit table of PID 01: read in public tables; PIDs 1F, 21, 22, 23, 2F,
   31, 33, 3C, 42, 43, 44, 46, 5C and 5E from memory (trade-values.md sections 2.2 and 2.3).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from diagnostics.codes.raw import hex_bytes
from diagnostics.codes.structure import GROUP
from shared.computing import Given, Refused, computation
from shared.wording import and_list, count_text

SOURCE = "SAE J1979, read in public tables, some PIDs from memory"
NOT_IN_TRIM = 0xFF
READINESS_BYTES = 4
TRIM_WORTH_A_TEST = 10  # Per cent, short and long added. Common practice.


@dataclass(frozen=True, slots=True)
class Pid:
    """One value of service 01: what it is, its unit, how many bytes, and how they make a number."""

    meaning: str
    unit: str
    size: int
    formula: str
    value: Callable[[bytes], float]


def _word(data: bytes) -> int:
    return 256 * data[0] + data[1]


def _share(meaning: str) -> Pid:
    return Pid(meaning, "%", 1, "100 A / 255", lambda d: 100 * d[0] / 255)


def _temperature(meaning: str) -> Pid:
    return Pid(meaning, "°C", 1, "A - 40", lambda d: d[0] - 40)


def _trim(meaning: str) -> Pid:
    return Pid(meaning, "%", 1, "100 (A - 128) / 128", lambda d: _trim_of(d[0]))


def _pressure(meaning: str) -> Pid:
    return Pid(meaning, "kPa", 1, "A", lambda d: d[0])


def _count(meaning: str, unit: str) -> Pid:
    return Pid(meaning, unit, 2, "256 A + B", _word)


def _oxygen(number: int) -> Pid:
    return Pid(f"oxygen sensor {number}", "V", 2, "A / 200", lambda d: d[0] / 200)


def _trim_of(byte: int) -> float:
    return 100 * (byte - 128) / 128


PIDS = {
    0x04: _share("calculated load"),
    0x05: _temperature("coolant temperature"),
    0x06: _trim("short-term fuel trim, bank 1"),
    0x07: _trim("long-term fuel trim, bank 1"),
    0x08: _trim("short-term fuel trim, bank 2"),
    0x09: _trim("long-term fuel trim, bank 2"),
    0x0A: Pid("fuel pressure, gauge", "kPa", 1, "3 A", lambda d: 3 * d[0]),
    0x0B: _pressure("manifold pressure, absolute"),
    0x0C: Pid("engine speed", "rpm", 2, "(256 A + B) / 4", lambda d: _word(d) / 4),
    0x0D: Pid("vehicle speed", "km/h", 1, "A", lambda d: d[0]),
    0x0E: Pid("timing advance", "°", 1, "A / 2 - 64", lambda d: d[0] / 2 - 64),
    0x0F: _temperature("intake-air temperature"),
    0x10: Pid("air flow", "g/s", 2, "(256 A + B) / 100", lambda d: _word(d) / 100),
    0x11: _share("throttle position"),
    **{0x14 + place: _oxygen(place + 1) for place in range(8)},
    0x1F: _count("run time since start", "s"),
    0x21: _count("distance with the lamp on", "km"),
    0x22: Pid("rail pressure above manifold", "kPa", 2, "0.079 (256 A + B)", lambda d: 79 * _word(d) / 1000),
    0x23: Pid("rail pressure, gauge", "kPa", 2, "10 (256 A + B)", lambda d: 10 * _word(d)),
    0x2F: _share("fuel level"),
    0x31: _count("distance since codes were cleared", "km"),
    0x33: _pressure("barometric pressure"),
    0x3C: Pid("catalyst temperature", "°C", 2, "(256 A + B) / 10 - 40", lambda d: (_word(d) - 400) / 10),
    0x42: Pid("control module voltage", "V", 2, "(256 A + B) / 1000", lambda d: _word(d) / 1000),
    0x43: Pid("absolute load", "%", 2, "100 (256 A + B) / 255", lambda d: 100 * _word(d) / 255),
    0x44: Pid("commanded equivalence ratio", "", 2, "2 (256 A + B) / 65536", lambda d: _word(d) / 32768),
    0x46: _temperature("ambient temperature"),
    0x5C: _temperature("oil temperature"),
    0x5E: Pid("fuel rate", "L/h", 2, "(256 A + B) / 20", lambda d: _word(d) / 20),
}

TRIM_WORDS = (
    f"Positive adds fuel; short and long together beyond about ±{TRIM_WORTH_A_TEST} % ask for a test."
)
_OXYGEN_PIDS = range(0x14, 0x1C)
_PID = re.compile(r"(?:01)?\s*(?:0X)?([0-9A-F]{2})", re.ASCII)

_CONTINUOUS = ("misfire", "fuel_system", "components")
_SPARK = (
    "catalyst", "heated_catalyst", "evap", "secondary_air", "ac_or_gpf", "o2_sensor", "o2_heater", "egr_vvt",
)  # fmt: skip
_COMPRESSION = (
    "nmhc_catalyst", "nox_scr", None, "boost", None, "exhaust_gas_sensor", "pm_filter", "egr_vvt",
)  # fmt: skip

MONITORS = {
    "misfire": "misfire",
    "fuel_system": "fuel system",
    "components": "components",
    "catalyst": "catalyst",
    "heated_catalyst": "heated catalyst",
    "evap": "vapour system",
    "secondary_air": "secondary air",
    "ac_or_gpf": "air-conditioning refrigerant or petrol particle filter",
    "o2_sensor": "oxygen sensor",
    "o2_heater": "oxygen sensor heater",
    "egr_vvt": "exhaust recirculation or valve timing",
    "nmhc_catalyst": "NMHC catalyst",
    "nox_scr": "NOx after-treatment",
    "boost": "boost pressure",
    "exhaust_gas_sensor": "exhaust gas sensor",
    "pm_filter": "particle filter",
}


@dataclass(frozen=True, slots=True)
class Readiness:
    """What PID 01 says: lamp, number of confirmed codes, and the monitors by name, sorted."""

    mil: bool
    dtc_count: int
    ignition: str
    supported: tuple[str, ...]
    incomplete: tuple[str, ...]

    @property
    def words(self) -> str:
        """The state in two sentences for a person."""
        lamp = "The lamp is asked for" if self.mil else "The lamp is not asked for"
        first = f"{lamp}, {count_text(self.dtc_count, 'confirmed code')}, {self.ignition} ignition."
        return f"{first} {monitors_in_words(self.supported, self.incomplete)}"


def monitors_in_words(supported: tuple[str, ...], incomplete: tuple[str, ...]) -> str:
    """Say what the monitors allow to conclude: no code with an unfinished monitor proves nothing."""
    if not supported:
        return "No monitor is reported, so the absence of codes proves nothing."
    if not incomplete:
        return f"All {count_text(len(supported), 'monitor')} finished since codes were last cleared."
    names = and_list([MONITORS.get(name, name) for name in incomplete])
    return f"Not finished: {names}. Until they are, no codes does not mean no fault."


def readiness_of(data: bytes) -> Readiness:
    """Return what the four bytes of PID 01 say.

    A monitor that is not supported is never incomplete. [1]
    """
    a, b, c, d = data
    names = _COMPRESSION if b & 0x08 else _SPARK
    bits = [(name, b >> place & 1, b >> place + 4 & 1) for place, name in enumerate(_CONTINUOUS)]
    bits += [(name, c >> place & 1, d >> place & 1) for place, name in enumerate(names) if name]
    return Readiness(
        mil=bool(a & 0x80),
        dtc_count=a & 0x7F,
        ignition="compression" if b & 0x08 else "spark",
        supported=tuple(sorted(name for name, has, _ in bits if has)),
        incomplete=tuple(sorted(name for name, has, unfinished in bits if has and unfinished)),
    )


@computation(
    "obd.readiness",
    "Lamp, number of codes and monitors from the four bytes of PID 01",
    Given("bytes", "Bytes A to D of PID 01", kind="text", example="81 07 6D 6D"),
    source="SAE J1979 bit table, read in a public copy",
    mark="read",
    formula="A7 lamp, A6-A0 codes, B3 ignition, then a bit a monitor: supported, and not complete",
    valid="4 bytes",
    cautions=(
        "Clearing codes sets every monitor back: no codes with unfinished monitors is no proof of repair.",
    ),
    group=GROUP,
    says=lambda answer, given: readiness_of(hex_bytes(given["bytes"])).words,
)
def readiness(bytes: str) -> dict[str, Any]:
    """Return lamp, number of confirmed codes, ignition, and monitors supported and incomplete.

    Parameters
    ----------
    bytes : str
        The four data bytes A, B, C and D.

    Returns
    -------
    dict
        `mil`, `dtc_count` from 0 to 127, `ignition` (`spark` or `compression`), `supported` and
        `incomplete` as sorted lists of names.

    Raises
    ------
    Refused
        If there are not four bytes.

    References
    ----------
    .. [1] SAE J1979, PID 01, see the module.
    """
    found = readiness_of(hex_bytes(bytes, counts=(READINESS_BYTES,)))
    return {
        "mil": found.mil,
        "dtc_count": found.dtc_count,
        "ignition": found.ignition,
        "supported": list(found.supported),
        "incomplete": list(found.incomplete),
    }


@computation(
    "obd.pid",
    "A value of live data (service 01) from its raw bytes",
    Given("pid", "PID", kind="text", example="0C"),
    Given("bytes", "Data bytes", kind="text", example="1A F8"),
    source=SOURCE,
    mark="read",
    formula="by PID, as 0C: (256 A + B) / 4 rpm",
    valid="as many bytes as the PID has",
    group=GROUP,
    says=lambda answer, given: in_words(given["pid"], given["bytes"]),
)
def pid(pid: str, bytes: str) -> float:
    """Return the value of a PID in its unit; of an oxygen sensor its voltage.

    Parameters
    ----------
    pid : str
        Two hexadecimal digits, with or without the service 01 in front.
    bytes : str
        Data bytes A and B, as many as the PID has.

    Raises
    ------
    Refused
        If the PID is not one of the list or the number of bytes is another.

    References
    ----------
    .. [1] SAE J1979, see the module.
    """
    number, data = _asked(pid, bytes)
    return PIDS[number].value(data)


def trim_of_sensor(data: bytes) -> float | None:
    """Return the trim in the second byte of an oxygen sensor, from -100 to 98.4 %; None: not used in trim."""
    return None if data[1] == NOT_IN_TRIM else _trim_of(data[1])


def in_words(pid: str, bytes: str) -> str:
    """Return name, value and unit of a PID in a sentence, with the trim of an oxygen sensor."""
    number, data = _asked(pid, bytes)
    kind = PIDS[number]
    said = f"{kind.meaning[0].upper()}{kind.meaning[1:]}: {kind.value(data):.6g} {kind.unit}".rstrip()
    if number in _OXYGEN_PIDS:
        trim = trim_of_sensor(data)
        return f"{said}; not used in trim." if trim is None else f"{said}; trim {trim:.6g} %."
    if 0x06 <= number <= 0x09:
        return f"{said}. {TRIM_WORDS}"
    return f"{said}."


def _asked(pid: str, data: str) -> tuple[int, bytes]:
    match = _PID.fullmatch(pid.strip().upper())
    number = int(match.group(1), 16) if match else -1
    if number == 0x01:
        raise Refused("pid", "PID 01 holds no single value.", "obd.readiness for its four bytes")
    if number not in PIDS:
        allowed = " ".join(f"{known:02X}" for known in sorted(PIDS))
        raise Refused("pid", f"'{pid[:20]}' is not a PID with a formula here.", allowed)
    return number, hex_bytes(data, counts=(PIDS[number].size,))
