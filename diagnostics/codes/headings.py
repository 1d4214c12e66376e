"""Lines that name a control unit, in the shapes that reports give them."""

from __future__ import annotations

import re
from dataclasses import dataclass

from diagnostics.codes import words

LONGEST = 80
MOST_WORDS = 9
_PLAIN_DRESS = " \t=-*#~_.•►<>|\"'"
_DRESS = _PLAIN_DRESS + "[](){}"
_MARKED = re.compile(r"^\s*(?:[=\-*#~_•►<>]{1,}|\[[^\]]+\]\s*$)")
_NAME_LABEL = re.compile(r"^(?:found \d+ \w+ in )?(?:the )?(?:(?:module|name|ecu)\s*:?\s+)?(?=\S)", re.I)
_STATUS_TAIL = re.compile(
    r"\s*[-–—|,;:]*\s*\b(?:status|state|result)\s*[:=].*$|\s+(?:fail(?:ed)?|faulty)$", re.I
)
_LEADING_NUMBER = re.compile(r"^\d{1,3}[.)]\s+")


@dataclass(frozen=True, slots=True)
class Heading:
    """The name of a control unit, its address, and whether the line says how many codes it has."""

    name: str
    address: str = ""
    count: int | None = None


def labelled_heading(text: str) -> Heading | None:
    """Return the unit of a line that says it is one: "Module: ABS", "Address 17: Instruments"."""
    bare = text.strip(_PLAIN_DRESS)
    if len(bare) > 2 * LONGEST:
        return None
    if match := words.ADDRESS_FIRST.match(bare):
        return _named(match.group("name"), match.group("address"))
    if match := words.UNIT_LABEL.match(bare):
        return _named(match.group("name"))
    return None


def likely_heading(text: str, *, introduces: bool, indents: bool) -> Heading | None:
    """Return the unit that a line names, where its shape and what follows speak for it.

    Parameters
    ----------
    introduces : bool
        Whether the next line has a code, or says that there is none, or that nothing answered.
    indents : bool
        Whether the next line stands further in.
    """
    if len(text) > LONGEST * 2:
        return None
    ends_with_colon, marked = text.rstrip(_DRESS).endswith(":"), bool(_MARKED.match(text))
    found = _named(_LEADING_NUMBER.sub("", text.strip(_PLAIN_DRESS)))
    if found is None or words.NO_UNIT.match(found.name):
        return None
    is_unit = words.UNIT_WORD.search(found.name) is not None
    if is_unit and (introduces or marked or ends_with_colon or found.count is not None):
        return found
    if introduces and (ends_with_colon or marked or indents or found.address):
        return found
    return None


def unit_before(text: str) -> Heading | None:
    """Return the unit that stands before a code or a phrase on one line: "ABS (0x28): no response"."""
    if len(text.strip()) > 2 * LONGEST:
        return None
    bare = re.sub(r"^(?:from|by|of|with|for|in)\s+", "", text.strip(_DRESS + ":,;–"), flags=re.I)
    bare = re.sub(r"\s+(?:has|had|shows?|reports?|is|was|with)$", "", bare, flags=re.I)
    return labelled_heading(bare) or _named(_LEADING_NUMBER.sub("", bare))


def _named(text: str, address: str = "") -> Heading | None:
    text = _STATUS_TAIL.sub("", _NAME_LABEL.sub("", text))
    count, text = _without_count(text.strip(_PLAIN_DRESS + ":,;–"))
    text = text.strip(_PLAIN_DRESS + ":,;–")
    if not address and (match := words.NUMBER_FIRST.match(text)):
        address, text = match.group("address", "name")
    if not address and (match := words.ADDRESS.search(text)) and _is_address(match, text):
        address, text = match.group("address"), text[: match.start()] + text[match.end() :]
    name = _balanced(" ".join(text.strip(_PLAIN_DRESS + ":,;–").split()))
    if name[:1].isdigit() and not address:
        return None
    if not any(letter.isalpha() for letter in name) and not address:
        return None
    if len(name) > LONGEST or len(name.split()) > MOST_WORDS or name.endswith((".", "!", "?")):
        return None
    return Heading(name, address, count)


def _is_address(match: re.Match[str], text: str) -> bool:
    """Whether what looks like an address stands apart: in brackets, or first or last in the line."""
    return match.group().strip()[:1] in "([" or match.start() == 0 or match.end() == len(text)


def _balanced(name: str) -> str:
    """Take brackets off that stand around the whole name or have no partner."""
    if "(" in name.strip("[]{}") and name.endswith(")") and not name.startswith("("):
        return name.strip("[]{} ")
    return name.strip(_DRESS)


def _without_count(text: str) -> tuple[int | None, str]:
    match = words.COUNT_LAST.search(text)
    if match is None or not match.start():
        return None, text
    return int(match.group("count") or match.group("bare")), text[: match.start()]
