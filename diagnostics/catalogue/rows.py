"""One table of a catalogue file, read key by key, so that a slip names its place."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from decimal import Decimal, InvalidOperation
from typing import Any, NoReturn

_CODE = re.compile(r"^[a-z0-9][a-z0-9_]*$")


class CatalogueError(ValueError):
    """A catalogue file that cannot be used: where, and what is allowed there."""

    def __init__(self, file: str, code: str, field: str, problem: str, allowed: str) -> None:
        self.file, self.code, self.field, self.allowed = file, code, field, allowed
        super().__init__(f"{file}, '{code}', field '{field}': {problem} Allowed: {allowed}.")


class Row:
    """A table with the file and the code it belongs to; every getter refuses with a CatalogueError."""

    def __init__(self, file: str, table: object, keys: Collection[str], code: str = "") -> None:
        self.file = file
        self.code = code
        if not isinstance(table, Mapping):
            self.refuse("(table)", f"{table!r} is not a table.", "key = value pairs")
        self._table: Mapping[str, Any] = table
        if "code" in table and not code:
            self.code = str(table["code"])
        for key in table:
            if key not in keys:
                self.refuse(key, "There is no such field.", ", ".join(keys))

    def refuse(self, field: str, problem: str, allowed: str) -> NoReturn:
        raise CatalogueError(self.file, self.code or "(no code)", field, problem, allowed)

    def has(self, field: str) -> bool:
        return field in self._table

    def text(self, field: str) -> str:
        value = self._table.get(field, "")
        if not isinstance(value, str) or not value.strip():
            self.refuse(field, f"{value!r} is not a text.", "a text that is not blank")
        return value.strip()

    def optional_text(self, field: str) -> str:
        return self.text(field) if self.has(field) else ""

    def identifier(self, field: str = "code") -> str:
        value = self.text(field)
        if not _CODE.match(value):
            self.refuse(field, f"'{value}' is not a code.", "small letters, digits and underscores")
        return value

    def choice(self, field: str, allowed: Collection[str]) -> str:
        value = self.text(field)
        if value not in allowed:
            self.refuse(field, f"'{value}' is not known here.", ", ".join(allowed))
        return value

    def number(self, field: str) -> Decimal | None:
        """Return a decimal written as text, so that its last digit stays; None if absent."""
        if not self.has(field):
            return None
        value = self._table[field]
        allowed = 'a decimal written as text, such as "12.40"'
        if not isinstance(value, str):
            self.refuse(field, f"{value!r} is not written as text.", allowed)
        try:
            number = Decimal(value)
        except InvalidOperation:
            self.refuse(field, f"'{value}' is not a number.", allowed)
        if not number.is_finite():
            self.refuse(field, f"'{value}' is no finite number.", allowed)
        return number

    def whole(self, field: str, highest: int) -> int:
        value = self._table.get(field)
        if not isinstance(value, int) or isinstance(value, bool) or not 1 <= value <= highest:
            self.refuse(field, f"{value!r} does not do.", f"a whole number from 1 to {highest}")
        return value

    def flag(self, field: str, default: bool) -> bool:
        value = self._table.get(field, default)
        if not isinstance(value, bool):
            self.refuse(field, f"{value!r} is not a yes or no.", "true, false")
        return value

    def texts(self, field: str) -> tuple[str, ...]:
        value = self._table.get(field, [])
        if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
            self.refuse(field, f"{value!r} is not a list of texts.", 'a list such as ["battery"]')
        return tuple(value)

    def tables(self, field: str) -> list[Any]:
        value = self._table.get(field, [])
        if not isinstance(value, list):
            self.refuse(field, f"{value!r} is not a list of tables.", f"[[{field}]] tables")
        return value
