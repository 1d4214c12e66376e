"""Everything that is computed from one recording, in a process of its own.

python -m diagnostics.captures.digest FILE FOLDER '{"name": "scope.csv", "battery_v": 12.6, "bus": "can"}'

A file from outside can ask a reader for any amount of memory or time, or bring it down. So it is read by a
child with limits; whoever started it takes the folder when the child ended well, else throws it away. In the
folder are then the pyramid, `frames.ndjson` with the decoded frames, one a line, and `digest.json`:
either {"analysis": …, "overview": …} or {"refused": {"message": …, "allowed": …}}.
"""

from __future__ import annotations

import json
import math
import os
import resource
import subprocess
import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from diagnostics.captures.decoding.frames import Frame
    from diagnostics.captures.samples import Recording
    from diagnostics.captures.traffic import Traffic

MOST_SECONDS = 540  # Below the lease of background work.
MOST_MEMORY = 4_000_000_000  # Of address space; NumPy alone takes a tenth of it.
DIGEST, FRAMES, PROGRESS = "digest.json", "frames.ndjson", "progress"
MOST_PULSES, MOST_LISTED = 50, 200  # Of one channel, on record.
SHORTER = "a shorter stretch, or fewer samples a second"
ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True)
class Asked:
    """What is known of a recording beside its file."""

    name: str
    battery_v: float | None = None
    bus: str = ""
    volts_per_count: float | None = None
    sample_rate_hz: float | None = None


class CannotBeRead(Exception):
    """A recording was refused: why, and what is allowed."""

    def __init__(self, message: str, allowed: str) -> None:
        super().__init__(message)
        self.message, self.allowed = message, allowed


@dataclass(frozen=True, slots=True)
class Digest:
    """What was computed: the analysis, and the whole recording in few columns."""

    analysis: dict[str, Any]
    overview: dict[str, Any]


def digest_apart(file: Path, folder: Path, *, asked: Asked) -> Digest:
    """Read a recording in a child process, and return what was computed; its files are in `folder`.

    Raises
    ------
    CannotBeRead
        If the file is no recording that is read here, or takes too long or too much memory.
    RuntimeError
        If the child failed otherwise.
    """
    command = [sys.executable, "-m", __name__, str(file), str(folder), json.dumps(asdict(asked))]
    environment = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "TMPDIR": str(folder)}
    try:
        ended = subprocess.run(
            command, cwd=ROOT, env=environment, timeout=MOST_SECONDS, stderr=subprocess.PIPE, check=False
        )
    except subprocess.TimeoutExpired:
        raise CannotBeRead(
            f"This recording could not be read within {MOST_SECONDS // 60} minutes.", SHORTER
        ) from None
    if ended.returncode:
        said = ended.stderr[-1500:].decode(errors="replace")
        raise RuntimeError(f"Reading a recording ended with {ended.returncode}: {said}")
    found = json.loads((folder / DIGEST).read_text(encoding="utf-8"))
    if "refused" in found:
        raise CannotBeRead(found["refused"]["message"], found["refused"]["allowed"])
    return Digest(found["analysis"], found["overview"])


