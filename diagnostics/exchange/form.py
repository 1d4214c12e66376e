"""The exchange form as one schema, made exact enough to check lines by.

`job-history.schema.json` is kept as published. What it leaves to the reader is added to a
copy in memory: a date must exist, a whole number must fit the column that keeps it, an id
is used once in its list. The fast check answers yes or no; `schema_faults` names every fault.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Iterator
from decimal import Decimal
from functools import cache
from importlib.resources import files
from typing import Any
from zoneinfo import ZoneInfo, available_timezones

import fastjsonschema
import simplejson
from jsonschema import Draft202012Validator, FormatChecker, ValidationError
from jsonschema.validators import extend

from diagnostics.exchange.decoding import UnreadableNumber
from diagnostics.exchange.faults import Fault, path_of, shown
from shared.moments import read_moment

KINDS = ("location", "instrument", "vehicle", "order")
WHOLE_NUMBERS = (-(2**31), 2**31 - 1)  # What an integer column of PostgreSQL keeps.
LISTS_WITH_OWN_IDS = (
    "complaints",
    "tests",
    "causes",
    "work",
    "assumptions",
    "events",
    "claims",
    "declined",
    "planned_return",
)

# Text that the form leaves open and a column of the site bounds, by key.
COLUMN_LENGTHS = {
    "accuracy_text": 150,
    "by": 150,
    "code": 200,
    "component": 300,
    "disturbed": 300,
    "email": 254,
    "from": 150,
    "labour": 32,
    "mode": 300,
    "name": 150,
    "parts": 32,
    "subject": 200,
    "time_zone": 64,
    "to": 150,
    "total": 32,
}

_YEARS = range(2, 9999)  # One year free at both ends, so that a zone cannot push a time off the calendar.
_DATE_FORM = "a date YYYY-MM-DD, or a date-time YYYY-MM-DDTHH:MM with or without an offset such as +01:00"
_NOT_BLANK = r"\S"
_WORDS_BY_PATTERN = {
    r"^R([1-9]|1[0-9]|2[0-6])\Z": "R1 to R26",
    r"^[A-Z]{3}\Z": "three capital letters, such as EUR",
}
_WORDS_BY_FORMAT = {
    "date-of-the-calendar": _DATE_FORM,
    "time-zone": "a zone of the IANA table, such as Europe/Dublin",
}
_WORDS_BY_TYPE = {
    "string": "text",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
    "array": "a list",
    "object": "an object",
    "null": "null",
}

Schema = dict[str, Any]


def published_schema() -> Schema:
    """Return the exchange form as published, read from the file beside this module."""
    text = files(__package__).joinpath("job-history.schema.json").read_text(encoding="utf-8")
    schema: Schema = simplejson.loads(text)
    return schema


@cache
def schema_of(kind: str) -> Schema:
    """Return the checking schema of one record kind, without references and alternatives."""
    defs = published_schema()["$defs"]
    schema: Schema = _flat(defs[kind], defs)
    for fragment in _fragments(schema):
        _make_exact(fragment)
    properties = schema["properties"]
    for name in LISTS_WITH_OWN_IDS:
        if name in properties:
            properties[name]["uniqueIds"] = name
    if kind == "location":
        properties["time_zone"]["format"] = "time-zone"
    if kind == "instrument":
        properties["kind"]["maxLength"] = 150
    return schema


@cache
def fast_check(kind: str) -> Callable[[object], object]:
    """Return a check that raises `JsonSchemaValueException` on the first fault.

    It may refuse what is allowed (3.0 for a whole number) and does not look at dates, time
    zones and repeated ids; `schema_faults` has the last word.
    """
    check: Callable[[object], object] = fastjsonschema.compile(
        schema_of(kind), use_default=False, use_formats=False
    )
    return check


def schema_faults(kind: str, record: object) -> Iterator[Fault]:
    """Yield every fault of a decoded record of this kind, one for each field."""
    seen: set[str] = set()
    for error in _validator(kind).iter_errors(record):
        for fault in () if isinstance(error.instance, UnreadableNumber) else _faults_of(error):
            if fault.field not in seen:
                seen.add(fault.field)
                yield fault


def date_exists(text: str) -> bool:
    """Return whether a well-formed date or date-time names a day and a time that exist."""
    try:
        return read_moment(text, ZoneInfo("UTC")).on.year in _YEARS
    except ValueError:
        return False


@cache
def time_zones() -> frozenset[str]:
    """Return the names of all time zones this machine knows."""
    return frozenset(available_timezones())


# Making the published schema exact


def _flat(schema: Any, defs: Schema) -> Any:
    """Put each definition where it is named, and one schema with several types for each `anyOf`.

    The alternatives of the form differ in type, so their keywords do not meet.
    """
    if isinstance(schema, list):
        return [_flat(part, defs) for part in schema]
    if not isinstance(schema, dict):
        return schema
    if "$ref" in schema:
        return _flat(defs[schema["$ref"].rpartition("/")[2]], defs)
    if "anyOf" in schema:
        branches = [_flat(branch, defs) for branch in schema["anyOf"]]
        merged = {key: value for branch in branches for key, value in branch.items()}
        return {**merged, "type": [name for branch in branches for name in _types(branch)]}
    return {key: _flat(value, defs) for key, value in schema.items()}


def _make_exact(schema: Schema) -> None:
    """Add what the published form leaves to its reader."""
    pattern = schema.get("pattern")
    if isinstance(pattern, str):
        # ECMA patterns, written for Python, where \d takes other scripts and $ a line end.
        schema["pattern"] = re.sub(r"\$$", r"\\Z", pattern.replace(r"\d", "[0-9]"))
        if pattern.startswith(r"^\d{4}-"):
            schema["format"] = "date-of-the-calendar"
    if "integer" in _types(schema):
        schema.setdefault("minimum", WHOLE_NUMBERS[0])
        schema.setdefault("maximum", WHOLE_NUMBERS[1])
    properties = schema.get("properties", {})
    if "id" in properties:
        properties["id"]["pattern"] = _NOT_BLANK
    for key, length in COLUMN_LENGTHS.items():
        text = properties.get(key, {})
        text = text.get("items", text)
        if "string" in _types(text):
            text.setdefault("maxLength", length)


def _fragments(schema: Any) -> Iterator[Schema]:
    if isinstance(schema, dict):
        yield schema
        for part in schema.values():
            yield from _fragments(part)
    elif isinstance(schema, list):
        for part in schema:
            yield from _fragments(part)


def _types(schema: Schema) -> list[str]:
    types = schema.get("type", [])
    if isinstance(types, list):
        return types
    return [types] if isinstance(types, str) else []


@cache
def _validator(kind: str) -> Draft202012Validator:
    checker = FormatChecker(formats=())
    checker.checks("date-of-the-calendar")(lambda value: not isinstance(value, str) or date_exists(value))
    checker.checks("time-zone")(
        lambda value: not value or not isinstance(value, str) or value in time_zones()
    )
    return _Validator(schema_of(kind), format_checker=checker)


def _repeated_ids(_validator: Any, name: str, items: object, _schema: Schema) -> Iterator[ValidationError]:
    if not isinstance(items, list):
        return
    first: dict[str, int] = {}
    for index, item in enumerate(items):
        id = item.get("id") if isinstance(item, dict) else None
        if not isinstance(id, str):
            continue
        if first.setdefault(id, index) != index:
            yield ValidationError(f"{name}[{first[id]}]", path=(index, "id"), instance=id)


def _is_whole(_checker: object, value: object) -> bool:
    if isinstance(value, Decimal):
        return value == value.to_integral_value()
    return isinstance(value, int) and not isinstance(value, bool)


_Validator = extend(
    Draft202012Validator,
    {"uniqueIds": _repeated_ids},
    type_checker=Draft202012Validator.TYPE_CHECKER.redefine("integer", _is_whole),
)


# Naming a fault


def _faults_of(error: ValidationError) -> Iterator[Fault]:
    path = tuple(error.absolute_path)
    schema: Any = error.schema
    if error.validator == "required":
        for key in error.validator_value:
            if key not in error.instance:
                yield Fault(path_of((*path, key)), "is missing", allowed(schema["properties"][key]))
    elif error.validator == "additionalProperties":
        known = schema["properties"]
        for key in error.instance:
            if key not in known:
                yield Fault(path_of((*path, key)), _unknown_key(key, known), f"the keys {', '.join(known)}")
    else:
        yield Fault(path_of(path), *_wrong_and_allowed(error, schema))


def _unknown_key(key: str, known: Schema) -> str:
    near = difflib.get_close_matches(key[:64], known, n=1)
    return f"is not a known key; the nearest is {near[0]}" if near else "is not a known key"


def _wrong_and_allowed(error: ValidationError, schema: Schema) -> tuple[str, str]:
    value: Any = error.instance
    what = shown(value)
    match error.validator:
        case "uniqueIds":
            return (
                f"{what} is already the id of {error.message}",
                f"an id used once in {error.validator_value}",
            )
        case "minLength":
            return "is empty", allowed(schema)
        case "maxLength":
            return f"{what} has {len(value)} characters", allowed(schema)
        case "pattern" if not value.strip():
            return f"{what} is blank", allowed(schema)
        case "pattern" if schema.get("format") == "date-of-the-calendar":
            return f"{what} is not written as a date", _DATE_FORM
        case "format" if schema["format"] == "date-of-the-calendar":
            return f"{what} names a day or a time that does not exist", _DATE_FORM
        case "format":
            return f"{what} is not a known time zone", allowed(schema)
        case "minimum" | "maximum":
            least, most = schema["minimum"], schema.get("maximum")
            size = "small" if error.validator == "minimum" else "large"
            return f"{what} is too {size}", f"{least} or more" if most is None else f"{least} to {most}"
        case "enum" | "const":
            return f"{what} is not one of the choices", allowed(schema)
        case "type":
            return f"{what} is {_words_for_type(value, schema)}", allowed(schema)
        case _:
            return f"{what} does not fit", allowed(schema)


def _words_for_type(value: object, schema: Schema) -> str:
    if isinstance(value, bool | dict | list | str) or value is None:
        kind = {bool: "a truth value", dict: "an object", list: "a list", str: "text"}.get(type(value))
        return kind or "not allowed here"
    return "not a whole number" if "integer" in _types(schema) else "a number"


def allowed(schema: Schema) -> str:
    """Return what a fragment of the schema allows, in words."""
    if "const" in schema:
        return str(schema["const"])
    if "enum" in schema:
        return _listed(["null" if choice is None else str(choice) for choice in schema["enum"]])
    types = _types(schema)
    words = [_WORDS_BY_TYPE[name] for name in types]
    if "string" in types:
        words[types.index("string")] = _allowed_text(schema)
    if "integer" in types:
        words[types.index("integer")] += _limits(schema)
    if "number" in types:
        words[types.index("number")] += _limits(schema)
    if "required" in schema and "object" in types:
        words[types.index("object")] += f" with {_listed(schema['required'], last='and')}"
    return " or ".join(words)


def _allowed_text(schema: Schema) -> str:
    if schema.get("format") in _WORDS_BY_FORMAT:
        return _WORDS_BY_FORMAT[schema["format"]]
    pattern = schema.get("pattern", "")
    words = _WORDS_BY_PATTERN.get(pattern, "text")
    least, most = schema.get("minLength", 0), schema.get("maxLength")
    if most:
        not_blank = ", not only spaces" if pattern == _NOT_BLANK else ""
        return f"{words} of {f'{least} to' if least else 'at most'} {most} characters{not_blank}"
    return f"{words} of {least} or more characters" if least else words


def _limits(schema: Schema) -> str:
    least, most = schema.get("minimum"), schema.get("maximum")
    if most == WHOLE_NUMBERS[1]:
        most = None
    if least in (None, WHOLE_NUMBERS[0]):
        return ""
    return f" from {least} to {most}" if most is not None else f" from {least}"


def _listed(words: list[str], last: str = "or") -> str:
    if len(words) == 1:
        return words[0]
    return f"{', '.join(words[:-1])} {last} {words[-1]}"
