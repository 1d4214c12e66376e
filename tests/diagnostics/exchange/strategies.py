"""Records of the exchange form, drawn from its published schema."""

from datetime import timedelta, timezone
from decimal import Decimal
from functools import cache

import simplejson
from hypothesis import strategies as st

from diagnostics.exchange.form import LISTS_WITH_OWN_IDS, published_schema

_DEFS = published_schema()["$defs"]
_TEXT = st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"]), max_size=12)
_ID = st.from_regex(r"[A-Z][0-9]{1,3}", fullmatch=True)
_INTEGERS = st.integers(-(2**31), 2**31 - 1)
_NUMBERS = st.one_of(
    st.integers(-(10**20), 10**20),
    st.decimals(-(10**9), 10**9, allow_nan=False, allow_infinity=False, places=3),
    st.sampled_from([Decimal("12.30"), Decimal("0.000"), Decimal("-0.5"), Decimal("1E+7"), Decimal("1E-9")]),
)
_OFFSETS = st.integers(-14 * 60, 14 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))
_DATES = st.one_of(
    st.dates().filter(lambda day: 2 <= day.year <= 9998).map(str),
    st.datetimes(timezones=st.one_of(st.none(), _OFFSETS))
    .filter(lambda time: 3 <= time.year <= 9997)
    .map(lambda time: time.isoformat()),
    st.datetimes(timezones=_OFFSETS)
    .filter(lambda time: 3 <= time.year <= 9997)
    .map(lambda time: time.isoformat(sep=" ", timespec="minutes")),
)
_PATTERNS = {
    r"^R([1-9]|1[0-9]|2[0-6])$": st.integers(1, 26).map(lambda n: f"R{n}"),
    r"^[A-Z]{3}$": st.sampled_from(["EUR", "GBP"]),
}


@cache
def lines(kind: str) -> st.SearchStrategy[str]:
    """Lines of one record kind, each valid by the published schema."""
    return _valid(_DEFS[kind]).map(lambda record: simplejson.dumps(record, use_decimal=True))


def _valid(schema, key=""):
    if "$ref" in schema:
        return _referred(schema["$ref"].rpartition("/")[2])
    if "anyOf" in schema:
        return st.one_of([_valid(branch) for branch in schema["anyOf"]])
    if "const" in schema:
        return st.just(schema["const"])
    if "enum" in schema:
        return st.sampled_from(schema["enum"])
    if key == "time_zone":
        return st.sampled_from(["UTC", "Europe/Dublin", "Pacific/Auckland", "America/St_Johns"])
    types = schema["type"] if isinstance(schema["type"], list) else [schema["type"]]
    return st.one_of([_of_type(name, schema, key) for name in types])


def _referred(name):
    drawn = {"date": _DATES, "id": _ID, "ref": st.none() | _TEXT}
    return drawn[name] if name in drawn else _valid(_DEFS[name])


def _of_type(name, schema, key):
    if name == "object":
        return _objects(schema)
    if name == "array":
        unique_by = (lambda item: item["id"]) if key in LISTS_WITH_OWN_IDS else None
        return st.lists(_valid(schema["items"]), max_size=2, unique_by=unique_by)
    if name == "string":
        shortest = schema.get("minLength", 0)
        pattern = schema.get("pattern")
        return _PATTERNS[pattern] if pattern else _TEXT.filter(lambda text: len(text) >= shortest)
    least, most = schema.get("minimum"), schema.get("maximum")
    return {
        "null": st.none(),
        "boolean": st.booleans(),
        "integer": st.integers(least, most or 2**31 - 1) if least is not None else _INTEGERS,
        "number": _NUMBERS if least is None else _NUMBERS.map(abs),
    }[name]


def _objects(schema):
    parts = {key: _valid(part, key) for key, part in schema["properties"].items()}
    needed = set(schema.get("required", ()))
    return st.fixed_dictionaries(
        {key: parts[key] for key in parts if key in needed},
        optional={key: parts[key] for key in parts if key not in needed},
    )
