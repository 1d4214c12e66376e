"""Lines of a name and a value that are no control unit: VIN, odometer, date, state, text, address, lamp."""

from __future__ import annotations

import re
from collections.abc import Callable

from diagnostics.codes import words
from diagnostics.codes.draft import Draft
from diagnostics.codes.found import Odometer, Remark
from diagnostics.codes.structure import Code

LONGEST_DATE = 60
LONGEST_CELL = 200
MOST_OF_FIELDS = 400
_BETWEEN_FIELDS = re.compile(r"\||\t|\s{2,}(?=[^:=|]{1,30}[:=])")
_VIN = re.compile(
    r"(?<![A-Z0-9])(?=[A-Z0-9]*\d)(?=[A-Z0-9]*[A-Z])[A-HJ-NPR-Z0-9]{17}(?![A-Z0-9])", re.I | re.ASCII
)
_DISTANCE = re.compile(
    r"(\d{1,3}(?:[ .,']\d{3})+|\d{1,7})(?:[.,]\d)?\s*(km|kilomet(?:er|re)s?|mi|miles?)?\b", re.I
)
_MONTH = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?"
_DATE = re.compile(
    rf"\b(?:\d{{4}}[-/.]\d{{1,2}}[-/.]\d{{1,2}}|\d{{1,2}}[-/.]\d{{1,2}}[-/.]\d{{2,4}}|"
    rf"\d{{1,2}}\.? {_MONTH},? \d{{4}}|{_MONTH} \d{{1,2}},? \d{{4}})"
    r"(?:[T ,]+\d{1,2}:\d{2}(?::\d{2})?(?:\s?[ap]m)?Z?)?",
    re.I,
)
_WEEKDAY = re.compile(r"\b(?:mon|tues?|wed(?:nes)?|thu(?:rs)?|fri|sat(?:ur)?|sun)(?:day)?\b", re.I)
_FIELD = re.compile(r"([^:=]{1,40}?)\s*[:=](.*)")
_ON_OFF = re.compile(r"^(on|off|lit|not lit|yes|no|active|inactive)\b", re.I)


def fields_on_one_line(text: str) -> list[str]:
    """Return the fields of a line such as "Module: Engine | Code: P0171"; none where it is no such line."""
    if len(text) > MOST_OF_FIELDS or not words.UNIT_LABEL.match(text.strip()):
        return []
    cells = [cell.strip() for cell in _BETWEEN_FIELDS.split(text.strip()) if cell.strip()]
    is_row = len(cells) > 1 and _FIELD.fullmatch(cells[0]) and words.UNIT_LABEL.match(cells[0])
    return cells if is_row and all(len(cell) < LONGEST_CELL for cell in cells) else []


def label_before(text: str) -> str:
    """Return which known label stands before the colon of a line; empty where none."""
    match = _FIELD.match(text.strip())
    return words.label_of(match.group(1)) if match else ""


def read_field(draft: Draft, number: int, text: str) -> bool:
    """Read a line of a known label and its value; False where it is none."""
    match = _FIELD.match(text.strip())
    reader = _READERS.get(words.label_of(match.group(1))) if match else None
    value = match.group(2).strip() if match else ""
    return bool(reader and value and reader(draft, number, value))


def read_bare_fact(draft: Draft, number: int, text: str) -> bool:
    """Read a VIN or a date that stands on a line of its own."""
    if found := _VIN.search(text):
        draft.vin = draft.vin or found.group().upper()
        return True
    if (date := _DATE.search(text)) and len(_WEEKDAY.sub("", _DATE.sub("", text)).strip(" ,.:-")) < 12:
        draft.dates.append(Remark(number, date.group()))
        return True
    return False


def _read_vin(draft: Draft, number: int, value: str) -> bool:
    found = _VIN.search(value.replace(" ", ""))
    if found is None:
        return False
    draft.vin = draft.vin or found.group().upper()
    return True


def _read_odometer(draft: Draft, number: int, value: str) -> bool:
    found = _DISTANCE.match(value)
    if found is None:
        return False
    unit = (found.group(2) or "").lower()
    short = "km" if unit.startswith("k") else "mi" if unit else ""
    digits = re.sub(r"\D", "", found.group(1))
    draft.odometer = draft.odometer or Odometer(digits, short, number)
    return True


def _read_date(draft: Draft, number: int, value: str) -> bool:
    if not re.search(r"\d", value) or len(value) > LONGEST_DATE:
        return False
    draft.dates.append(Remark(number, value))
    return True


def _read_state(draft: Draft, number: int, value: str) -> bool:
    states = words.status_in(value)
    if not states:
        return False
    if draft.last is not None and not draft.last.states:
        draft.amend(states=states)
    else:
        draft.paragraph = states
    return True


def _read_text(draft: Draft, number: int, value: str) -> bool:
    if draft.last is None or draft.last.text:
        return False
    draft.amend(text=value[:300])
    return True


def _read_failure_type(draft: Draft, number: int, value: str) -> bool:
    last, match = draft.last, re.match(r"(?:0x)?([0-9A-F]{2})h?\b", value, re.I)
    if last is None or last.code.failure_type or match is None:
        return False
    draft.amend(code=Code(last.code.base, match.group(1).upper()))
    return True


def _read_address(draft: Draft, number: int, value: str) -> bool:
    current = draft.current
    if current is None or current.address or not re.fullmatch(r"(?:0x|\$)?[0-9A-F]{1,8}h?", value, re.I):
        return False
    current.address = value.upper().replace("0X", "0x")
    return True


def _read_lamp(draft: Draft, number: int, value: str) -> bool:
    match = _ON_OFF.match(value)
    if match is None:
        return False
    draft.lamp = match.group(1).lower() in ("on", "lit", "yes", "active")
    return True


_READERS: dict[str, Callable[[Draft, int, str], bool]] = {
    "vin": _read_vin,
    "odometer": _read_odometer,
    "date": _read_date,
    "state": _read_state,
    "text": _read_text,
    "failure_type": _read_failure_type,
    "address": _read_address,
    "lamp": _read_lamp,
}