def progress(folder: Path) -> float | None:
    """Return how much of a file the child has read, 0 to 1; None where it cannot be told."""
    try:
        return float((folder / PROGRESS).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None


def frames(folder: Path, first: int, count: int) -> Iterator[dict[str, Any]]:
    """Return decoded frames from a place on, as many as asked for or are left; none where there are none."""
    try:
        with (folder / FRAMES).open(encoding="utf-8") as lines:
            for place, line in enumerate(lines):
                if place >= first + count:
                    return
                if place >= first:
                    yield json.loads(line)
    except FileNotFoundError:
        return


def count_frames(folder: Path) -> int:
    """Return how many frames were decoded."""
    try:
        with (folder / FRAMES).open("rb") as lines:
            return sum(1 for _ in lines)
    except FileNotFoundError:
        return 0


def digest(file: Path, folder: Path, asked: Asked) -> dict[str, Any]:
    """Read a recording, write its pyramid and frames into `folder`, and return its digest."""
    # Here, not above: whoever starts a child must not load NumPy itself.
    from diagnostics.captures.recording import open_recording
    from diagnostics.captures.samples import AsRead, UnreadableCapture
    from diagnostics.captures.spool import Spool

    try:
        as_read = AsRead(volts_per_count=asked.volts_per_count, sample_rate_hz=asked.sample_rate_hz)
        recording = open_recording(file, name=asked.name, as_read=as_read)
        with Spool(recording) as spooled:
            # It is quick from here on: nobody need spool it once more.
            return _digest(replace(spooled, form="memory"), recording.form, folder, asked)
    except UnreadableCapture as refused:
        return {"refused": {"message": f"{refused.where}: {refused.message}", "allowed": refused.allowed}}
    except MemoryError:
        return {"refused": {"message": "This recording takes more memory than there is.", "allowed": SHORTER}}


def _digest(recording: Recording, form: str, folder: Path, asked: Asked) -> dict[str, Any]:
    from diagnostics.captures.analyse import analyse
    from diagnostics.captures.measured import PASSES

    overview = _draw(recording, folder)
    whole = overview["samples"]

    def tell(done_passes: int, done: int) -> None:
        _tell(folder, (done_passes + min(done / whole, 1)) / (PASSES + 1))

    found = analyse(recording, battery_v=asked.battery_v, bus=asked.bus or "none", progress=tell)
    analysis = plain(found.as_dict())
    analysis["form"] = form
    _write_frames(found.traffic, folder)
    for shown, channel in zip(overview["channels"], analysis["channels"], strict=False):
        shown["state"] = channel["verdict"]["state"]
    return {"analysis": shortened(analysis), "overview": overview}


def shortened(analysis: dict[str, Any]) -> dict[str, Any]:
    """Leave out what no page shows: a record is not the place for ten thousand pulses."""
    for channel in analysis["channels"]:
        channel["pulse_count"] = len(channel["pulses"])
        channel["pulses"] = channel["pulses"][:MOST_PULSES]
        gaps, verdict = channel["summary"]["gaps"], channel["verdict"]
        gaps["list"] = gaps["list"][:MOST_LISTED]
        verdict["change_count"] = len(verdict["changes"])
        verdict["changes"] = verdict["changes"][:MOST_LISTED]
    return analysis


def _draw(recording: Recording, folder: Path) -> dict[str, Any]:
    """Write the pyramid, and return the whole in few columns."""
    from diagnostics.captures import drawing, pyramid
    from diagnostics.captures.measured import PASSES

    count, whole = 0, recording.samples or 0

    def pieces() -> Iterator[pyramid.Piece]:
        nonlocal count
        for chunk in recording.chunks():
            count += len(chunk)
            if whole:
                _tell(folder, min(count / whole, 1) / (PASSES + 1))
            yield chunk.times, chunk.values

    built = pyramid.build(
        folder, pieces(), channels=len(recording.channels), start=recording.start, dt=recording.dt
    )
    window = built.columns(built.start, built.end, drawing.COLUMNS)
    lanes = [
        drawing.Lane(one.name, one.unit, tuple(low.tolist()), tuple(high.tolist()))
        for one, low, high in zip(recording.channels, window.low, window.high, strict=False)
    ]
    shown = drawing.Picture(built.start, built.end, tuple(lanes))
    return dict(plain(drawing.as_overview(shown, built.samples)))


def _tell(folder: Path, share: float) -> None:
    (folder / PROGRESS).write_text(f"{share:.3f}", encoding="utf-8")


def _write_frames(lines_decoded: Sequence[Traffic], folder: Path) -> None:
    """Write the decoded frames of all lines in order of time, one a line of JSON."""
    from diagnostics.captures.decoding.frames import FAULT_WORDS

    found = [
        {"on": " and ".join(one.channels), **_frame(frame, FAULT_WORDS)}
        for one in lines_decoded
        for frame in one.decoded.frames
    ]
    with (folder / FRAMES).open("w", encoding="utf-8") as lines:
        for frame in sorted(found, key=lambda one: one["start"]):
            lines.write(json.dumps(plain(frame), allow_nan=False) + "\n")


def _frame(frame: Frame, words: Mapping[str, str]) -> dict[str, Any]:
    return {
        "start": frame.start_s,
        "seconds": frame.end_s - frame.start_s,
        "kind": frame.kind,
        "name": frame.name if frame.identifier is not None else "",
        "bytes": frame.bytes.hex(" ").upper(),
        "faults": [words.get(fault, fault) for fault in frame.faults],
        "note": frame.note,
    }


def plain(value: Any) -> Any:
    """Return a value as JSON of any database keeps it: no infinite number, no control sign."""
    if isinstance(value, Mapping):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [plain(one) for one in value]
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, str):
        return "".join(sign for sign in value if sign.isprintable())
    return value


def main(arguments: list[str]) -> int:
    """Read one recording and leave its digest; 0 also where it is refused."""
    file, folder, asked = Path(arguments[0]), Path(arguments[1]), Asked(**json.loads(arguments[2]))
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    found = digest(file, folder, asked)
    (folder / DIGEST).write_text(json.dumps(found, allow_nan=False), encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
