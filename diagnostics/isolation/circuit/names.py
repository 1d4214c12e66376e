"""Names as pasted from a list: bullets and numbers stripped, zones read, ids made."""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass

from diagnostics.isolation.circuit.checking import MOST_MINUTES, CircuitError, Wrong
from diagnostics.isolation.circuit.places import Zone

MOST_NAMES = 60
LONGEST_NAME = 60
LONGEST_SLUG = 24
LONGEST_MADE_ID = 64  # Of the form isolation-problem/1.

_BULLET = re.compile(r"^(?:[-–—*•·▪◦‣]\s*|\(?\d{1,3}[.)]\s+|\(?\d{1,3}\)\s*|\d{1,3}\s+[-–]\s+)")
_ZONE = re.compile(
    r"^(?P<label>.*?)\s*(?:(?P<open>\d+(?:[.,]\d+)?)\s*(?:\+\s*(?P<close>\d+(?:[.,]\d+)?))?\s*(?:min)?)?$"
)


@dataclass(frozen=True, slots=True)
class Named:
    """One name of the list: its zone as written, and whether it is only assumed to be there ("name ?")."""

    name: str
    zone: Zone | None = None
    is_assumed: bool = False


@dataclass(frozen=True, slots=True)
class Group:
    """Names under one heading; "" where the list has none."""

    heading: str
    names: tuple[Named, ...]


def lines_of(names: str | Iterable[str]) -> list[str]:
    """Return the lines of a pasted list without bullets, numbers and tabs; blank lines stay as "" ."""
    lines = names.splitlines() if isinstance(names, str) else list(names)
    return [_bare(line) for line in lines]


def read_names(names: str | Iterable[str]) -> tuple[Named, ...]:
    """Return the names of a plain list, duplicates numbered. Headings and blank lines are passed over."""
    return tuple(name for group in read_groups(names) for name in group.names)


def read_groups(names: str | Iterable[str]) -> tuple[Group, ...]:
    """Return the names by group: a line ending with ':' heads a group, a blank line begins the next."""
    groups: list[tuple[str, list[str]]] = []
    is_new = True
    for line in lines_of(names):
        if not line:
            is_new = True
        elif line.endswith(":"):
            groups.append((line[:-1].strip(), []))
            is_new = False
        else:
            if is_new and not (groups and not groups[-1][1]):
                groups.append(("", []))
            is_new = False
            groups[-1][1].append(line)
    return _numbered(groups)


def _numbered(groups: list[tuple[str, list[str]]]) -> tuple[Group, ...]:
    refuse_count(sum(len(lines) for _, lines in groups))
    counts: dict[str, int] = {}
    return tuple(
        Group(heading, tuple(number(read_name(line), counts) for line in lines)) for heading, lines in groups
    )


def refuse_count(count: int) -> None:
    """Raise where a list has no names or too many."""
    if count == 0:
        raise CircuitError([Wrong("", "The list is empty. Paste one name a line, for example 'pump unit'.")])
    if count > MOST_NAMES:
        raise CircuitError(
            [
                Wrong(
                    "", f"The list has {count} names; a map takes {MOST_NAMES}. Leave out what cannot matter."
                )
            ]
        )


def number(named: Named, counts: dict[str, int]) -> Named:
    """Return the name with a number if it was seen before: 'lamp', 'lamp 2', 'lamp 3'."""
    key = named.name.casefold()
    counts[key] = counts.get(key, 0) + 1
    if counts[key] == 1:
        return named
    return number(Named(f"{named.name} {counts[key]}", named.zone, named.is_assumed), counts)


def read_name(line: str) -> Named:
    """Read 'name', 'name ?' and 'name @ zone 12+8' (minutes to open and to refit)."""
    name, _, zone = (part.strip() for part in line.partition("@"))
    is_assumed = name.endswith("?")
    name = name.rstrip("? ")
    if not name:
        raise CircuitError([Wrong("", f"'{line}' has no name in it. Write the name of the place first.")])
    if len(name) > LONGEST_NAME:
        raise CircuitError([Wrong("", f"'{name[:30]}…' is too long. Use at most {LONGEST_NAME} characters.")])
    return Named(name, _read_zone(zone) if zone else None, is_assumed)


def _read_zone(text: str) -> Zone:
    found = _ZONE.match(text)
    label = found["label"].strip() if found else ""
    if not found or not label:
        raise CircuitError(
            [Wrong("", f"'@ {text}' names no zone. Write it as 'pump unit @ side locker 10+8'.")]
        )
    opened, closed = (_minutes(found[part] or "0", text) for part in ("open", "close"))
    return Zone(slug(label, "z"), label, opened, closed)


def _minutes(typed: str, text: str) -> float:
    minutes = float(typed.replace(",", "."))
    if minutes > MOST_MINUTES:
        raise CircuitError([Wrong("", f"'@ {text}' has {minutes:g} minutes. Give at most {MOST_MINUTES:g}.")])
    return minutes


def _bare(line: str) -> str:
    cells = [" ".join(cell.split()) for cell in line.split("\t")]
    kept = [cell for cell in cells if cell and not (len(cells) > 1 and re.fullmatch(r"\d+[.)]?", cell))]
    text = " ".join(kept)
    while _BULLET.match(text):
        text = _BULLET.sub("", text, count=1).strip()
    return text


def slug(name: str, letter: str) -> str:
    """Return a name as an id: 'rear door unit' is rear_door_unit; `letter` goes before one without."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    made = re.sub(r"[^a-z0-9]+", "_", plain).strip("_")[:LONGEST_SLUG].strip("_")
    return made if made[:1].isalpha() else f"{letter}_{made}".rstrip("_")


def as_id(text: str) -> str:
    """Return an id of a suspect or a test as it is, or where it is too long its beginning and a check sum.

    The check sum keeps two long ones apart and is the same each time.
    """
    if len(text) <= LONGEST_MADE_ID:
        return text
    mark = hashlib.blake2s(text.encode(), digest_size=4).hexdigest()
    return f"{text[: LONGEST_MADE_ID - len(mark) - 1]}_{mark}"


def unused(wanted: str, taken: Iterable[str]) -> str:
    """Return `wanted`, or with the first number that is free among `taken`."""
    used = set(taken)
    made, count = wanted, 1
    while made in used:
        count += 1
        made = f"{wanted}_{count}"
    return made
