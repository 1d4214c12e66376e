"""Bytes of a serial line: one start bit, eight data bits with the least first, one stop bit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnostics.captures.decoding.activity import Activity, Floats

BITS = 10  # Of a character: start, eight of data, stop.
BLOCK = 50_000  # Characters looked at in one go; bounds the memory.
_WEIGHTS = 1 << np.arange(8)


@dataclass(frozen=True, slots=True)
class Characters:
    """The characters of a line: where each starts, its value, whether its stop bit was there. [s, -, -]"""

    starts_s: Floats
    values: NDArray[np.uint8]
    stopped: NDArray[np.bool_]
    bit_s: float

    def __len__(self) -> int:
        return int(self.starts_s.size)

    def between(self, first: int, end: int) -> Characters:
        """Return some of them."""
        part = slice(first, end)
        return Characters(self.starts_s[part], self.values[part], self.stopped[part], self.bit_s)

    @property
    def end_s(self) -> float:
        """When the last stop bit ends. [s]"""
        return float(self.starts_s[-1]) + BITS * self.bit_s

    @property
    def gaps_s(self) -> Floats:
        """Time from the end of each character to the start of the next, n - 1 of them. [s]"""
        return np.diff(self.starts_s) - BITS * self.bit_s


def characters(activity: Activity, bit_s: float) -> Characters:
    """Return the characters of a line.

    Parameters
    ----------
    activity : Activity
        Active is the level of the start bit.
    bit_s : float
        One bit. [s]

    Returns
    -------
    Characters
        Each bit is read in its middle, counted from the edge of the start bit, as a receiver does: the
        rates of sender and receiver may differ by 5 %. The next start is looked for half a stop bit
        early. A start bit that is gone in its middle is no start.
    """
    edges = activity.edges_s
    starts = edges[1 if activity.active else 0 :: 2]
    if not starts.size:
        return Characters(np.empty(0), np.empty(0, np.uint8), np.empty(0, np.bool_), bit_s)
    levels = _levels(activity, starts, bit_s)
    taken = _taken(starts, levels[:, 0], bit_s, activity.end_s)
    data = levels[taken, 1:9]
    values = ((~data) @ _WEIGHTS).astype(np.uint8)
    return Characters(starts[taken], values, ~levels[taken, 9], bit_s)


def _levels(activity: Activity, starts: Floats, bit_s: float) -> NDArray[np.bool_]:
    """Return for each start whether the line is active in the middle of each of its ten bits, n by 10."""
    middles = (np.arange(BITS) + 0.5) * bit_s
    found = np.empty((starts.size, BITS), np.bool_)
    for begin in range(0, starts.size, BLOCK):
        part = starts[begin : begin + BLOCK, None] + middles
        passed = np.searchsorted(activity.edges_s, part, side="right")
        found[begin : begin + BLOCK] = (passed % 2 == 1) != activity.active
    return found


def _taken(starts: Floats, begun: NDArray[np.bool_], bit_s: float, end_s: float) -> NDArray[np.intp]:
    follows = np.searchsorted(starts, starts + (BITS - 0.5) * bit_s, side="left").tolist()
    sure = (begun & (starts + (BITS - 0.5) * bit_s <= end_s)).tolist()
    taken = []
    at = 0
    while at < len(follows):
        if sure[at]:
            taken.append(at)
            at = follows[at]
        else:
            at += 1
    return np.asarray(taken, dtype=np.intp)
