"""Read a recorded signal from a WAV file: whole numbers of 8 to 32 bits, floats of 32 or 64 bits.

The standard library's `wave` refuses floats and takes the counts of the header for true, so the few blocks
that matter are read here. Layout: Multimedia Programming Interface and Data Specifications 1.0 (1991), and
the extensible form of 1999. From memory; the tests check against scipy.io.wavfile.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import numpy as np

from diagnostics.captures.samples import (
    CHUNK_SAMPLES,
    MOST_CHANNELS,
    MOST_SAMPLES,
    AsRead,
    Channel,
    Chunk,
    Floats,
    Recording,
    UnreadableCapture,
    even_times,
    too_many_samples,
)

PCM, IEEE_FLOAT, EXTENSIBLE = 1, 3, 0xFFFE
FASTEST_HZ = 10_000_000_000
ALLOWED = "WAV with whole numbers of 8, 16, 24 or 32 bits, or floats of 32 or 64 bits"
UNIT_OF_COUNTS = "FS"  # Share of full scale; volts only when someone says how many a count is.


@dataclass(frozen=True, slots=True)
class Layout:
    """How samples lie in the file: `offset` and `frames` of the data, `width` bytes a number."""

    kind: int
    channels: int
    rate_hz: int
    width: int
    offset: int
    frames: int
    cut: bool


def read_wav(path: Path, as_read: AsRead) -> Recording:
    """Return the recording in a WAV file; its samples are read when asked for.

    Parameters
    ----------
    path : Path
    as_read : AsRead
        `volts_per_count` is the voltage of one count, or of 1.0 in a file of floats. Without it samples are
        shares of full scale: counts / 2^(bits - 1), the middle of 8-bit files being 128.

    Raises
    ------
    UnreadableCapture
        If the head is cut off or damaged, or the samples are compressed.
    """
    layout = _layout(path)
    scale, unit = _scale(layout, as_read)
    channels = tuple(Channel(f"CH{number + 1}", unit) for number in range(layout.channels))
    dt = 1.0 / layout.rate_hz
    at_once = CHUNK_SAMPLES // layout.channels

    def pieces() -> Iterator[Chunk]:
        with path.open("rb") as stream:
            stream.seek(layout.offset)
            for first in range(0, layout.frames, at_once):
                count = min(at_once, layout.frames - first)
                values = _numbers(stream.read(count * layout.channels * layout.width), layout)
                frames = values.reshape(-1, layout.channels).T * scale
                yield Chunk(even_times(frames.shape[1], dt, first=first), frames)

    return Recording(channels, dt, 0.0, layout.frames, pieces, "WAV", _remarks(layout, unit))


def _scale(layout: Layout, as_read: AsRead) -> tuple[float, str]:
    if as_read.volts_per_count:
        return as_read.volts_per_count, as_read.unit or "V"
    if layout.kind == IEEE_FLOAT:
        return 1.0, as_read.unit or UNIT_OF_COUNTS
    return 2.0 ** (1 - 8 * layout.width), UNIT_OF_COUNTS


def _remarks(layout: Layout, unit: str) -> tuple[str, ...]:
    said = []
    if layout.cut:
        said.append(f"The file is shorter than its head says; it holds {layout.frames:,} samples.")
    if unit == UNIT_OF_COUNTS:
        said.append(
            "The file names no volts: values are shares of full scale. Say how many volts a count is."
        )
    return tuple(said)


def _layout(path: Path) -> Layout:
    size = path.stat().st_size
    form: tuple[int, int, int, int] | None = None
    with path.open("rb") as stream:
        if stream.read(4) != b"RIFF" or stream.read(8)[4:] != b"WAVE":
            raise UnreadableCapture("byte 0", "The file does not begin as a WAV does.", ALLOWED)
        while len(head := stream.read(8)) == 8:
            tag, length = struct.unpack("<4sI", head)
            if tag == b"data":
                return _data(form, stream.tell(), length, size)
            if tag == b"fmt ":
                form = _form(stream, length)
                length -= 16
            stream.seek(max(0, length) + (length & 1), 1)
    raise UnreadableCapture("file", "The WAV has no samples in it.", ALLOWED)


def _form(stream: BinaryIO, length: int) -> tuple[int, int, int, int]:
    start = stream.tell()
    body = stream.read(min(length, 40))
    stream.seek(start + 16)
    if len(body) < 16:
        raise UnreadableCapture(f"byte {start}", "The description of the samples is cut off.", ALLOWED)
    kind, channels, rate_hz, _, frame, bits = struct.unpack("<HHIIHH", body[:16])
    if kind == EXTENSIBLE and len(body) >= 26:
        kind = struct.unpack("<H", body[24:26])[0]
    widths = {PCM: (8, 16, 24, 32), IEEE_FLOAT: (32, 64)}.get(kind, ())
    if bits not in widths:
        raise UnreadableCapture(f"byte {start}", f"Samples of kind {kind} with {bits} bits.", ALLOWED)
    if not 1 <= channels <= MOST_CHANNELS or frame != channels * bits // 8:
        raise UnreadableCapture(
            f"byte {start}",
            f"{channels} channels in frames of {frame} bytes do not fit together.",
            f"1 to {MOST_CHANNELS} channels of {bits // 8} bytes each",
        )
    if not 1 <= rate_hz <= FASTEST_HZ:
        raise UnreadableCapture(f"byte {start}", f"A sample rate of {rate_hz} Hz.", "1 Hz or more")
    return kind, channels, rate_hz, bits // 8


def _data(form: tuple[int, int, int, int] | None, offset: int, length: int, size: int) -> Layout:
    if form is None:
        raise UnreadableCapture(f"byte {offset}", "The samples come before their description.", ALLOWED)
    kind, channels, rate_hz, width = form
    # A recorder that was stopped by force leaves 0 or the greatest number; the file itself is the truth.
    claimed = size if length in (0, 0xFFFFFFFF) else length
    frames = min(claimed, size - offset) // (channels * width)
    if frames < 1:
        raise UnreadableCapture(f"byte {offset}", "The WAV has no samples in it.", ALLOWED)
    if frames > MOST_SAMPLES:
        raise too_many_samples()
    return Layout(kind, channels, rate_hz, width, offset, frames, length > size - offset)


def _numbers(raw: bytes, layout: Layout) -> Floats:
    whole = len(raw) - len(raw) % (layout.channels * layout.width)
    raw = raw[:whole]
    if layout.kind == IEEE_FLOAT:
        with np.errstate(invalid="ignore"):  # A damaged file may hold signalling NaNs.
            return np.frombuffer(raw, f"<f{layout.width}").astype(np.float64)
    if layout.width == 1:
        return np.frombuffer(raw, np.uint8).astype(np.float64) - 128.0
    if layout.width == 3:
        return _three_bytes(raw)
    return np.frombuffer(raw, f"<i{layout.width}").astype(np.float64)


def _three_bytes(raw: bytes) -> Floats:
    wide = np.zeros((len(raw) // 3, 4), np.uint8)
    wide[:, 1:] = np.frombuffer(raw, np.uint8).reshape(-1, 3)
    return (wide.view("<i4")[:, 0] >> 8).astype(np.float64)
