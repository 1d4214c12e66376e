"""What is wrong with one line: the field, the value, and what is allowed there."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

import simplejson

LINE = ""  # The field of a fault that concerns the whole line.

_MAX_SHOWN = 60
_PLAIN_KEY = re.compile(r"[A-Za-z_][A-Za-z0-9_]{0,63}", re.ASCII)


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong: `field` is a path such as `complaints[0].attempts[1].outcome`."""

    field: str
    wrong: str
    allowed: str

    def __str__(self) -> str:
        return f"{self.field or 'the line'}: {self.wrong}. Allowed: {self.allowed}."


class BadLine(ValueError):
    """A line that is no record; `faults` names everything that is wrong with it."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__(" ".join(str(fault) for fault in self.faults))


def path_of(parts: Iterable[str | int]) -> str:
    """Return the steps into a document as one path: `("tests", 0, "on")` is `tests[0].on`."""
    path = ""
    for part in parts:
        if isinstance(part, int):
            path += f"[{part}]"
        elif _PLAIN_KEY.fullmatch(part):
            path += f".{part}" if path else part
        else:
            path += f"[{shown(part)}]"
    return path


def shown(value: object, *, quoted: bool = True) -> str:
    """Return a value as a message shows it: as JSON, shortened, safe to print."""
    if isinstance(value, str) and not quoted:
        text = value[: _MAX_SHOWN + 1]
    elif isinstance(value, str):
        text = simplejson.dumps(value[:_MAX_SHOWN], ensure_ascii=bool(re.search("[\ud800-\udfff]", value)))
        return text if len(value) <= _MAX_SHOWN else f'{text[:-1]}…"'
    elif isinstance(value, Decimal):
        text = str(value)
    else:
        text = simplejson.dumps(value, default=str)
    return text if len(text) <= _MAX_SHOWN else f"{text[:_MAX_SHOWN]}…"
