"""What a recorded signal is, whatever file it came from: channels, and samples that come in pieces.

A recording is never held whole: `Recording.chunks()` reads the file once more from its beginning each
time, a piece at a time. A sample that is missing is NaN. Times never fall.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Kind = Literal["analog", "logic"]

MOST_SAMPLES = 50_000_000  # of one channel; a longer recording is cut before it is brought here
MOST_CHANNELS = 64
GREATEST_VALUE = 1e15  # What lies above, or is infinite, is an instrument's sign for "no sample".
LATEST_TIME_S = 1e12
CHUNK_SAMPLES = 1 << 17  # 1 MB for a channel of doubles: fits the cache of a small machine


class UnreadableCapture(ValueError):
    """A file that cannot be read as a recording: where in it, what is wrong, what is allowed."""

    def __init__(self, where: str, message: str, allowed: str = "") -> None:
        self.where, self.message, self.allowed = where, message, allowed
        super().__init__(f"{where}: {message}" + (f" Allowed: {allowed}." if allowed else ""))

    def as_dict(self) -> dict[str, str]:
        """Return the refusal as JSON has it."""
        return {"where": self.where, "message": self.message, "allowed": self.allowed}


@dataclass(frozen=True, slots=True)
class Channel:
    """One recorded line. A logic channel has the values 0 and 1 and no unit."""

    name: str
    unit: str = ""
    kind: Kind = "analog"


@dataclass(frozen=True, slots=True)
class AsRead:
    """What a person says about a file that the file itself may not say.

    `volts_per_count` scales the counts of a WAV or the numbers of a column without a unit; `sample_rate_hz`
    serves a table without times; `unit` and `time_unit` serve columns that name none.
    """

    volts_per_count: float | None = None
    sample_rate_hz: float | None = None
    unit: str = ""
    time_unit: str = ""

    def __post_init__(self) -> None:
        for name in ("volts_per_count", "sample_rate_hz"):
            value = getattr(self, name)
            if value is not None and not (np.isfinite(value) and value > 0):
                raise UnreadableCapture(name, f"{value} cannot be used.", "a number above 0")


@dataclass(frozen=True, slots=True, eq=False)
class Chunk:
    """A stretch of a recording: `times` (n,) [s], `values` (channels, n) in each channel's unit."""

    times: Floats
    values: Floats

    def __len__(self) -> int:
        return len(self.times)


@dataclass(frozen=True, slots=True, eq=False)
class Recording:
    """Channels on one time base, read from its source a chunk at a time.

    `dt` is the sample interval [s]; None where samples do not come evenly (a dump of changes, a logger).
    A dump of changes has two samples at the time of a change, the value before and the one after, so that
    straight lines between samples are the signal. `start` is the time of the first sample [s]. `samples`
    is None until the file was read through. `remarks` say what the reader took for granted.
    """

    channels: tuple[Channel, ...]
    dt: float | None
    start: float
    samples: int | None
    source: Callable[[], Iterator[Chunk]]
    form: str = ""
    remarks: tuple[str, ...] = ()

    def chunks(self) -> Iterator[Chunk]:
        """Read the samples from the first one on, each chunk looked at before it is handed on.

        Raises
        ------
        UnreadableCapture
            When a piece of the file cannot be read, a time falls, or there are too many samples.
        """
        count, last = 0, -np.inf
        for chunk in self.source():
            if not len(chunk):
                continue
            count += len(chunk)
            if count > MOST_SAMPLES:
                raise too_many_samples()
            last = _last_time(chunk.times, last, count - len(chunk))
            absurd = np.abs(chunk.values) > GREATEST_VALUE
            if absurd.any():
                chunk = Chunk(chunk.times, np.where(absurd, np.nan, chunk.values))
            yield chunk

    def index(self, channel: str) -> int:
        """Return the row of a channel by its name."""
        for row, known in enumerate(self.channels):
            if known.name == channel:
                return row
        names = ", ".join(known.name for known in self.channels)
        raise UnreadableCapture("channel", f"There is no channel '{channel}'.", f"one of {names}")


def even_times(count: int, dt: float, *, first: int = 0, start: float = 0.0) -> Floats:
    """Return the times [s] of `count` samples that come every `dt`, from the one with index `first` on."""
    times: Floats = np.arange(first, first + count, dtype=np.float64)
    times *= dt
    times += start
    return times


def too_many_samples() -> UnreadableCapture:
    """Return the refusal of a recording that is too long."""
    return UnreadableCapture(
        "file",
        f"The recording has more than {MOST_SAMPLES:,} samples. Export a shorter stretch of it.",
        f"at most {MOST_SAMPLES:,} samples of each channel",
    )


def held_in_memory(
    channels: Sequence[Channel],
    values: Floats,
    *,
    dt: float | None = None,
    times: Floats | None = None,
    start: float = 0.0,
    chunk: int = CHUNK_SAMPLES,
) -> Recording:
    """Return a recording of samples that are already there.

    Parameters
    ----------
    channels : n channels
    values : (n, samples) floats
        In each channel's unit; NaN where a sample is missing.
    dt : float, optional
        Sample interval [s]. Either this or `times`, or both, must be given.
    times : (samples,) floats, optional
        Time of each sample [s].
    start : float
        Time of the first sample [s], where `times` is not given.
    chunk : int
        Samples in one chunk.
    """
    values = np.atleast_2d(np.asarray(values, dtype=np.float64))
    if times is None and dt is None:
        raise UnreadableCapture("time", "Neither times nor a sample interval were given.", "one of the two")
    when = (
        even_times(values.shape[1], dt or 0.0, start=start)
        if times is None
        else np.asarray(times, np.float64)
    )

    def pieces() -> Iterator[Chunk]:
        for first in range(0, values.shape[1], chunk):
            yield Chunk(when[first : first + chunk], values[:, first : first + chunk])

    first_time = float(when[0]) if len(when) else start
    return Recording(tuple(channels), dt, first_time, values.shape[1], pieces, "memory")


def _last_time(times: Floats, last: float, before: int) -> float:
    usable = np.abs(times) <= LATEST_TIME_S
    if not usable.all():
        row = int(np.argmin(usable))
        raise UnreadableCapture(
            f"sample {before + row + 1}", "Its time is missing or no number.", "times that rise"
        )
    if times[0] < last or (np.diff(times) < 0).any():
        row = 0 if times[0] < last else int(np.argmax(np.diff(times) < 0)) + 1
        raise UnreadableCapture(
            f"sample {before + row + 1}",
            f"Its time, {times[row]:.9g} s, is before the one above it.",
            "times that rise from line to line",
        )
    return float(times[-1])
