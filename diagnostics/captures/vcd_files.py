"""Read a recorded signal from a dump of value changes (VCD, IEEE 1364-2005 clause 18; from memory).

The dump holds changes, not samples. Each time of a change gives two samples here, the values before and
after it, so that every measure that draws straight lines between samples is right.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
from vcd.reader import (
    RealChange,
    ScalarChange,
    Token,
    TokenKind,
    VarDecl,
    VCDParseError,
    VectorChange,
    tokenize,
)

from diagnostics.captures.samples import (
    MOST_CHANNELS,
    AsRead,
    Channel,
    Chunk,
    Recording,
    UnreadableCapture,
)

READ_BYTES = 1 << 16
LONGEST_TOKEN = 1 << 20  # Bytes; a comment that never ends would otherwise fill the memory
MOST_DECLARATIONS = 10_000
EVENTS_IN_CHUNK = 1 << 14
LATEST_TICK = 2**63
ALLOWED = f"a VCD with $timescale, 1 to {MOST_CHANNELS} variables, and changes after $enddefinitions"
SCALES = {"s": 1.0, "ms": 1e-3, "us": 1e-6, "ns": 1e-9, "ps": 1e-12, "fs": 1e-15, "as": 1e-18, "zs": 1e-21}
LOGIC = {"0": 0.0, "1": 1.0, "L": 0.0, "l": 0.0, "H": 1.0, "h": 1.0}
REAL_KINDS = ("real", "realtime", "shortreal", "real_parameter")


class _Watched(io.RawIOBase):
    """A stream that stops a token which never ends."""

    def __init__(self, stream: BinaryIO) -> None:
        self.stream, self.since_token = stream, 0

    def readinto(self, buffer: Any, /) -> int:
        count = self.stream.readinto(buffer)  # type: ignore[attr-defined]
        self.since_token += count or 0
        if self.since_token > LONGEST_TOKEN:
            raise UnreadableCapture("file", "A part of the dump has no end.", ALLOWED)
        return count or 0


@dataclass(slots=True)
class _Head:
    tick: float | None = None
    names: dict[str, str] = field(default_factory=dict)
    kinds: dict[str, Channel] = field(default_factory=dict)


def read_vcd(path: Path, as_read: AsRead) -> Recording:
    """Return the recording in a dump of value changes; its changes are read when asked for.

    Parameters
    ----------
    path : Path
    as_read : AsRead
        `unit` is the unit of variables that are real numbers.

    Raises
    ------
    UnreadableCapture
        If the definitions are damaged, name no variable, or no time scale.
    """
    with path.open("rb") as stream:
        head = _head(_tokens(stream), as_read)
    if head.tick is None:
        raise UnreadableCapture("head", "The dump names no time scale.", ALLOWED)
    if not 1 <= len(head.kinds) <= MOST_CHANNELS:
        raise UnreadableCapture("head", f"The dump has {len(head.kinds)} variables.", ALLOWED)
    tick, rows = head.tick, {code: row for row, code in enumerate(head.kinds)}

    def pieces() -> Iterator[Chunk]:
        with path.open("rb") as stream:
            yield from _chunks(_tokens(stream), rows, tick)

    first = next(pieces(), None)
    if first is None:
        raise UnreadableCapture("file", "The dump has no changes in it.", ALLOWED)
    return Recording(tuple(head.kinds.values()), None, float(first.times[0]), None, pieces, "VCD")


def _said(fault: VCDParseError) -> str:
    """What the reader tripped over, as a sentence without the place it begins with."""
    return f"{re.sub(r'^[0-9]+:[0-9]+: *', '', str(fault.args[-1]).strip()).rstrip('.')}."


def _tokens(stream: BinaryIO) -> Iterator[Token]:
    """Yield tokens; whatever the reader trips over in a damaged file is refused with its place."""
    watched = _Watched(stream)
    tokens = tokenize(watched, READ_BYTES)
    line = 1
    while True:
        try:
            token = next(tokens, None)
        except VCDParseError as fault:
            raise UnreadableCapture(f"line {fault.loc.line}", _said(fault), ALLOWED) from None
        except (ValueError, KeyError, IndexError, OverflowError, AssertionError) as fault:
            if isinstance(fault, UnreadableCapture):
                raise
            raise UnreadableCapture(f"after line {line}", "The dump is damaged here.", ALLOWED) from None
        if token is None:
            return
        line, watched.since_token = token.span.end.line, 0
        yield token


def _head(tokens: Iterator[Token], as_read: AsRead) -> _Head:
    head = _Head()
    for token in tokens:
        if token.kind is TokenKind.ENDDEFINITIONS:
            return head
        if token.kind is TokenKind.TIMESCALE:
            head.tick = token.timescale.magnitude * SCALES[token.timescale.unit.value]
        if token.kind is TokenKind.VAR:
            _declare(head, token.var, as_read)
    raise UnreadableCapture("head", "The definitions of the dump have no end.", ALLOWED)


def _declare(head: _Head, declared: VarDecl, as_read: AsRead) -> None:
    if declared.id_code in head.kinds or declared.type_.value in ("string", "event"):
        return
    number, name = 2, declared.ref_str
    while name in head.names:
        name, number = f"{declared.ref_str} {number}", number + 1
    if len(head.names) >= MOST_DECLARATIONS:
        raise UnreadableCapture("head", f"There are more than {MOST_DECLARATIONS:,} variables.", ALLOWED)
    head.names[name] = declared.id_code
    if declared.type_.value in REAL_KINDS:
        head.kinds[declared.id_code] = Channel(name, as_read.unit, "analog")
    elif declared.size > 1:
        head.kinds[declared.id_code] = Channel(name, "count", "analog")
    else:
        head.kinds[declared.id_code] = Channel(name, "", "logic")


class _Events:
    """Times and values of one chunk under way."""

    def __init__(self, channels: int) -> None:
        self.now = [float("nan")] * channels
        self.times: list[float] = []
        self.values: list[list[float]] = []

    def add(self, time: float) -> None:
        self.times.append(time)
        self.values.append(self.now.copy())

    def taken(self) -> Chunk:
        chunk = Chunk(np.array(self.times), np.array(self.values, dtype=np.float64).T.copy())
        self.times, self.values = [], []
        return chunk


def _chunks(tokens: Iterator[Token], rows: dict[str, int], tick: float) -> Iterator[Chunk]:
    events, tick_now, begun = _Events(len(rows)), 0, False
    at_once = max(1, EVENTS_IN_CHUNK // len(rows))
    changed = False
    for token in tokens:
        if token.kind is TokenKind.CHANGE_TIME:
            if changed:
                events.add(tick_now * tick)
                begun, changed = True, False
            tick_now = _tick(token.time_change, tick_now)
            if begun:
                events.add(tick_now * tick)
            if len(events.times) >= at_once:
                yield events.taken()
        elif isinstance(token.data, ScalarChange | VectorChange | RealChange) and token.data.id_code in rows:
            events.now[rows[token.data.id_code]] = _value(token.data)
            changed = True
    if changed:
        events.add(tick_now * tick)
    if events.times:
        yield events.taken()


def _tick(tick: int, before: int) -> int:
    if not before <= tick < LATEST_TICK:
        raise UnreadableCapture(f"#{tick}", f"This time does not come after #{before}.", "times that rise")
    return tick


def _value(change: ScalarChange | VectorChange | RealChange) -> float:
    if isinstance(change, ScalarChange):
        return LOGIC.get(change.value, float("nan"))
    try:
        return float(change.value) if not isinstance(change.value, str) else float("nan")
    except OverflowError:
        return float("nan")
