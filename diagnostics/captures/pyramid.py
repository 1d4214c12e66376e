"""The least and the greatest value of any stretch of a recording, at once, however long it is.

A folder holds, all little-endian and without a header of their own:

    pyramid.json          {"form": 1, "factor": 8, "channels": c, "samples": n, "levels": k,
                           "start": seconds, "dt": seconds, or null where the times are uneven}
    channel-C-level-0     n float32: the samples as recorded; NaN is a gap
    channel-C-level-L     float32 pairs (least, greatest), one pair for each 8^L samples; NaN, NaN where
                          a whole stretch is a gap
    times                 n float64 seconds, only where the times are uneven

The levels above the samples take two sevenths of their room. They are made in one pass over pieces of the
recording, so the memory needed does not grow with it.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Iterable
from contextlib import ExitStack
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import IO

import numpy as np
from numpy.typing import NDArray

FORM = 1
FACTOR = 8
HEADER = struct.Struct("<6d")  # What `Window.packed` begins with.

Floats = NDArray[np.float32]
Times = NDArray[np.float64]
Places = NDArray[np.int64]
# Times of a piece in seconds (None: even steps), and its values: channels by samples.
Piece = tuple[Times | None, NDArray[np.floating]]


@dataclass(frozen=True, slots=True)
class Window:
    """What is drawn of a stretch of time: single samples, or the least and greatest of each column.

    `times` are offsets from `since` in seconds, one a sample; None where `low` and `high` are columns of one
    width that fill the stretch. `low` and `high` are channels by samples or columns; NaN where nothing is.
    """

    since: float
    until: float
    times: Floats | None
    low: Floats
    high: Floats

    def packed(self) -> bytes:
        """Return the window as one run of bytes, little-endian, for a page to draw.

        Six float64: 0 for columns or 1 for samples, channels, how many of each, since, until, 0. Then
        float32: of samples their times, and the values channel by channel; of columns pairs of least and
        greatest, channel by channel.
        """
        channels, count = self.low.shape
        is_samples = self.times is not None
        head = HEADER.pack(is_samples, channels, count, self.since, self.until, 0)
        if self.times is not None:
            return head + self.times.astype("<f4").tobytes() + self.low.astype("<f4").tobytes()
        return head + np.stack([self.low, self.high], axis=2).astype("<f4").tobytes()


class Pyramid:
    """The pyramid of a folder, opened for reading; its files are mapped, not loaded."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        about = json.loads((folder / "pyramid.json").read_text(encoding="utf-8"))
        if about.get("form") != FORM:
            raise ValueError(f"The pyramid has form {about.get('form')}; this version reads form {FORM}.")
        self.channels: int = about["channels"]
        self.samples: int = about["samples"]
        self._levels: int = about["levels"]
        self.start: float = about["start"]
        self._dt: float | None = about["dt"]

    @property
    def end(self) -> float:
        """Where the last sample ends, one step after it. [s]"""
        if self._dt is not None:
            return self.start + self.samples * self._dt
        first, last = float(self._times[0]), float(self._times[-1])
        return last + (last - first) / max(self.samples - 1, 1) if last > first else last + 1.0

    def window(self, since: float, until: float, width: int) -> Window:
        """Return what to draw between two times in `width` columns.

        Parameters
        ----------
        since, until : float
            The stretch, its end not included; it may reach beyond the recording. [s]
        width : int
            Columns of pixels, 1 or more.

        Returns
        -------
        Window
            The samples themselves, and one more on either side, where the stretch has two a column or fewer;
            else the exact least and greatest sample of each column. The work grows with `width` and with the
            logarithm of the samples, not with the samples.

        Raises
        ------
        ValueError
            If the stretch is empty or not finite, or the width is below 1.
        """
        if not (np.isfinite(since) and np.isfinite(until) and until > since):
            said = f"A window from {since} to {until} s is empty."
            raise ValueError(f"{said} Its end must lie after its start.")
        if width < 1:
            raise ValueError(f"A window of {width} columns cannot be drawn. It needs 1 or more.")
        edges = since + (until - since) * np.arange(width + 1) / width
        edges[-1] = until
        places = self._places(edges)
        if places[-1] - places[0] <= 2 * width:
            return self._single_samples(since, until, int(places[0]), int(places[-1]))
        return self._columns(since, until, edges, places)

    def _single_samples(self, since: float, until: float, first: int, last: int) -> Window:
        first, last = max(first - 1, 0), min(last + 1, self.samples)
        times = (self._times_at(np.arange(first, last)) - since).astype(np.float32)
        values = np.stack([np.array(self._level(c, 0)[first:last]) for c in range(self.channels)])
        return Window(since, until, times, values, values)

    def _columns(self, since: float, until: float, edges: Times, places: Places) -> Window:
        found = [self._extremes(c, places[:-1], places[1:]) for c in range(self.channels)]
        low, high = (np.stack([pair[side] for pair in found]) for side in (0, 1))
        empty = places[:-1] >= places[1:]
        if empty.any():
            middles = ((edges[:-1] + edges[1:]) / 2)[empty]
            for channel in range(self.channels):
                low[channel, empty] = high[channel, empty] = self._between(channel, middles)
        return Window(since, until, None, low, high)

    def _extremes(self, channel: int, starts: Places, ends: Places) -> tuple[Floats, Floats]:
        """Least and greatest of samples [start, end) of each column, gathered level by level.

        On each level a column takes the few entries before and after the part that the next level covers
        whole; there are fewer than 8 on either side.
        """
        low = np.full(len(starts), np.nan, dtype=np.float32)
        high = low.copy()
        for level in range(self._levels):
            top = level == self._levels - 1
            inner = ends if top else np.minimum(-(-starts // FACTOR) * FACTOR, ends)
            outer = ends if top else np.maximum(ends // FACTOR * FACTOR, inner)
            self._take(channel, level, starts, inner, low, high)
            self._take(channel, level, outer, ends, low, high)
            starts, ends = inner // FACTOR, outer // FACTOR
            if not (starts < ends).any():
                break
        return low, high

    def _take(
        self, channel: int, level: int, starts: Places, ends: Places, low: Floats, high: Floats
    ) -> None:
        entries = self._level(channel, level)
        at, left = starts.copy(), np.flatnonzero(starts < ends)
        while len(left):
            taken = np.asarray(entries[at[left]])
            least, greatest = (taken, taken) if level == 0 else (taken[:, 0], taken[:, 1])
            low[left] = np.fmin(low[left], least)
            high[left] = np.fmax(high[left], greatest)
            at[left] += 1
            left = left[at[left] < ends[left]]

    def _between(self, channel: int, times: Times) -> Floats:
        """The value on the line between the samples around each time; NaN beside a gap or outside."""
        after = self._places(times)
        inside = (after > 0) & (after < self.samples)
        right = np.where(inside, after, 1 if self.samples > 1 else 0)
        left = np.maximum(right - 1, 0)
        t0, t1 = self._times_at(left), self._times_at(right)
        values = self._level(channel, 0)
        v0, v1 = np.asarray(values[left], np.float64), np.asarray(values[right], np.float64)
        share = np.divide(times - t0, t1 - t0, out=np.zeros_like(times), where=t1 > t0)
        return np.where(inside, v0 + (v1 - v0) * share, np.nan).astype(np.float32)

    def _places(self, times: Times) -> Places:
        """The first sample at or after each time."""
        if self._dt is None:
            return np.searchsorted(self._times, times, side="left").astype(np.int64)
        guess = np.clip(np.ceil((times - self.start) / self._dt), -1, self.samples + 1).astype(np.int64)
        # Rounding may put the guess one off where a time falls on a sample.
        guess -= self._times_at(guess - 1) >= times
        guess += self._times_at(guess) < times
        return np.clip(guess, 0, self.samples)

    def _times_at(self, places: Places) -> Times:
        if self._dt is not None:
            return np.asarray(self.start + places * self._dt, dtype=np.float64)
        return np.asarray(self._times[places], dtype=np.float64)

    @cached_property
    def _times(self) -> Times:
        return np.memmap(self._folder / "times", dtype="<f8", mode="r")

    def _level(self, channel: int, level: int) -> Floats:
        if (channel, level) not in self._mapped:
            entries: Floats = np.memmap(_path(self._folder, channel, level), dtype="<f4", mode="r")
            self._mapped[channel, level] = entries if level == 0 else entries.reshape(-1, 2)
        return self._mapped[channel, level]

    @cached_property
    def _mapped(self) -> dict[tuple[int, int], Floats]:
        return {}


def build(folder: Path, pieces: Iterable[Piece], *, channels: int, start: float, dt: float | None) -> Pyramid:
    """Write the pyramid of a recording into an empty folder, and return it opened.

    Parameters
    ----------
    folder : Path
        An empty folder.
    pieces : iterable of (times, values)
        The recording in order, in pieces of any length: float64 times in seconds, rising, or None where the
        steps are even; values as channels by samples. A value that is not finite is kept as a gap.
    channels : int
    start : float
        Time of the first sample. [s]
    dt : float or None
        Step between samples; None where the times are uneven. [s]

    Raises
    ------
    ValueError
        If a piece has another number of channels, or there is no sample at all.
    """
    samples = 0
    with ExitStack() as opened:
        writers = [opened.enter_context(_Writer(folder, channel)) for channel in range(channels)]
        times_file = opened.enter_context((folder / "times").open("wb"))
        for times, values in pieces:
            if values.ndim != 2 or len(values) != channels:
                raise ValueError(f"A piece has the shape {values.shape}; {channels} channels were announced.")
            for writer, row in zip(writers, values, strict=True):
                writer.add(_as_floats(row))
            if dt is None and times is not None:
                times_file.write(np.asarray(times, dtype="<f8").tobytes())
            samples += values.shape[1]
        if not samples:
            raise ValueError("The recording has no sample.")
        levels = max(writer.finish() for writer in writers)
    if dt is not None:
        (folder / "times").unlink()
    about = {
        "form": FORM, "factor": FACTOR, "channels": channels, "samples": samples, "levels": levels,
        "start": start, "dt": dt,
    }  # fmt: skip
    (folder / "pyramid.json").write_text(json.dumps(about), encoding="utf-8")
    return Pyramid(folder)


class _Writer:
    """Writes the levels of one channel as its samples come in."""

    def __init__(self, folder: Path, channel: int) -> None:
        self._folder, self._channel = folder, channel
        self._files: list[IO[bytes]] = [_path(folder, channel, 0).open("wb")]
        self._waiting: list[tuple[Floats, Floats]] = [_NOTHING]

    def add(self, values: Floats) -> None:
        self._files[0].write(values.astype("<f4").tobytes())
        self._raise(1, values, values)

    def __enter__(self) -> _Writer:
        return self

    def __exit__(self, *raised: object) -> None:
        for file in self._files:
            file.close()

    def finish(self) -> int:
        """Write what fills no whole stretch, and return how many levels there are."""
        level = 1
        while level < len(self._files):
            low, high = self._waiting[level - 1]
            if len(low):
                self._waiting[level - 1] = _NOTHING
                self._write(level, np.fmin.reduce(low)[None], np.fmax.reduce(high)[None])
            level += 1
        return len(self._files)

    def _raise(self, level: int, low: Floats, high: Floats) -> None:
        """Take entries of the level below, and pass on one for every eight."""
        waiting_low, waiting_high = self._waiting[level - 1]
        low, high = np.concatenate([waiting_low, low]), np.concatenate([waiting_high, high])
        whole = len(low) // FACTOR * FACTOR
        self._waiting[level - 1] = low[whole:].copy(), high[whole:].copy()
        if whole:
            least = np.fmin.reduce(low[:whole].reshape(-1, FACTOR), axis=1)
            greatest = np.fmax.reduce(high[:whole].reshape(-1, FACTOR), axis=1)
            self._write(level, least, greatest)

    def _write(self, level: int, low: Floats, high: Floats) -> None:
        if level == len(self._files):
            self._files.append(_path(self._folder, self._channel, level).open("wb"))
            self._waiting.append(_NOTHING)
        self._files[level].write(np.stack([low, high], axis=1).astype("<f4").tobytes())
        self._raise(level + 1, low, high)


_NOTHING = np.empty(0, np.float32), np.empty(0, np.float32)


def _as_floats(row: NDArray[np.floating]) -> Floats:
    with np.errstate(over="ignore"):
        values = np.asarray(row).astype(np.float32)
    values[~np.isfinite(values)] = np.nan
    return values


def _path(folder: Path, channel: int, level: int) -> Path:
    return folder / f"channel-{channel}-level-{level}"
