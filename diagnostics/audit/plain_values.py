"""Frozen dataclasses as JSON values and back, for answers that are kept. No Django.

Understood are dataclasses, tuples, lists, dicts with text keys, frozen sets of texts, dates, decimals and
what JSON has itself. A union is read by its first member that fits, None first.
"""

from __future__ import annotations

import types
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from decimal import Decimal
from functools import cache
from typing import Any, Literal, TypeVar, Union, cast, get_args, get_origin, get_type_hints

T = TypeVar("T")


def to_plain(value: Any) -> Any:
    """Return a value as JSON can hold it.

    Raises
    ------
    TypeError
        If it is of a kind that is not understood.
    """
    if value is None or isinstance(value, str | bool | int | float):
        return value
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: to_plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return str(value)
    if isinstance(value, Mapping):
        return {str(key): to_plain(one) for key, one in value.items()}
    if isinstance(value, frozenset):
        return sorted(value)
    if isinstance(value, tuple | list):
        return [to_plain(one) for one in value]
    raise TypeError(f"A {type(value).__name__} cannot be kept.")


def from_plain(kind: type[T], plain: Any) -> T:
    """Return the value of a kind that `to_plain` made plain.

    Raises
    ------
    TypeError, KeyError, ValueError
        If it was made of another kind, or of an earlier form of this one.
    """
    return cast(T, _read(kind, plain))


def _read(kind: Any, plain: Any) -> Any:
    origin, inner = get_origin(kind), get_args(kind)
    if origin in (Union, types.UnionType):
        return _read_union(inner, plain)
    if origin is Literal or kind is Any:
        return plain
    if origin in (tuple, list, frozenset):
        return _read_many(origin, inner, plain)
    if origin is not None and issubclass(origin, Mapping):
        return {key: _read(inner[1], one) for key, one in plain.items()}
    if is_dataclass(kind):
        return _read_dataclass(cast(type, kind), plain)
    if kind is date:
        return date.fromisoformat(plain)
    if kind is Decimal:
        return Decimal(plain)
    if kind is float and isinstance(plain, int) and not isinstance(plain, bool):
        return float(plain)
    if not isinstance(plain, kind):
        raise TypeError(f"{plain!r} is no {kind}.")
    return plain


def _read_union(members: tuple[Any, ...], plain: Any) -> Any:
    if plain is None and type(None) in members:
        return None
    problems: list[str] = []
    for member in members:
        if member is type(None):
            continue
        try:
            return _read(member, plain)
        except (TypeError, KeyError, ValueError, AttributeError) as error:
            problems.append(str(error))
    raise TypeError("; ".join(problems))


def _read_many(origin: Any, inner: tuple[Any, ...], plain: Any) -> Any:
    if origin is tuple and inner[-1:] != (...,):
        return tuple(_read(kind, one) for kind, one in zip(inner, plain, strict=True))
    return origin(_read(inner[0], one) for one in plain)


def _read_dataclass(kind: type, plain: Any) -> Any:
    hints = _hints(kind)
    names = [field.name for field in fields(kind) if field.init]
    if set(plain) != set(names):
        raise KeyError(f"The fields of {kind.__name__} have changed.")
    return kind(**{name: _read(hints[name], plain[name]) for name in names})


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)
