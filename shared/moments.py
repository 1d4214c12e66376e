"""When something was done: the shop's calendar date, and the instant where it is known.

A job history often knows only the day. Rules compare calendar dates of the shop and
look at the time of day only where both sides have one.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

_WRITTEN = re.compile(
    r"^(?P<day>\d{4}-\d{2}-\d{2})"
    r"(?:[T ](?P<clock>\d{2}:\d{2}(?::\d{2}(?:\.\d+)?)?)(?P<offset>Z|[+-]\d{2}:\d{2})?)?$"
)


@dataclass(frozen=True, slots=True)
class Moment:
    """A calendar date of the shop, and the instant in UTC where the time of day is known."""

    on: date
    instant: datetime | None = None


def moment_at(instant: datetime, zone: ZoneInfo) -> Moment:
    """Return the moment of an aware `instant` on the calendar of `zone`."""
    return Moment(instant.astimezone(zone).date(), instant.astimezone(UTC))


def read_moment(text: str, zone: ZoneInfo) -> Moment:
    """Return the moment written as `YYYY-MM-DD`, or as a date-time with or without an offset.

    Parameters
    ----------
    text : str
        ISO 8601; a date-time without an offset is local time of `zone`.
    zone : ZoneInfo
        The shop's zone, whose calendar gives the date.

    Raises
    ------
    ValueError
        If the text has another form, or names a day or a time that does not exist.
    """
    match = _WRITTEN.match(text)
    if match is None:
        raise ValueError(f"'{text}' is not a date. Write YYYY-MM-DD, or YYYY-MM-DDTHH:MM with an offset.")
    try:
        day = date.fromisoformat(match["day"])
        if match["clock"] is None:
            return Moment(day)
        clock = time.fromisoformat(_six_digit_fraction(match["clock"]))
        offset = match["offset"]
        if offset is None:
            local = datetime.combine(day, clock, zone)
        else:
            local = datetime.fromisoformat(
                f"{day}T{clock.isoformat()}{'+00:00' if offset == 'Z' else offset}"
            )
        return moment_at(local, zone)
    except (ValueError, OverflowError):
        raise ValueError(f"'{text}' names a day or a time that does not exist.") from None


def write_moment(moment: Moment, zone: ZoneInfo) -> str:
    """Return a moment as `read_moment` takes it: the date, or the local date-time with its offset.

    In UTC where the offset of `zone` has seconds, which ISO 8601 cannot write.
    """
    if moment.instant is None:
        return moment.on.isoformat()
    local = moment.instant.astimezone(zone)
    offset = local.utcoffset()
    if offset is None or offset.total_seconds() % 60:
        local = moment.instant.astimezone(UTC)  # Local mean time before about 1900.
    return local.isoformat()


def _six_digit_fraction(clock: str) -> str:
    whole, dot, fraction = clock.partition(".")
    return f"{whole}.{fraction[:6]:0<6}" if dot else whole
