"""Dates, blanks and the order of things on one record (section 4 of the practice text)."""

import functools
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, tzinfo
from typing import Any
from zoneinfo import ZoneInfo


@dataclass(frozen=True, slots=True)
class Moment:
    """A calendar date of the shop; with a time of day and an instant where the record gives them."""

    day: date
    clock: time | None = None
    instant: datetime | None = None


@dataclass(frozen=True, slots=True)
class Placed:
    """One entry of the record with what decides its order: moment, phase and place on the record."""

    at: Moment
    place: int
    entry: dict[str, Any]
    phase: str = ""


def is_blank(text: object) -> bool:
    """Absent, empty or only spaces."""
    return text is None or (isinstance(text, str) and not text.strip())


def same(one: object, other: object) -> bool:
    """Equality of systems, symptoms and components: a blank equals nothing."""
    return not is_blank(one) and one == other


@functools.lru_cache(maxsize=64)
def _zone(name: str) -> tzinfo:
    return ZoneInfo(name)


def zone_of(location: dict[str, Any]) -> tzinfo:
    """Reading: a location that names no time zone keeps its time in UTC."""
    name = location.get("time_zone")
    return UTC if is_blank(name) else _zone(name)


@functools.lru_cache(maxsize=65536)
def read(text: str, zone: tzinfo) -> Moment:
    """Read a date, or a date-time with or without offset (without: the shop's own time)."""
    if len(text) == len("2026-01-31"):
        return Moment(date.fromisoformat(text))
    stamp = datetime.fromisoformat(text)
    local = stamp.replace(tzinfo=zone) if stamp.tzinfo is None else stamp.astimezone(zone)
    return Moment(local.date(), local.time(), local.astimezone(UTC))


def read_or_none(text: str | None, zone: tzinfo) -> Moment | None:
    return None if is_blank(text) else read(text, zone)


def is_later(one: Placed, other: Placed) -> bool:
    """By date; on one date by time of day where both have one; else before ahead of after; then by place.

    Reading: two equal times of day decide nothing, and the phase and the place do.
    """
    if one.at.day != other.at.day:
        return one.at.day > other.at.day
    if one.at.clock is not None and other.at.clock is not None and one.at.clock != other.at.clock:
        return one.at.clock > other.at.clock
    if one.phase != other.phase:
        return one.phase == "after"
    return one.place > other.place


def _compare(one: Placed, other: Placed) -> int:
    return 1 if is_later(one, other) else -1


def in_order(entries: Iterable[Placed]) -> list[Placed]:
    return sorted(entries, key=functools.cmp_to_key(_compare))


def latest(entries: Iterable[Placed]) -> Placed | None:
    found = None
    for entry in entries:
        if found is None or is_later(entry, found):
            found = entry
    return found


def has_no_order(entries: list[Placed]) -> bool:
    """Whether "later" runs in a circle, as for 10:00, a bare date and 9:00 of one day in this order."""
    return any(
        is_later(a, b) and is_later(b, c) and is_later(c, a)
        for a in entries
        for b in entries
        for c in entries
    )
