"""Words of scan reports: states of codes, names of control units, monitors, and phrases.

Generic words of the trade and of SAE J1930, SAE J1979 and ISO 14229-1, from memory. No product's wording.
"""

from __future__ import annotations

import re

from diagnostics.codes.answers import states_of

# What a report may call the state of a code, and the word that is kept.
STATES = {
    "confirmed": "confirmed", "stored": "stored", "pending": "pending", "permanent": "permanent",
    "history": "history", "historic": "history", "historical": "history", "past": "history",
    "previous": "history", "current": "current", "active": "current", "present": "current",
    "not current": "not current", "not present": "not current", "not active": "not current",
    "inactive": "not current", "passive": "not current", "intermittent": "intermittent",
    "sporadic": "intermittent", "maturing": "pending", "matured": "confirmed",
    "test failed": "current", "cleared": "cleared", "static": "current",
    "failed since clearing": "failed since clearing", "lamp asked for": "lamp asked for",
}  # fmt: skip
# These never describe a circuit, so they may stand at the end of a sentence without a sign before them.
CLEAR_STATES = {"confirmed", "pending", "permanent", "history", "intermittent", "stored"}

_CODE_WORDS = r"(?:(?:diagnostic )?trouble |fault |error |dtc )?(?:codes?|dtcs?|faults?|errors?|entries)"
_STATE_WORD = "|".join(sorted(STATES, key=len, reverse=True))
_STATES_ALONE = re.compile(
    # Possessive, so that no odd line takes long to be refused.
    rf"(?>(?>\b(?:{_STATE_WORD}|{_CODE_WORDS}|and|or|status|state|type)\b|\d|[&/,+()\[\]:=.\-])\s*+)++",
    re.I,
)
_STATE = re.compile(rf"(?<![a-z])({_STATE_WORD})(?![a-z])", re.I)
_STATUS_BYTE = re.compile(r"(?:0x)?([0-9a-f]{2})h?", re.I)
_SECTION = re.compile(_CODE_WORDS, re.I)

NO_CODES = re.compile(
    rf"\b(?:no|zero|0)\s+(?P<which>(?:\w+\s+){{0,3}}?){_CODE_WORDS}(?:\s+(?:found|stored|present|detected|set|"
    rf"recorded|reported))?\b|\b{_CODE_WORDS}\s*[:=\-]+\s*(?:none|0|nil)\b|\b(?:codes|faults|dtcs):?\s+none\b"
    r"|\bfault[- ]free\b",
    re.I,
)
NO_RESPONSE = re.compile(
    r"\bno (?:response|answer|reply|communications?|comms?|connection|contact)\b|\bnot (?:responding|"
    r"answering|reached|reachable|communicating)\b|\b(?:cannot|could not) be reached\b|"
    r"\b(?:did|does)(?:n['’]t| not) (?:answer|respond|reply|communicate)\b|\btimed? ?out\b|"
    r"\bunreachable\b|\bcommunication (?:failed|error|failure|lost)\b|\b(?:cannot|can't|could not|unable to) "
    r"(?:connect|communicate|reach)\b|\bfailed to (?:respond|answer|communicate)\b",
    re.I,
)
PASSED = re.compile(r"[\s:.\-–=|]+(?:ok|okay|passed|pass)\W*$", re.I)

