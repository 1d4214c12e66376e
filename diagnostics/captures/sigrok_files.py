"""Read a recorded signal from a sigrok session (.sr): a ZIP with a description and raw samples.

Layout: the members `version`, `metadata` (an INI text), `logic-1-1`, `logic-1-2`, ... with one or more bytes
a sample, lowest bit first, and `analog-1-CHANNEL-1`, ... with floats of 32 bits. From memory of the public
description of the open format. An archive is hostile until shown otherwise: names, counts, sizes and ratios
are looked at before anything is unpacked, and nothing is written to disk.
"""

from __future__ import annotations

import configparser
import re
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO

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
)

MOST_MEMBERS = 4096
MOST_UNPACKED = 1 << 30  # Bytes
HIGHEST_RATIO = 100
FREE_OF_RATIO = 8 << 20  # An idle bus packs a thousandfold and is no attack; below this size it cannot harm.
LONGEST_METADATA = 1 << 16
MOST_UNIT_BYTES = 8
PACKED = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
ALLOWED = "a ZIP with `version`, `metadata` and raw `logic-1` or `analog-1` samples"
RATE = re.compile(r"(\d+(?:\.\d+)?)\s*([kMG]?)(?:Hz)?")
RATE_SCALES = {"": 1.0, "k": 1e3, "M": 1e6, "G": 1e9}


@dataclass(frozen=True, slots=True)
class Line:
    """One channel: the name before the number of its members, and the bit in a sample of logic."""

    channel: Channel
    members: tuple[str, ...]
    bit: int | None


@dataclass(frozen=True, slots=True)
class Session:
    """What the description says."""

    rate_hz: float
    unit_bytes: int
    lines: tuple[Line, ...]


def read_sigrok(path: Path, as_read: AsRead) -> Recording:
    """Return the recording in a sigrok session; its samples are read when asked for.

    Parameters
    ----------
    path : Path
    as_read : AsRead
        `unit` is the unit of analog channels, volts if it is not given.

    Raises
    ------
    UnreadableCapture
        If the archive is damaged or hostile, or the description does not fit the samples.
    """
    with _archive(path) as archive:
        session = _session(archive, as_read)
    dt = 1.0 / session.rate_hz

    def pieces() -> Iterator[Chunk]:
        with _archive(path) as archive:
            seen = 0
            for values in _pieces(archive, session):
                yield Chunk(even_times(values.shape[1], dt, first=seen), values)
                seen += values.shape[1]

    remarks = () if as_read.unit else ("Analog channels of a session name no unit: taken as volts.",)
    if all(line.channel.kind == "logic" for line in session.lines):
        remarks = ()
    channels = tuple(line.channel for line in session.lines)
    return Recording(channels, dt, 0.0, None, pieces, "sigrok session", remarks)


@contextmanager
def _archive(path: Path) -> Iterator[zipfile.ZipFile]:
    """Open the archive; whatever is wrong inside it becomes a refusal."""
    try:
        with zipfile.ZipFile(path) as archive:
            _look_at(archive.infolist())
            yield archive
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, OSError) as fault:
        raise UnreadableCapture("archive", f"It is damaged: {fault}.", ALLOWED) from None
    except (ValueError, KeyError, OverflowError) as fault:
        if isinstance(fault, UnreadableCapture):
            raise
        raise UnreadableCapture("archive", "Its table of contents is damaged.", ALLOWED) from None


def _look_at(members: list[zipfile.ZipInfo]) -> None:
    if len(members) > MOST_MEMBERS:
        raise UnreadableCapture("archive", f"It has {len(members):,} members.", f"at most {MOST_MEMBERS:,}")
    if len({member.filename for member in members}) < len(members):
        raise UnreadableCapture("archive", "Two members have one name.", "each name once")
    for member in members:
        parts = re.split(r"[/\\]", member.filename)
        if ".." in parts or not parts[0] or ":" in parts[0]:
            raise UnreadableCapture(
                "archive", f"A member would lie outside: '{member.filename[:40]}'.", "plain names"
            )
        if member.flag_bits & 1 or member.compress_type not in PACKED:
            raise UnreadableCapture(
                "archive",
                f"'{member.filename[:40]}' is locked or packed in an unusual way.",
                "stored or deflated",
            )
    _look_at_sizes(members)


def _look_at_sizes(members: list[zipfile.ZipInfo]) -> None:
    unpacked = sum(member.file_size for member in members)
    packed = sum(member.compress_size for member in members)
    if unpacked > MOST_UNPACKED:
        raise UnreadableCapture(
            "archive", f"It would unpack to {unpacked:,} bytes.", f"at most {MOST_UNPACKED:,} bytes"
        )
    if unpacked > FREE_OF_RATIO and unpacked > HIGHEST_RATIO * packed:
        raise UnreadableCapture(
            "archive",
            f"It would unpack to more than {HIGHEST_RATIO} times its size.",
            f"at most {HIGHEST_RATIO} times",
        )


def _session(archive: zipfile.ZipFile, as_read: AsRead) -> Session:
    names = set(archive.namelist())
    if not {"version", "metadata"} <= names:
        raise UnreadableCapture("archive", "It has no `version` or no `metadata`.", ALLOWED)
    device = _device(archive)
    base = device.get("capturefile", "logic-1").strip()
    unit_bytes = _whole(device, "unitsize", 1)
    if not 1 <= unit_bytes <= MOST_UNIT_BYTES:
        raise UnreadableCapture(
            "metadata", f"A sample of {unit_bytes} bytes.", f"1 to {MOST_UNIT_BYTES} bytes"
        )
    lines = [*_logic(device, base, names, unit_bytes), *_analog(device, names, as_read)]
    if not 1 <= len(lines) <= MOST_CHANNELS:
        raise UnreadableCapture(
            "metadata", f"It names {len(lines)} channels with samples.", f"1 to {MOST_CHANNELS} channels"
        )
    return Session(_rate_hz(device, as_read), unit_bytes, tuple(lines))


