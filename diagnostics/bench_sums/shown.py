"""How an answer, and what is known of a computation, are shown on a page."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from diagnostics.sums.figures import figure, figures
from shared.computing import Computation
from shared.units import find_unit
from shared.wording import NBSP

DIGITS = 5
PLAIN_NUMBER = "1"  # How some say that a number has no unit.
MOST_SHOWN = 40  # Elements of a list; the rest is counted.

_WORD = re.compile(r"^[a-z]+(?:-[a-z]+)+$")
# The end of a key says the unit again that stands behind the figure.
_UNIT_IN_KEY = re.compile(r"_(?:volts?|amps?|ohms?|ma|mv|ah|mm2?|kpa|hz|percent|celsius|awg)$")

MARKS = {
    "read": "read in {source}",
    "from memory": "from memory of {source}",
    "common practice": "common practice: {source}",
    "computed": "computed: {source}",
    "project rule": "a rule of this site: {source}",
}


@dataclass(frozen=True, slots=True)
class Part:
    """One part of an answer: its name, and its figure with the unit."""

    label: str
    text: str


@dataclass(frozen=True, slots=True)
class Answer:
    """What a computation answered, in words: one figure, or several parts with names."""

    plain: str = ""
    parts: tuple[Part, ...] = ()
    sentence: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One sum in the list: what it works out, in what, and how it is known."""

    name: str
    meaning: str
    known: str


@dataclass(frozen=True, slots=True)
class Group:
    """The sums under one heading."""

    name: str
    lines: tuple[Line, ...]


def source_words(found: Computation) -> str:
    """Return the source with how it is known: "from memory of ASTM B258"."""
    words = MARKS[found.mark].format(source=found.source) if found.source else found.mark
    return sentence_case(words)


def answer_of(found: Computation, answer: Any, given: Mapping[str, Any]) -> Answer:
    """Return the parts of an answer and the sentence that says what it means."""
    sentence = found.says(answer, given) if found.says else ""
    if isinstance(answer, Mapping):
        units = found.answers
        parts = tuple(Part(_label(key), text_of(value, units.get(key, ""))) for key, value in answer.items())
        return Answer(parts=parts, sentence=sentence)
    return Answer(plain=text_of(answer, _unit(found, given)), sentence=sentence)


def _unit(found: Computation, given: Mapping[str, Any]) -> str:
    """The unit of a plain answer: the one chosen, where the choice is between units of the answer."""
    choice = next((item for item in found.given if item.key == "unit"), None)
    if choice and found.unit in choice.choices:
        return str(given.get("unit", found.unit))
    return found.unit


def _label(key: str) -> str:
    return sentence_case(_UNIT_IN_KEY.sub("", key).replace("_", " "))


def sentence_case(text: str) -> str:
    """Return a text with its first letter large; the rest, with its units, stays."""
    return text[:1].upper() + text[1:]


def text_of(value: Any, unit: str = "") -> str:
    """Return one value as it is read; of a long list the first elements and how many more there are."""
    if value is None or value == "" or value == [] or value == {}:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return _with_unit(figure(value, "", DIGITS), unit)
    if isinstance(value, list | tuple):
        return _list_text(value, unit)
    if isinstance(value, Mapping):
        return _cut([f"{_label(str(key))}: {text_of(part)}" for key, part in value.items()], "; ")
    text = str(value)
    return text.replace("-", " ") if _WORD.match(text) else text


def _list_text(values: list[Any] | tuple[Any, ...], unit: str) -> str:
    if len(values) <= MOST_SHOWN and all(_is_number(value) for value in values):
        return _with_unit(figures(values, "", DIGITS), unit)
    return _cut([text_of(value, unit) for value in values], ", ")


def _with_unit(text: str, unit: str) -> str:
    """Where the unit is told in words, such as "unit of the reading", it stands in brackets."""
    if not unit or unit == PLAIN_NUMBER:
        return text
    if " " in unit and find_unit(unit) is None:
        return f"{text} ({unit})"
    return f"{text}{NBSP}{unit}"


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _cut(texts: list[str], joint: str) -> str:
    more = len(texts) - MOST_SHOWN
    return joint.join(texts[:MOST_SHOWN]) + (f" and {more} more" if more > 0 else "")


def in_groups(found: Iterable[Computation], words: str = "") -> list[Group]:
    """Return the sums that have a heading, by heading; only those that hold every one of the words."""
    wanted = words.casefold().split()
    groups: dict[str, list[Computation]] = {}
    for one in found:
        if one.group and all(word in _haystack(one) for word in wanted):
            groups.setdefault(one.group, []).append(one)
    return [Group(name, tuple(_line(one) for one in groups[name])) for name in sorted(groups)]


def _line(found: Computation) -> Line:
    known = ", ".join(part for part in (found.unit if found.unit != PLAIN_NUMBER else "", found.mark) if part)
    return Line(found.name, sentence_case(found.meaning), known)


def _haystack(found: Computation) -> str:
    said = (found.name, found.meaning, found.group, found.formula, *(item.meaning for item in found.given))
    return " ".join(said).casefold()