# Words by which a line names a control unit.
_UNIT_WORDS = (
    "module", "control unit", "controller", "ecu", "computer", "ecm", "pcm", "tcm", "tcu", "bcm", "ipc",
    "srs", "abs", "esc", "esp", "eps", "epb", "tpms", "hvac", "immobili[sz]er", "gateway", "engine",
    "powertrain", "transmission", "gearbox", "brakes?", "anti-?lock", "airbags?", "restraints?", "body",
    "instruments?", "cluster", "dash(?:board)?", "steering", "climate", "air[- ]conditioning", "heating",
    "doors?", "seats?", "lighting", "headlamps?", "lights?", "radio", "audio", "telematics",
    "navigation", "parking", "park assist", "camera", "radar", "battery", "charger", "inverter",
    "hybrid", "suspension", "trailer", "keyless", "central", "electronics", "network",
    "driver assist\\w*", "comfort", "fuel pump", "traction", "stability", "differential",
    "transfer case", "four[- ]wheel drive", "glow plugs?", "tailgate", "roof", "wipers?", "mirrors?",
    "access",
)  # fmt: skip
UNIT_WORD = re.compile(rf"(?<![a-z])(?:{'|'.join(_UNIT_WORDS)})(?![a-z])", re.I)
UNIT_ALONE = re.compile(rf"(?>(?>{'|'.join(_UNIT_WORDS)}|control)\b[\s/&-]*+)++", re.I)
UNIT_LABEL = re.compile(
    r"^(?:module|ecu|control (?:unit|module)|controller|system|unit|node|subsystem)(?: name)?\s*"
    r"(?:no\.?\s*)?(?:#?\d+)?\s*[:=#]\s*(?P<name>\S.*)$",
    re.I,
)
ADDRESS_FIRST = re.compile(
    r"^(?:address|addr\.?|unit|module|node)\s+(?P<address>(?:0x|\$)?[0-9a-f]{2,3}h?)\s*[:\-–]\s*(?P<name>\S.*)$",
    re.I,
)
NUMBER_FIRST = re.compile(r"^(?P<address>[0-9a-f]{2})\s*[-–:]\s*(?P<name>[^\W\d].*)$", re.I)
ADDRESS = re.compile(
    r"[\s,;:@\-–]*[(\[]?\s*(?<!\w)(?:(?:at|address|addr\.?|id|can id)\s*[:=]?\s*)?(?<!\w)"
    r"(?P<address>0x[0-9a-f]{1,8}|\$[0-9a-f]{2,3}|[0-9a-f]{2,3}h|7[0-9a-f]{2})\b\s*[)\]]?",
    re.I,
)
# A line that ends with a colon and is no control unit.
NO_UNIT = re.compile(
    r"^(?:notes?|remarks?|comments?|results?|summary|report|scan|vehicle|customer|complaint|symptoms?|"
    r"causes?|possible causes?|description|freeze[- ]?frame.*|snapshot.*|conditions?|data|live data|"
    r"monitors?|readiness.*|date|time|page|user|operator|technician|workshop|garage|shop|version|"
    r"software|hardware|part|serial|total|codes?|dtcs?|faults?|fault memory|status|state|text|meaning|"
    r"first|last|count|occurrences?|advice|recommendations?|modules?|ecus?|systems?|units?|"
    r"control units?|name|all (?:modules|systems|units).*|address|end.*|begin.*|start.*|before.*|"
    r"after.*|cleared.*|licen[cs]e.*|plate|registration|make|model|year)$",
    re.I,
)
COUNT_LAST = re.compile(
    rf"[\s:,\-–.]*[(\[]?\s*(?P<count>\d{{1,3}})\s*(?:x\s*)?(?:{_CODE_WORDS})(?:\s+(?:found|stored|present|set))?\s*[)\]]?$"
    r"|\s*[(\[](?P<bare>\d{1,3})[)\]]$",
    re.I,
)

LABELS = {
    "code": r"(?:dtc|fault|trouble|error)?\s*(?:code|dtc)s?(?:\s*(?:bytes|hex|raw|number|no\.?))?|fault|dtc",
    "state": r"(?:dtc |code |fault )?(?:status|state)(?:\s*byte)?",
    "text": r"description|text|meaning|fault text|definition|detail",
    "failure_type": r"ftb|failure[ _-]?type(?: byte)?|fault type|symptom byte|failure mode",
    "vin": r"vin|vehicle identification(?: number)?|chassis(?: number| no\.?)?",
    "odometer": r"odo(?:meter)?(?: reading)?|mileage|km[- ]reading|distance(?: travel+ed)?|kilomet(?:er|re)s"
    r"|miles",
    "date": r"(?:scan |report |test )?(?:date|time)(?:(?: and |/| )time)?"
    r"|(?:scanned|printed|created)(?: on)?",
    "address": r"address|addr\.?|can id|request id|response id",
    "lamp": r"mil|malfunction indicator(?: lamp| light)?|(?:(?:check )?engine|warning) (?:lamp|light)",
}
_LABEL = {key: re.compile(rf"(?:{words})", re.I) for key, words in LABELS.items()}