def _device(archive: zipfile.ZipFile) -> configparser.SectionProxy:
    if archive.getinfo("metadata").file_size > LONGEST_METADATA:
        raise UnreadableCapture("metadata", "It is too long.", f"at most {LONGEST_METADATA:,} bytes")
    parser = configparser.ConfigParser(interpolation=None)
    try:
        parser.read_string(archive.read("metadata").decode("utf-8", "replace"))
    except configparser.Error as fault:
        raise UnreadableCapture(
            "metadata", f"It cannot be read: {fault.message.splitlines()[0]}", ALLOWED
        ) from None
    device = next((name for name in parser.sections() if name.lower().startswith("device")), None)
    if device is None:
        raise UnreadableCapture("metadata", "It names no device.", "a section such as [device 1]")
    return parser[device]


def _whole(device: configparser.SectionProxy, key: str, usual: int) -> int:
    text = device.get(key, str(usual)).strip()
    if not text.isascii() or not text.isdigit() or len(text) > 6:
        raise UnreadableCapture("metadata", f"{key} is '{text[:40]}'.", "a whole number")
    return int(text)


def _rate_hz(device: configparser.SectionProxy, as_read: AsRead) -> float:
    if as_read.sample_rate_hz:
        return as_read.sample_rate_hz
    text = device.get("samplerate", "").strip()
    found = RATE.fullmatch(text)
    rate = float(found.group(1)) * RATE_SCALES[found.group(2)] if found else 0.0
    if not 0 < rate < 1e13:
        raise UnreadableCapture("metadata", f"The sample rate is '{text[:40]}'.", 'a rate such as "1 MHz"')
    return rate


def _members(base: str, names: set[str]) -> tuple[str, ...]:
    """Return the members of one stream in order: `logic-1`, or `logic-1-1`, `logic-1-2`, ..."""
    numbered = [name for name in names if re.fullmatch(re.escape(base) + r"-\d{1,9}", name)]
    numbered.sort(key=lambda name: int(name.rsplit("-", 1)[1]))
    return tuple(numbered) or ((base,) if base in names else ())


def _logic(device: configparser.SectionProxy, base: str, names: set[str], unit_bytes: int) -> list[Line]:
    members = _members(base, names)
    if not members:
        return []
    probes = [(int(key[5:]), device[key]) for key in device if re.fullmatch(r"probe\d{1,4}", key)]
    lines = [
        Line(Channel(name.strip()[:60] or f"D{number - 1}", "", "logic"), members, number - 1)
        for number, name in sorted(probes)
    ]
    if any(not 0 <= (line.bit or 0) < 8 * unit_bytes for line in lines):
        raise UnreadableCapture(
            "metadata", "It names more probes than a sample has bits.", "a bit for each probe"
        )
    return lines


def _analog(device: configparser.SectionProxy, names: set[str], as_read: AsRead) -> list[Line]:
    lines = []
    for key in device:
        if not re.fullmatch(r"analog\d{1,4}", key):
            continue
        members = _members(f"analog-1-{key[6:]}", names)
        if members:
            channel = Channel(device[key].strip()[:60] or f"A{key[6:]}", as_read.unit or "V")
            lines.append(Line(channel, members, None))
    return lines


class _Stream:
    """The members of one stream, read one after the other as if they were one."""

    def __init__(self, archive: zipfile.ZipFile, members: tuple[str, ...], stack: ExitStack) -> None:
        self.archive, self.left, self.stack = archive, list(members), stack
        self.open: IO[bytes] | None = None

    def read(self, count: int) -> bytes:
        found = bytearray()
        while len(found) < count:
            if self.open is None:
                if not self.left:
                    break
                self.open = self.stack.enter_context(self.archive.open(self.left.pop(0)))
            piece = self.open.read(count - len(found))
            if not piece:
                self.open.close()
                self.open = None
            found += piece
        return bytes(found)


def _pieces(archive: zipfile.ZipFile, session: Session) -> Iterator[Floats]:
    at_once, seen = max(1, CHUNK_SAMPLES // len(session.lines)), 0
    with ExitStack() as stack:
        streams = {line.members: _Stream(archive, line.members, stack) for line in session.lines}
        while seen <= MOST_SAMPLES:
            widths = {line.members: 4 if line.bit is None else session.unit_bytes for line in session.lines}
            raw = {members: stream.read(at_once * widths[members]) for members, stream in streams.items()}
            count = max(len(raw[members]) // widths[members] for members in raw)
            if not count:
                return
            yield np.vstack(
                [_row(line, raw[line.members], session.unit_bytes, count) for line in session.lines]
            )
            seen += count


def _row(line: Line, raw: bytes, unit_bytes: int, count: int) -> Floats:
    """Return one channel's samples; NaN where its stream ends before another one does."""
    row = np.full(count, np.nan)
    if line.bit is None:
        found = np.frombuffer(raw[: len(raw) - len(raw) % 4], "<f4").astype(np.float64)
    else:
        samples = np.frombuffer(raw[: len(raw) - len(raw) % unit_bytes], np.uint8).reshape(-1, unit_bytes)
        found = ((samples[:, line.bit // 8] >> (line.bit % 8)) & 1).astype(np.float64)
    row[: len(found)] = found
    return row
