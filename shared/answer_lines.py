"""Lines of JSON for named computations: one line in, one line out, whatever stands in it.

References
----------
.. [1] RFC 8259, The JavaScript Object Notation (JSON) Data Interchange Format, section 6: NaN and infinity
   are no numbers of JSON. From memory.
"""

from __future__ import annotations

import dataclasses
import json
import math
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from typing import Any

from shared.computing import Computation, Refused, compute

LINE_FORM = '{"name": "…", "given": {…}}'
GIVEN_FORM = '{"key": value}'


def answer_line(line: bytes | str) -> tuple[str, bool]:
    """Return the answer line for one line of a stream, and whether it was answered.

    Parameters
    ----------
    line : bytes or str
        UTF-8 with `{"name": …, "given": {…}}`; other keys are left alone. A line without "given" gives
        no values.

    Returns
    -------
    tuple
        JSON in ASCII without a line end, `{"answer": …}` or `{"error": {…}}`; true where it is an answer.
    """
    try:
        asked = read_json(line, field="line", allowed=LINE_FORM)
        if not isinstance(asked, dict):
            raise Refused("line", "A line must be an object.", LINE_FORM)
        given = asked.get("given")
        return _answer(asked.get("name"), {} if given is None else given)
    except Refused as refused:
        return _refusal(refused), False


def answer_to(name: str, given_text: str) -> tuple[str, bool]:
    """Return the answer line for a name and a text of JSON with its values, as `answer_line` does."""
    try:
        return _answer(name, read_json(given_text, field="given", allowed=GIVEN_FORM))
    except Refused as refused:
        return _refusal(refused), False


def read_json(text: bytes | str, *, field: str, allowed: str) -> Any:
    """Return the value that a text of JSON holds; refuse, under `field`, what is not JSON.

    Stricter than Python's reader: NaN, infinities and numbers too large for a float are refused, so that
    no computation meets them inside a list or an object.
    """
    try:
        plain = text.decode("utf-8-sig") if isinstance(text, bytes) else text
        if not plain.strip():
            raise Refused(field, "There is nothing here.", allowed)
        return json.loads(plain, parse_constant=_no_number, parse_float=_float)
    except Refused:
        raise
    except UnicodeDecodeError:
        raise Refused(field, "This is not UTF-8 text.", allowed) from None
    except json.JSONDecodeError as error:
        raise Refused(
            field, f"This is not JSON: {error.msg}, at character {error.pos + 1}.", allowed
        ) from None
    except RecursionError:
        raise Refused(field, "This is nested too deeply.", allowed) from None
    except ValueError as error:  # A number that is none; a whole number of thousands of digits.
        told = str(error) if isinstance(error, _NoNumberError) else "A number here is too large."
        raise Refused(field, told, allowed) from None


def described(found: Computation) -> dict[str, Any]:
    """Return what a computation is, asks for and answers, as values of JSON."""
    return {
        "name": found.name,
        "meaning": found.meaning,
        "given": [
            {
                "key": item.key,
                "meaning": item.meaning,
                "unit": item.unit,
                "kind": item.kind,
                "allowed": item.allowed,
                "optional": item.optional,
                "example": item.example,
            }
            for item in found.given
        ],
        "unit": found.unit,
        "answers": dict(found.answers),
        "formula": found.formula,
        "valid": found.valid,
        "cautions": list(found.cautions),
        "source": found.source,
        "mark": found.mark,
    }


def as_json(value: Any) -> str:
    """Return one line of JSON in ASCII with every digit of a number; decimals and fractions as text."""
    return json.dumps(value, default=_plain, allow_nan=False)


class _NoNumberError(ValueError):
    pass


def _no_number(text: str) -> Any:
    raise _NoNumberError(f"{text} is not a number of JSON.")


def _float(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise _NoNumberError("A number here is too large.")
    return number


def _answer(name: Any, given: Any) -> tuple[str, bool]:
    try:
        return as_json({"answer": compute(name, given)}), True
    except Refused as refused:
        return _refusal(refused), False
    except RecursionError:
        return _refusal(Refused("given", "These values are nested too deeply.", GIVEN_FORM)), False
    except Exception as error:  # A stream goes on even where a computation has a fault of its own.
        told = f"The computation failed on these values ({type(error).__name__})."
        return _refusal(Refused("given", told, "values like those of its example")), False


def _refusal(refused: Refused) -> str:
    return as_json({"error": refused.as_dict()})


def _plain(value: Any) -> Any:
    if isinstance(value, Decimal | Fraction):
        return str(value)
    if isinstance(value, date | time):  # A moment is a date too.
        return value.isoformat()
    if isinstance(value, set | frozenset):
        return sorted(value)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {part.name: getattr(value, part.name) for part in dataclasses.fields(value)}
    if hasattr(value, "tolist"):  # Arrays and their scalars.
        return value.tolist()
    raise TypeError(f"{type(value).__name__} has no form in JSON.")