MONITOR_NAMES = {
    "misfire": r"misfire",
    "fuel_system": r"fuel(?: system)?",
    "components": r"(?:comprehensive )?components?",
    "heated_catalyst": r"heated catalyst|catalyst heater",
    "nmhc_catalyst": r"nmhc(?: catalyst| converter)?",
    "catalyst": r"catalyst|catalytic converter",
    "evap": r"evap(?:orative)?(?: (?:system|emissions?))*|vapou?r system",
    "secondary_air": r"secondary air(?: injection)?(?: system)?|air injection",
    "ac_or_gpf": r"(?:a/?c|air[- ]conditioning)(?: system)?(?: refrigerant)?|gasoline particulate filter|gpf",
    "o2_heater": r"(?:o2|oxygen|lambda)[- ]sensor heaters?|(?:o2|oxygen) heater",
    "o2_sensor": r"(?:o2|oxygen|lambda)[- ]sensors?",
    "egr_vvt": r"egr(?:[ /]*(?:and |or )?vvt)?(?: system)?|exhaust gas recirculation",
    "nox_scr": r"nox(?:[ /]*(?:and |or )?scr)?(?: (?:after-?treatment|adsorber|monitor))*|scr",
    "boost": r"boost(?: pressure)?(?: system)?",
    "exhaust_gas_sensor": r"exhaust gas sensors?",
    "pm_filter": r"pm filter|(?:diesel )?particulate filter|particle filter|dpf",
}
_MONITOR_STATES = (
    ("not supported", r"not supported|unsupported|not available|not applicable|n/?a|not fitted"),
    ("incomplete", r"incomplete|not (?:complete|completed|ready|finished|run)|unfinished|inc"),
    ("complete", r"complete|completed|ready|finished|done|ok|yes|passed"),
)
_MONITOR = re.compile(
    "^(?:" + "|".join(f"(?P<{key}>{words})" for key, words in MONITOR_NAMES.items()) + r")"
    r"(?:\s+monitor(?:ing)?)?(?:\s*[:=|,;.\-–\t]+\s*|\s+)(?:"
    + "|".join(f"(?P<s{place}>{words})" for place, (_, words) in enumerate(_MONITOR_STATES))
    + r")\W*$",
    re.I,
)  # fmt: skip

# Where a line falls into cells.
CELLS = re.compile(r"\t|\s{2,}|[|;,]|\s[-–—]\s|[()\[\]{}\"<>]|[:=]\s*|\s*[-–—]{2,}\s*")
NUMBERING = re.compile(r"(?:#|no\.?|nr\.?)?\s*\d{1,4}\s*[.)]?(?:\s*(?:of|/)\s*\d{1,4})?|[•*·>\-–—.]+", re.I)


def label_of(text: str) -> str:
    """Return which known label a text is, as `state` for "Status byte"; empty where none."""
    bare = " ".join(text.split()).strip(" .:#").rstrip("0123456789").strip()
    return next((key for key, words in _LABEL.items() if words.fullmatch(bare)), "")


def states_in(text: str) -> tuple[str, ...]:
    """Return the states that a text consists of; nothing where it has other words too."""
    if len(text) > 120 or not _STATES_ALONE.fullmatch(text.strip()):
        return ()
    return _unique(STATES[found.lower()] for found in _STATE.findall(text))


def status_in(text: str) -> tuple[str, ...]:
    """Return the states behind the word status: words, or the status byte of ISO 14229-1."""
    byte = _STATUS_BYTE.fullmatch(text.strip())
    return states_of(int(byte.group(1), 16)) if byte else states_in(text)


def state_at_an_end(text: str) -> tuple[tuple[str, ...], str]:
    """Return the state word with which a sentence ends or begins, and the rest of it."""
    words = text.split()
    if len(words) > 1 and (state := STATES.get(words[-1].strip(".").lower(), "")) in CLEAR_STATES:
        return (state,), " ".join(words[:-1])
    if len(words) > 1 and (state := STATES.get(words[0].lower(), "")) in CLEAR_STATES - {"permanent"}:
        return (state,), " ".join(words[1:])
    return (), text


def is_section(text: str) -> bool:
    """Whether a text with states is a heading over codes rather than the state of one."""
    return _SECTION.search(text) is not None


def monitor_in(text: str) -> tuple[str, str] | None:
    """Return the monitor that a line is about, and its state."""
    match = _MONITOR.match(text) if len(text) < 120 else None
    if match is None:
        return None
    key = next(name for name in MONITOR_NAMES if match.group(name))
    place = next(place for place in range(len(_MONITOR_STATES)) if match.group(f"s{place}"))
    return key, _MONITOR_STATES[place][0]


def _unique(words: object) -> tuple[str, ...]:
    return tuple(dict.fromkeys(words))  # type: ignore[call-overload]
