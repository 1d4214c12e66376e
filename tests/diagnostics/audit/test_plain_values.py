from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

import pytest

from diagnostics.audit.plain_values import from_plain, to_plain
from diagnostics.audit.scope import Scope


@dataclass(frozen=True)
class Inner:
    share: float | None
    name: str


@dataclass(frozen=True)
class Outer:
    day: date
    cost: Decimal | None
    rows: tuple[Inner, ...]
    pair: tuple[int, str]
    query: dict[str, str]


@pytest.mark.parametrize(
    "value",
    [
        Outer(date(2026, 3, 1), Decimal("12.30"), (Inner(None, "a"), Inner(1.0, "b")), (1, "x"), {"by": "y"}),
        Outer(date(2026, 3, 1), None, (), (0, ""), {}),
        Scope(as_of=date(2026, 3, 1), since=date(2025, 1, 1), levels=frozenset({"W", "S"})),
    ],
)
def test_a_value_comes_back_from_json_as_it_was(value):
    kept = json.loads(json.dumps(to_plain(value)))

    assert from_plain(type(value), kept) == value


def test_a_value_of_an_earlier_form_is_not_read():
    kept = to_plain(Inner(0.5, "a"))

    with pytest.raises(KeyError):
        from_plain(Inner, kept | {"more": 1})
    with pytest.raises(TypeError):
        from_plain(Inner, kept | {"name": 3})


def test_what_is_not_understood_is_refused():
    with pytest.raises(TypeError):
        to_plain(object())
