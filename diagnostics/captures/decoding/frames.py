"""What decoding gives back: frames with their faults, and the count of all of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field, replace
from typing import Any

import numpy as np

from diagnostics.captures.decoding.activity import Activity

KEPT_FRAMES = (
    20_000  # Of each sort, sound and faulty; all are counted. Keeps a long recording's answer small.
)
KEPT_OFFENDERS = 5
TOLD_TIMES = 100
HOPELESS_AFTER = 20_000  # Attempts without a sound frame, where excerpts of the whole recording have none.
UNKNOWN = "unknown"

# Kinds of faults, in the words of the pages.
FAULT_WORDS = {
    "ack": "not acknowledged",
    "baud": "sync field off",
    "break": "break",
    "checksum": "wrong checksum",
    "crc": "wrong CRC",
    "cut": "cut off by the recording",
    "error-frame": "error frame sent",
    "form": "fixed bit wrong",
    "framing": "stop bit missing",
    "length": "wrong length",
    "noise": "no frame at all",
    "parity": "identifier parity wrong",
    "response": "no answer",
    "stuff": "more than five equal bits",
    "symbol": "pulse of no valid width",
}
# What the recording did to a frame is no fault of the bus.
NOT_OF_THE_BUS = ("cut",)


@dataclass(frozen=True, slots=True)
class Frame:
    """One frame or one attempt at one.

    `identifier` is what frames are told apart by: the CAN or LIN identifier, the source address on VPW and
    K line; None where it was not reached. `bytes` are the data bytes on CAN and LIN, the whole message with
    its check byte on VPW and K line. `kind` is data, remote, error, overload, header, init, break or noise.
    """

    start_s: float
    end_s: float
    kind: str
    identifier: int | None = None
    extended: bool = False
    bytes: bytes = b""
    faults: tuple[str, ...] = ()
    note: str = ""

    @property
    def valid(self) -> bool:
        """Whether it is a frame without any fault."""
        return not self.faults

    @property
    def name(self) -> str:
        """The identifier in hexadecimal: two digits at least, eight for one of 29 bits."""
        if self.identifier is None:
            return UNKNOWN
        return f"{self.identifier:08X}" if self.extended else f"{self.identifier:02X}"


@dataclass(frozen=True, slots=True)
class Offender:
    """An identifier with faulty frames: how many of how many."""

    name: str
    faulty: int
    frames: int


@dataclass(frozen=True, slots=True)
class Decoded:
    """The traffic of a recording.

    `frames` are the first `KEPT_FRAMES` sound and as many faulty ones, in order of time; `sound`, `faulty`
    and `errors` count all. `errors` has a count for each kind of `FAULT_WORDS` that was found; a frame with
    two faults is in both. `error_times_s` is when faulty frames began. `bit_rate` is measured, None where
    nothing could be.
    """

    protocol: str
    frames: tuple[Frame, ...] = ()
    sound: int = 0
    faulty: int = 0
    cut: int = 0
    errors: Mapping[str, int] = field(default_factory=dict)
    error_times_s: tuple[float, ...] = ()
    offenders: tuple[Offender, ...] = ()
    bit_rate: float | None = None
    busy_share: float = 0.0
    notes: tuple[str, ...] = ()

    def summary(self) -> dict[str, Any]:
        """Return all but the frames as JSON has it, with the first `TOLD_TIMES` times. [s, bit/s]"""
        return {
            "protocol": self.protocol,
            "words": self.words,
            "sound": self.sound,
            "faulty": self.faulty,
            "cut": self.cut,
            "errors": dict(self.errors),
            "error_times_s": list(self.error_times_s[:TOLD_TIMES]),
            "offenders": [asdict(offender) for offender in self.offenders],
            "bit_rate": self.bit_rate,
            "busy_share": self.busy_share,
            "notes": list(self.notes),
        }

    @property
    def words(self) -> str:
        """What the traffic is like, in one or two sentences."""
        if not self.sound and not self.faulty:
            return f"No {self.protocol} frame was found."
        rate = f" at {self.bit_rate / 1000:.4g} kbit/s" if self.bit_rate else ""
        if not self.sound:
            return f"Activity, but no sound {self.protocol} frame{rate}: {self._faults}."
        found = f"{self.sound} sound {self.protocol} frame{'' if self.sound == 1 else 's'}{rate}"
        return f"{found}, {self._faults}." if self.faulty else f"{found}, none faulty."

    @property
    def _faults(self) -> str:
        each = ", ".join(f"{count} {FAULT_WORDS[kind]}" for kind, count in self.errors.items())
        return f"{self.faulty} faulty ({each})"


class Tally:
    """Counts the frames of a recording as they are found, and keeps the first of them.

    `quiet_s` is how near to a gap of the recording a faulty frame may have lost a part of itself. [s]
    """

    def __init__(self, protocol: str, activity: Activity, quiet_s: float = 0.0) -> None:
        self.protocol = protocol
        self.quiet_s = quiet_s
        self._activity = activity
        self.sound = self.faulty = self.cut = 0
        self.notes: list[str] = []
        self._busy_s = 0.0
        self._errors: Counter[str] = Counter()
        self._by_name: Counter[str] = Counter()
        self._faulty_by_name: Counter[str] = Counter()
        self._sound_frames: list[Frame] = []
        self._other_frames: list[Frame] = []

    def add(self, frame: Frame) -> None:
        """Count one frame. What the recording cut off or has a gap in is no error of the bus.

        The ways of waking a line are kept and not counted.
        """
        self._busy_s += frame.end_s - frame.start_s
        if frame.faults and self._in_gap(frame):
            frame = replace(frame, faults=("cut",))
        if frame.kind == "init":
            self._keep(self._sound_frames, frame)
            return
        self._by_name[frame.name] += 1
        if frame.valid:
            self.sound += 1
            self._keep(self._sound_frames, frame)
            return
        self._keep(self._other_frames, frame)
        of_the_bus = [fault for fault in frame.faults if fault not in NOT_OF_THE_BUS]
        if not of_the_bus:
            self.cut += 1
            return
        self.faulty += 1
        self._faulty_by_name[frame.name] += 1
        for fault in of_the_bus:
            self._errors[fault] += 1

    def add_all(self, frames: Iterable[Frame], *, hopeful: bool = True) -> None:
        """Count frames; after `HOPELESS_AFTER` of them without a sound one stop where there is no hope."""
        for frame in frames:
            self.add(frame)
            if not hopeful and not self.sound and self.faulty >= HOPELESS_AFTER:
                where = f"the faults were counted up to {frame.end_s:.6g} s only"
                self.notes.append(f"Nothing sound in excerpts of the whole; {where}")
                return

    def result(self, bit_rate: float | None) -> Decoded:
        """Return the count, with the bit rate that was measured. [bit/s]"""
        length_s = self._activity.length_s
        kept = sorted((*self._sound_frames, *self._other_frames), key=lambda frame: frame.start_s)
        wrong = [frame for frame in self._other_frames if set(frame.faults) - set(NOT_OF_THE_BUS)]
        return Decoded(
            protocol=self.protocol,
            frames=tuple(kept),
            sound=self.sound,
            faulty=self.faulty,
            cut=self.cut,
            errors=dict(sorted(self._errors.items(), key=lambda item: (-item[1], item[0]))),
            error_times_s=tuple(frame.start_s for frame in wrong),
            offenders=self._offenders(),
            bit_rate=bit_rate,
            busy_share=min(self._busy_s / length_s, 1.0) if length_s > 0 else 0.0,
            notes=tuple(self.notes),
        )

    def _in_gap(self, frame: Frame) -> bool:
        gaps = self._activity.gaps_s
        if not gaps.size:
            return False
        at = int(np.searchsorted(gaps[:, 1], frame.start_s - self.quiet_s, side="right"))
        return at < len(gaps) and bool(gaps[at, 0] < frame.end_s + self.quiet_s)

    def _offenders(self) -> tuple[Offender, ...]:
        worst = self._faulty_by_name.most_common(KEPT_OFFENDERS)
        return tuple(Offender(name, faulty, self._by_name[name]) for name, faulty in worst)

    @staticmethod
    def _keep(where: list[Frame], frame: Frame) -> None:
        if len(where) < KEPT_FRAMES:
            where.append(frame)
