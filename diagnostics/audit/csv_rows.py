"""Every table of the audit as rows of a file."""

from __future__ import annotations

from collections.abc import Iterator

from diagnostics.audit.scope import Scope

TABLES = ("rate", "curve", "breakdown", "people", "shops")


def csv_rows(scope: Scope, table: str, *, by: str = "", with_names: bool = True) -> Iterator[list[object]]:
    """Yield the head and the rows of one table; without names, persons are numbered by the order of names."""
    raise NotImplementedError
