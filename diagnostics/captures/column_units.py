"""Names, units and roles of columns, from what the head of a table says.

Prefixes are those of the SI Brochure, 9th ed. (2019), table 7. From memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

TIME_SCALES = {
    **dict.fromkeys(["s", "sec", "secs", "second", "seconds"], 1.0),
    **dict.fromkeys(["ms", "msec", "millisecond", "milliseconds"], 1e-3),
    **dict.fromkeys(["us", "µs", "μs", "usec", "microsecond", "microseconds"], 1e-6),
    **dict.fromkeys(["ns", "nsec", "nanosecond", "nanoseconds"], 1e-9),
    **dict.fromkeys(["ps", "picosecond", "picoseconds"], 1e-12),
    **dict.fromkeys(["min", "minute", "minutes"], 60.0),
    **dict.fromkeys(["h", "hour", "hours"], 3600.0),
}
PREFIXES = {"": 1.0, "n": 1e-9, "u": 1e-6, "µ": 1e-6, "μ": 1e-6, "m": 1e-3, "k": 1e3, "M": 1e6, "G": 1e9}
PREFIXED = {
    **dict.fromkeys(["V", "v", "volt", "volts", "Volt", "Volts", "VOLTS", "VOLT"], "V"),
    **dict.fromkeys(["A", "amp", "amps", "Amp", "Amps", "ampere", "amperes"], "A"),
    **dict.fromkeys(["Ω", "Ω", "ohm", "ohms", "Ohm", "Ohms"], "ohm"),
    **dict.fromkeys(["Hz", "hz", "HZ"], "Hz"),
    **dict.fromkeys(["W", "watt", "watts"], "W"),
    **dict.fromkeys(["Pa"], "Pa"),
}
OTHER_UNITS = frozenset(["bar", "psi", "inHg", "kPa", "°C", "°F", "degC", "degF", "%", "rpm", "1/min", "g/s"])
TIME_NAMES = re.compile(
    r"(?i)(rel(ative)?[ _.-]?|elapsed[ _.-]?)?(time|t|zeit|temps|tiempo|tempo|x|x[ _-]?axis)\W*"
)
TIME_WORDS = re.compile(r"(?i)\b(time|timestamp|zeit|temps|tiempo|tempo|seconds)\b")
INDEX_NAMES = re.compile(r"(?i)(sample|samples|sample (no|nr|number)\W*|index|idx|n|no|nr|point|#|record)\W*")
WITH_UNIT = re.compile(
    r"(.*?)\s*(?:[(\[{]\s*([^()\[\]{}]{1,16}?)\s*[)\]}]|/\s*([^\s/]{1,12})|\s+in\s+(\S{1,12}))\s*"
)
LONGEST_NAME = 60


@dataclass(frozen=True, slots=True)
class Named:
    """What a heading says: a name, and a unit as written, empty where it gives none."""

    name: str
    unit: str = ""

    @property
    def is_time(self) -> bool:
        """Whether this is a column of times."""
        if self.unit:
            return self.unit.lower() in TIME_SCALES and not INDEX_NAMES.fullmatch(self.name)
        return bool(TIME_NAMES.fullmatch(self.name) or TIME_WORDS.search(self.name))

    @property
    def is_index(self) -> bool:
        """Whether this is a column that counts samples."""
        return bool(INDEX_NAMES.fullmatch(self.name))


def heading(cell: str) -> Named:
    """Split "CH1 (mV)", "CH1 [mV]", "CH1/mV" or "CH1 in mV" into name and unit."""
    found = WITH_UNIT.fullmatch(cell)
    unit = next((part for part in found.groups()[1:] if part), "") if found else ""
    if found and unit and (is_unit(unit) or cell.rstrip()[-1:] in ")]}"):
        return Named(found.group(1).strip()[:LONGEST_NAME], unit)
    return Named(cell.strip()[:LONGEST_NAME])


def is_unit(text: str) -> bool:
    """Whether text is a unit that is known here."""
    return text.lower() in TIME_SCALES or text in OTHER_UNITS or _prefixed(text) is not None


def scaled_unit(unit: str) -> tuple[float, str]:
    """Return the factor to the unit without prefix, and that unit: "mV" gives 0.001 and "V"."""
    return _prefixed(unit) or (1.0, unit)


def _prefixed(unit: str) -> tuple[float, str] | None:
    if unit in PREFIXED:
        return 1.0, PREFIXED[unit]
    if unit[:1] in PREFIXES and unit[1:] in PREFIXED:
        return PREFIXES[unit[:1]], PREFIXED[unit[1:]]
    return None
