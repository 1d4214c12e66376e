"""The dice of generated histories."""

import random
from datetime import UTC, date, datetime, time, timedelta, timezone
from typing import Any

from tests.second_opinion.vocabulary import CLOCKS, Line


class Chance:
    """The dice of one order, loaded by its care."""

    def __init__(self, rng: random.Random, care: float = 0.5) -> None:
        self.rng = rng
        self.care = care

    def happens(self, share: float) -> bool:
        return self.rng.random() < share

    def is_done_well(self) -> bool:
        return self.rng.random() < self.care

    def one_of(self, items: Any) -> Any:
        return items[int(self.rng.random() * len(items))]

    def some_of(self, items: list[Any], most: int = 2) -> list[Any]:
        if not items:
            return []
        return [self.one_of(items) for _ in range(int(self.rng.random() * (most + 1)))]

    def write(self, line: Line, key: str, value: Any, *, can_be_null: bool = True) -> None:
        """Write the value, or where care fails leave it blank in one of the four ways."""
        if value is not None and (self.is_done_well() or self.happens(0.6)):
            line[key] = value
            return
        blank = self.one_of(("absent", "", "  ", None) if can_be_null else ("absent", "", "  "))
        if blank != "absent":
            line[key] = blank

    def switch(self, line: Line, key: str, share: float, *, default: bool = False) -> None:
        """Write a truth that is seldom its default; the default is written or left to be understood."""
        if self.happens(share):
            line[key] = not default
        elif self.happens(0.3):
            line[key] = default

    def stamp(self, day: date, zone: Any, *, share_of_times: float, clock: time | None = None) -> str:
        """A local date, alone or with a time of day; written with an offset it may show another date."""
        if clock is None and not self.happens(share_of_times):
            return day.isoformat()
        local = datetime.combine(day, clock or self.one_of(CLOCKS))
        text = local.isoformat(timespec=self.one_of(("minutes", "seconds")))
        if self.happens(0.4):
            other = self.one_of(
                (UTC, zone, timezone(timedelta(hours=-5)), timezone(timedelta(hours=5, minutes=30)))
            )
            text = local.replace(tzinfo=zone).astimezone(other).isoformat(timespec="seconds")
            text = text.replace("+00:00", "Z") if self.happens(0.5) else text
        return text.replace("T", " ") if self.happens(0.1) else text
