"""From what is typed into a field to the value that a computation is given."""

from __future__ import annotations

import json
import re
from decimal import Decimal
from typing import Any

from shared.computing import Given
from shared.quantities import Question, read_quantity
from shared.units import NoSuchValue, convert, find_unit

LONGEST_TEXT = 4000  # Characters; the values stand in the address, and servers cut longer ones.
PLAIN_NUMBER = "1"  # The unit of a number that has none.

# Thick American gauges are written 1/0 to 4/0 and counted on below zero.
_THICK_GAUGE = re.compile(r"^([1-4])\s*/\s*0$")
_SEPARATORS = re.compile(r"[;\s]+|,\s+")
_MAY_BE_DECIMAL = re.compile(r"^[^,]*,[0-9]{0,3}$")
_STARTS_A_NUMBER = re.compile(r"^[+\-\u2212.]?[0-9.]")


class Unclear(ValueError):
    """What was typed is no value for this field; the text says what is wrong and what is allowed."""


def read(given: Given, text: str) -> Any:
    """Return the value that was typed for `given`, in its unit.

    Parameters
    ----------
    given : Given
        Says the kind of value and its unit.
    text : str
        A number with or without a unit of the same kind; several of them parted by blanks, semicolons or
        commas, the unit once behind the last or at each; texts one a line; JSON where a list or an
        object is asked for.

    Raises
    ------
    Unclear
        If it is none of this. What is out of range is for the computation to refuse.
    """
    if given.kind in ("number", "whole"):
        return number(given, text)
    if given.kind == "numbers":
        return numbers(given, text)
    if given.kind == "texts":
        return [line.strip() for line in re.split(r"[\n;,]", text) if line.strip()]
    if given.kind in ("list", "object", "any"):
        return _json(given, text)
    return text


def number(given: Given, text: str) -> float | int:
    """Return one number in the unit of `given`."""
    if given.unit == "AWG" and (thick := _THICK_GAUGE.match(text.strip())):
        return 1 - int(thick[1])
    value = _in_unit(given, text)
    is_whole = given.kind == "whole" and value == value.to_integral_value()
    return int(value) if is_whole else float(value)


def numbers(given: Given, text: str) -> list[float]:
    """Return several numbers in the unit of `given`; one unit behind the last is that of all."""
    parts = [part.strip(",") for part in _SEPARATORS.split(text.strip()) if part.strip(",")]
    are_units = [not _STARTS_A_NUMBER.match(part) for part in parts]
    if any(are_units[:-1]):
        written = _each_with_its_unit(parts, are_units)
    else:
        unit = f" {parts.pop()}" if len(parts) > 1 and are_units[-1] else ""
        written = [part + unit for part in _parted_at_commas(parts)]
    return [float(_in_unit(given, one)) for one in written]


def _each_with_its_unit(parts: list[str], are_units: list[bool]) -> list[str]:
    """Put each unit behind the number before it: 12 V 350 mV."""
    written: list[str] = []
    for part, is_unit in zip(parts, are_units, strict=True):
        if is_unit and written:
            written[-1] += f" {part}"
        else:
            written.append(part)
    return written


def _parted_at_commas(parts: list[str]) -> list[str]:
    """Part numbers that only commas part; ask where a comma may as well be a decimal one."""
    with_comma = next((part for part in parts if "," in part), None)
    if with_comma is None:
        return parts
    if len(parts) > 1 or _MAY_BE_DECIMAL.match(with_comma):
        raise Unclear(
            f"Is the comma in '{with_comma}' a decimal comma, or does it part two numbers? "
            "Write decimals with a point, and a blank between the numbers."
        )
    return [part for part in with_comma.split(",") if part]


def _in_unit(given: Given, text: str) -> Decimal:
    unit = given.unit or PLAIN_NUMBER
    try:
        found = read_quantity(text, unit=unit, sure=True)
        if found.form != "plain" or found.value is None:
            raise Unclear(f"'{text.strip()}' is not one number. Allowed: {given.allowed}.")
        return convert(found.value, found.unit, unit)
    except Question as question:
        raise Unclear(_why(given, text, question)) from question
    except NoSuchValue as error:
        raise Unclear(f"{error} Allowed: {given.allowed}.") from error


def _why(given: Given, text: str, question: Question) -> str:
    if question.code in ("unit_of_another_kind", "unit_unknown"):
        known = find_unit(given.unit) if given.unit else None
        asked = f"in {given.unit}" if given.unit else "without a unit"
        also = f", or in another unit of {known.kind}" if known else ""
        return f"'{text.strip()}' does not fit: write the number {asked}{also}."
    return str(question)


def _json(given: Given, text: str) -> Any:
    try:
        return json.loads(text, parse_constant=_no_constant)
    except (ValueError, RecursionError) as error:
        if given.kind == "any":
            return text
        raise Unclear(f"This is not JSON. Allowed: {given.allowed}.") from error


def _no_constant(name: str) -> None:
    raise ValueError(f"{name} is no number")
