"""CAN 2.0 A and B: the frames of a two-wire bus at any bit rate, told apart by the quiet between them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from diagnostics.captures.decoding.activity import Activity, Floats, bursts, rates_by_pulses
from diagnostics.captures.decoding.can_frame import Attempt, is_overload_flag, read_frame, sampled
from diagnostics.captures.decoding.frames import Decoded, Frame, Tally

# Bit rates in use on vehicles. Common practice; any other rate is measured from the pulses.
USUAL_BIT_RATES = (500e3, 250e3, 125e3, 1e6, 100e3, 50e3, 83_333.0, 95_238.0, 33_333.0, 800e3)

# Eleven recessive bits part two frames, ten where a node starts early; an overload flag comes after nine.
QUIET_BITS = 9.5
MOST_EQUAL_BITS = 5.5  # Five equal bits may stand in a row inside a frame.
GLITCH_BITS = 0.3  # Shorter than any bit that a receiver could read twice.
MOST_EDGES = 400  # Looked at for one frame, which has at most about 160 bits.
TRIAL_EDGES = 1500  # Of each excerpt on which bit rates are tried.
FIT_UP_TO_BITS = 12  # Between two edges into dominant; at most 10 are apart inside a stuffed frame.


def decode_can(activity: Activity, *, bit_rate: float | None = None) -> Decoded:
    """Return the CAN frames of a recording.

    Parameters
    ----------
    activity : Activity
        Active is dominant.
    bit_rate : float, optional
        Nominal; found among `USUAL_BIT_RATES` and what the pulses say when absent. [bit/s]

    Returns
    -------
    Decoded
        A frame that nobody acknowledged counts as faulty. `bit_rate` is measured on the sound frames.
    """
    tally = Tally("CAN", activity)
    if activity.edges_s.size < 2:
        return tally.result(None)
    excerpts = activity.excerpts(TRIAL_EDGES)
    rate, sound = _rate_found(excerpts, (bit_rate,) if bit_rate else USUAL_BIT_RATES)
    bit_s = _refined(excerpts, 1.0 / rate)
    tally.quiet_s = QUIET_BITS * bit_s
    tally.add_all(can_frames(activity, bit_s), hopeful=sound > 0)
    return tally.result(1.0 / bit_s if tally.sound else None)


def can_frames(activity: Activity, bit_s: float) -> Iterator[Frame]:
    """Yield each frame or attempt at one, at a known bit time. [s]"""
    clean = activity.without_glitches(GLITCH_BITS * bit_s)
    let_go_s = clean.edges_s[0] if clean.active and clean.edges_s.size else clean.start_s
    previous: Floats | None = None
    for burst in bursts(clean, QUIET_BITS * bit_s):
        if previous is not None:
            yield from _frames(previous, bit_s, float(burst[0]), True, let_go_s)
        previous = burst
    if previous is not None and previous.size:
        quiet = clean.end_s - previous[-1] >= QUIET_BITS * bit_s and previous.size % 2 == 0
        yield from _frames(previous, bit_s, clean.end_s, bool(quiet), let_go_s)


def _frames(burst: Floats, bit_s: float, until_s: float, whole: bool, let_go_s: float) -> Iterator[Frame]:
    """Yield the frame of a burst, and those that follow it too closely, as where samples were lost."""
    at = 0
    while at < burst.size:
        edges = burst[at : at + MOST_EDGES].tolist()
        bits = sampled(edges, bit_s, until_s)
        attempt = read_frame(bits, whole=whole)
        if at == 0 or not is_overload_flag(bits):
            yield _frame(burst[at:], attempt, bit_s, until_s, let_go_s)
        if attempt.kind not in ("data", "remote"):
            return
        at += _next_start(burst[at:], attempt, bit_s)


def _next_start(burst: Floats, attempt: Attempt, bit_s: float) -> int:
    """Return the edge at which the next frame of a burst may start; the size of the burst where none does.

    Behind a wrong CRC the bits may be misplaced, and only a row of recessive bits that no frame has
    inside it is taken for an end.
    """
    starts = burst[::2]
    behind = starts >= burst[0] + (attempt.bits - 0.5) * bit_s
    if "crc" in attempt.faults:
        behind[1:] &= np.diff(burst)[1::2][: starts.size - 1] > MOST_EQUAL_BITS * bit_s
    return int(np.argmax(behind)) * 2 if behind.any() else burst.size


def _frame(burst: Floats, attempt: Attempt, bit_s: float, until_s: float, let_go_s: float) -> Frame:
    start_s = float(burst[0])
    faults = attempt.faults
    # Without quiet before it the recording began in the middle of a frame.
    if faults and start_s - let_go_s < QUIET_BITS * bit_s:
        faults = ("cut",)
    return Frame(
        start_s=start_s,
        end_s=min(start_s + attempt.bits * bit_s, until_s),
        kind=attempt.kind,
        identifier=attempt.identifier,
        extended=attempt.extended,
        bytes=attempt.data,
        faults=faults,
        note=attempt.note,
    )


def _rate_found(excerpts: Sequence[Activity], rates: tuple[float, ...]) -> tuple[float, int]:
    """Return the rate at which most frames are sound, the first one measured where none is, and how many."""
    tried = (*rates_by_pulses(excerpts, (5, 25)), *rates) if len(rates) > 1 else rates
    sound = [sum(_sound_at(excerpt, 1 / rate) for excerpt in excerpts) for rate in tried]
    best = int(np.argmax(sound))
    return tried[best], sound[best]


def _sound_at(excerpt: Activity, bit_s: float) -> int:
    return len(_sound_frames(excerpt, bit_s))


def _sound_frames(excerpt: Activity, bit_s: float) -> list[Frame]:
    return [each for each in can_frames(excerpt, bit_s) if each.valid or each.faults == ("ack",)]


def _refined(excerpts: Sequence[Activity], bit_s: float) -> float:
    """Return the bit time that fits the edges into dominant of sound frames best, near the one given."""
    apart = np.concatenate([_apart_in_frames(excerpt, bit_s) for excerpt in excerpts])
    for _ in range(2):
        bits = np.rint(apart / bit_s)
        used = (bits >= 2) & (bits <= FIT_UP_TO_BITS) & (np.abs(apart / bit_s - bits) < 0.3)
        if not used.any():
            return bit_s
        bit_s = float(apart[used].sum() / bits[used].sum())
    return bit_s


def _apart_in_frames(excerpt: Activity, bit_s: float) -> Floats:
    """Return how far apart the edges into dominant are, within the sound frames of an excerpt. [s]"""
    frames = _sound_frames(excerpt, bit_s)
    into = excerpt.edges_s[1 if excerpt.active else 0 :: 2]
    if not frames or into.size < 2:
        return np.empty(0)
    starts = np.array([frame.start_s for frame in frames])
    ends = np.array([frame.end_s for frame in frames])
    of = np.searchsorted(starts, into[:-1], side="right") - 1
    found: Floats = np.diff(into)[(of >= 0) & (into[1:] < ends[of])]
    return found
