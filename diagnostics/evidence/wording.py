"""Pieces of the sentences: a reading with its unit and limits, a date, the customer's words."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from diagnostics.judging import is_blank
from diagnostics.snapshot import Complaint, Test

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_LONGEST_QUOTE = 60  # Characters of the customer's words in a finding; the page shows them whole.


def day(on: date) -> str:
    """Return a date as "17 Oct 2026"."""
    return f"{on.day} {_MONTHS[on.month - 1]} {on.year}"


def words(code: str) -> str:
    """Return a code such as `charge_voltage` in words."""
    return code.strip().replace("_", " ") or "not named"


def opening(text: str) -> str:
    """Return the text with a capital to begin a sentence; "B+" inside it stays as written."""
    return text[:1].upper() + text[1:]


def said(complaint: Complaint) -> str:
    """Return the customer's words in quotation marks, cut at a word if they are long."""
    text = " ".join(complaint.text.split())
    if len(text) > _LONGEST_QUOTE:
        text = text[:_LONGEST_QUOTE].rsplit(" ", 1)[0] + " …"
    return f"“{text}”"


def person(name: str) -> str:
    """Return the name, or "somebody not named"."""
    return name.strip() or "somebody not named"


def quantity(value: Decimal | None, unit: str) -> str:
    """Return value and unit, "12.31 V"; the last digit stays as written."""
    if value is None:
        return "no value"
    return f"{value:f} {unit.strip()}".strip()


def limits(test: Test) -> str:
    """Return the limits in words: "12.40 V or more", "0.05 A or less", "13.5 to 14.7 V"."""
    unit = test.unit if is_blank(test.limit_unit) else test.limit_unit
    if test.lo is not None and test.hi is not None:
        return f"{test.lo:f} to {quantity(test.hi, unit)}"
    if test.lo is not None:
        return f"{quantity(test.lo, unit)} or more"
    return f"{quantity(test.hi, unit)} or less" if test.hi is not None else "no limit"


def step(test: Test) -> str:
    """Return step and point: "rest voltage at battery posts"."""
    at = "" if is_blank(test.point) else f" at {words(test.point)}"
    return f"{words(test.code)}{at}"


def reading(test: Test) -> str:
    """Return step, point, and what was read against which limits."""
    if test.kind == "numeric" and test.value is not None:
        return f"{step(test)}, {quantity(test.value, test.unit)} ({limits(test)})"
    return f"{step(test)}, {'failed' if test.result == 'fail' else 'passed' if test.result else 'no result'}"


def count(n: int, one: str, many: str = "") -> str:
    """Return "1 trial" or "3 trials"."""
    return f"{n} {one if n == 1 else many or one + 's'}"


def listed(names: Sequence[str]) -> str:
    """Return "a", "a and b" or "a, b and c"."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"
