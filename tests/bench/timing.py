"""Takes times in turns, so that a busy moment of the machine falls on both sides of a comparison."""

import gc
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import median
from typing import Any


@dataclass(frozen=True)
class Comparison:
    """Seconds of one thing beside seconds of its yardstick; `count` things were done in each time."""

    name: str
    seconds: Sequence[float]
    yardstick: str
    yardstick_seconds: Sequence[float]
    count: int = 1
    note: str = ""

    @property
    def ratio(self) -> float:
        return median(self.seconds) / median(self.yardstick_seconds)

    @property
    def per_second(self) -> float:
        return self.count / median(self.seconds)

    def as_data(self) -> dict[str, Any]:
        return {
            "name": self.name,
            **_spread(self.seconds),
            "yardstick": {"name": self.yardstick, **_spread(self.yardstick_seconds)},
            "ratio": round(self.ratio, 2),
            "count": self.count,
            "per_second": round(self.per_second, 1),
            "note": self.note,
        }


def in_turns(times: int, *functions: Callable[[], Any]) -> list[list[float]]:
    """Return how long each function took, called in turns so many times."""
    taken: list[list[float]] = [[] for _ in functions]
    for _ in range(times):
        for seconds, function in zip(taken, functions, strict=True):
            seconds.append(seconds_of(function))
    return taken


def seconds_of(function: Callable[[], Any]) -> float:
    gc.collect()  # So that nobody clears away what another one left.
    started = time.perf_counter()
    function()
    return time.perf_counter() - started


def table(comparisons: Sequence[Comparison]) -> str:
    """Return the comparisons as lines of one width, times in milliseconds."""
    head = ("what", "min ms", "median", "max", "a second", "yardstick", "median", "ratio", "")
    rows = [head, *[_row(comparison) for comparison in comparisons]]
    widths = [max(len(row[column]) for row in rows) for column in range(len(head))]
    left = {0, 5, 8}
    return "\n".join(
        "  ".join(
            cell.ljust(width) if column in left else cell.rjust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    )


def _row(comparison: Comparison) -> tuple[str, ...]:
    seconds = comparison.seconds
    return (
        comparison.name,
        *[f"{value * 1000:,.1f}" for value in (min(seconds), median(seconds), max(seconds))],
        f"{comparison.per_second:,.1f}",
        comparison.yardstick,
        f"{median(comparison.yardstick_seconds) * 1000:,.1f}",
        f"{comparison.ratio:.2f}",
        comparison.note,
    )


def _spread(seconds: Sequence[float]) -> dict[str, float]:
    return {
        "min_seconds": round(min(seconds), 5),
        "median_seconds": round(median(seconds), 5),
        "max_seconds": round(max(seconds), 5),
    }
