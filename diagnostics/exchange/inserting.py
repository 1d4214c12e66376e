"""Inserts many rows of one table without making model instances of them.

A history of ten thousand orders is some four hundred thousand rows. `bulk_create` spends most
of its time on building statements for them, about six times what the rows need this way.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import cache
from typing import Any

from django.db import connection, models

from shared.fields import ExactDecimalField

# Fields whose values a database takes as they are.
_AS_THEY_ARE = {
    models.BooleanField,
    models.CharField,
    models.ForeignKey,
    models.IntegerField,
    models.PositiveIntegerField,
    models.PositiveSmallIntegerField,
    models.TextField,
}


def insert_rows(model: type[models.Model], names: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
    """Insert rows given as the values of the named columns; other columns get their defaults.

    Nothing is returned and no signal is sent. A name is a field's column attribute, so
    `order_id` for the key of an order.
    """
    statement, prepare, defaults = _plan(model, tuple(names))
    prepared = [
        [
            *[
                value if way is None or value is None else way(value)
                for way, value in zip(prepare, row, strict=True)
            ],
            *defaults,
        ]
        for row in rows
    ]
    if prepared:
        with connection.cursor() as cursor:
            cursor.executemany(statement, prepared)


@cache
def _plan(
    model: type[models.Model], names: tuple[str, ...]
) -> tuple[str, list[Callable[[Any], Any] | None], list[Any]]:
    fields = {field.attname: field for field in model._meta.concrete_fields if not field.primary_key}
    left_out = [field for name, field in fields.items() if name not in names]
    quote = connection.ops.quote_name
    columns = ", ".join(quote(field.column) for field in [*[fields[name] for name in names], *left_out])
    places = ", ".join(["%s"] * len(fields))
    table = quote(model._meta.db_table)
    defaults = [field.get_db_prep_save(field.get_default(), connection) for field in left_out]
    return (
        f"INSERT INTO {table} ({columns}) VALUES ({places})",
        [_way(fields[name]) for name in names],
        defaults,
    )


def _way(field: models.Field[Any, Any]) -> Callable[[Any], Any] | None:
    if type(field) in _AS_THEY_ARE:
        return None
    if type(field) is models.DateField:
        return connection.ops.adapt_datefield_value
    if type(field) is models.DateTimeField:
        return connection.ops.adapt_datetimefield_value
    if type(field) is ExactDecimalField:
        return str
    return lambda value: field.get_db_prep_save(value, connection)
