"""K line of ISO 9141-2 and ISO 14230: how it was woken, its bytes, its messages and their check bytes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from diagnostics.captures.decoding.activity import Activity, rates_by_pulses
from diagnostics.captures.decoding.characters import BITS, Characters, characters
from diagnostics.captures.decoding.checks import kline_checksum
from diagnostics.captures.decoding.frames import Decoded, Frame, Tally

# ISO 14230-2 and ISO 9141-2, all from memory except the rate, read in a public table.
USUAL_BIT_RATES = (10_400.0, 9600.0, 4800.0, 19_200.0, 38_400.0)
SLOW_BIT_S = 0.2  # Of the address sent with 5 bit/s.
FAST_LOW_S = (0.020, 0.030)  # 25 ms nominal, low and then high.
FAST_PERIOD_S = (0.045, 0.055)  # 50 ms nominal from one edge to the next of the same direction.
PAUSE_S = 0.022  # Between two bytes of a message at most 20 ms, between two messages at least 25.
KEY_BYTES_S = 1.0  # After a slow address: within this the sync byte, key bytes and their answers.
SYNC_BYTE = 0x55
FIXED_HEADERS = (0x48, 0x68)  # First byte of an ISO 9141-2 answer or request; its length stands nowhere.
SHORTEST_FIXED = 5
LONGEST_FIXED = 12
GLITCH_BITS = 0.25
TRIAL_EDGES = 4000  # Of each excerpt on which bit rates are tried.
LONGEST = 260  # Bytes of a message: four of header, 255 of data, the check byte.


def decode_kline(activity: Activity, *, bit_rate: float | None = None) -> Decoded:
    """Return the messages of a recorded K line.

    Parameters
    ----------
    activity : Activity
        Active is the low level.
    bit_rate : float, optional
        Found among `USUAL_BIT_RATES` and what the pulses say when absent. [bit/s]

    Returns
    -------
    Decoded
        Frames of kind "init" are the ways of waking: the slow address, its key bytes, the fast pattern.
    """
    tally = Tally("K line", activity, PAUSE_S)
    if activity.edges_s.size < 2:
        return tally.result(None)
    excerpts = activity.excerpts(TRIAL_EDGES)
    rate, sound = _rate_found(excerpts, (bit_rate,) if bit_rate else USUAL_BIT_RATES)
    tally.add_all(kline_frames(activity, 1 / rate), hopeful=sound > 0)
    measured = _measured_rate(activity, rate) if tally.sound else None
    return tally.result(measured)


def kline_frames(activity: Activity, bit_s: float) -> Iterator[Frame]:
    """Yield each waking and each message, at a known bit time. [s]"""
    clean = activity.without_glitches(GLITCH_BITS * bit_s)
    begin_s, before = clean.start_s, None
    for waking in [*_wakings(clean), None]:
        end_s = waking.start_s if waking else clean.end_s
        yield from _messages(_between(clean, begin_s, end_s), bit_s, after=before)
        if waking:
            yield waking
            begin_s, before = waking.end_s, waking


def _between(activity: Activity, begin_s: float, end_s: float) -> Activity:
    edges = activity.edges_s
    first, last = np.searchsorted(edges, (begin_s, end_s), side="left")
    return Activity(begin_s, end_s, bool((first % 2 == 1) != activity.active), edges[first:last])


def _wakings(activity: Activity) -> Iterator[Frame]:
    starts, widths, levels = activity.pulses()
    inside = np.flatnonzero(levels[:-1] & (widths[:-1] >= FAST_LOW_S[0]))
    until_s = activity.start_s
    for place in inside[inside > 0].tolist():
        start_s, width = float(starts[place]), float(widths[place])
        if start_s < until_s:
            continue
        period = width + float(widths[place + 1])
        if width <= FAST_LOW_S[1] and FAST_PERIOD_S[0] <= period <= FAST_PERIOD_S[1]:
            until_s = start_s + period
            yield Frame(start_s, until_s, "init", note="fast waking: 25 ms low, 25 ms high")
        elif width >= 0.9 * SLOW_BIT_S:
            end_s = min(start_s + BITS * SLOW_BIT_S, activity.end_s)
            slow = characters(_between(activity, start_s - 1e-6, end_s), SLOW_BIT_S)
            if len(slow) and slow.starts_s[0] <= start_s and slow.stopped[0]:
                until_s = start_s + (BITS - 0.5) * SLOW_BIT_S
                note = f"slow waking with 5 bit/s, address {int(slow.values[0]):02X}"
                yield Frame(start_s, until_s, "init", int(slow.values[0]), note=note)


def _messages(activity: Activity, bit_s: float, *, after: Frame | None) -> Iterator[Frame]:
    found = characters(activity, bit_s)
    if not len(found):
        return
    pauses = (np.flatnonzero(found.gaps_s > PAUSE_S) + 1).tolist()
    keys_until_s = after.end_s + KEY_BYTES_S if after and after.identifier is not None else -np.inf
    first = 0
    for end in [*pauses, len(found)]:
        group = found.between(first, end)
        first = end
        if group.starts_s[0] < keys_until_s and _is_key(group):
            yield Frame(
                float(group.starts_s[0]), group.end_s, "init", bytes=group.values.tobytes(), note="key bytes"
            )
        else:
            yield from _split(group, activity.end_s)


def _is_key(group: Characters) -> bool:
    """Whether the bytes are the sync byte with both key bytes, or one of the two answers to them."""
    return bool(group.stopped.all()) and (
        len(group) == 1 or (len(group) == 3 and group.values[0] == SYNC_BYTE)
    )


def _split(group: Characters, end_s: float) -> Iterator[Frame]:
    """Yield the messages of bytes that follow each other without a pause."""
    first = 0
    while first < len(group):
        rest = group.between(first, len(group))
        length = _length(rest)
        part = rest.between(0, length or min(len(rest), LONGEST))
        yield _message(part, bool(length), end_s)
        first += len(part)


def _length(rest: Characters) -> int:
    """Return how many of the bytes are a message with the right length and check byte, or 0."""
    values = rest.values[:LONGEST].tolist()
    for length in _lengths_told(values):
        if length <= len(values) and kline_checksum(values[: length - 1]) == values[length - 1]:
            return length
    return 0


def _lengths_told(values: list[int]) -> list[int]:
    """Return the lengths that the header allows: one by ISO 14230-2; by ISO 9141-2 any, the longest first."""
    if values[0] in FIXED_HEADERS:
        return list(range(min(len(values), LONGEST_FIXED), SHORTEST_FIXED - 1, -1))
    address_bytes = 0 if values[0] >> 6 == 0 else 2
    length = values[0] & 0x3F
    if length:
        return [1 + address_bytes + length + 1]
    at = 1 + address_bytes
    return [at + 1 + values[at] + 1] if len(values) > at else []


def _message(part: Characters, right: bool, end_s: float) -> Frame:
    values = part.values.tolist()
    faults = [] if part.stopped.all() else ["framing"]
    if not right:
        faults.append(_what_is_wrong(values))
    if faults and end_s - part.end_s < BITS * part.bit_s:
        faults = ["cut"]
    has_source = values[0] in FIXED_HEADERS or values[0] >> 6 != 0
    return Frame(
        start_s=float(part.starts_s[0]),
        end_s=min(part.end_s, end_s),
        kind="data",
        identifier=values[2] if has_source and len(values) > 2 else None,
        bytes=part.values.tobytes(),
        faults=tuple(faults),
    )


def _what_is_wrong(values: list[int]) -> str:
    if values[0] in FIXED_HEADERS:
        return "checksum" if SHORTEST_FIXED <= len(values) <= LONGEST_FIXED else "length"
    return "checksum" if _lengths_told(values) == [len(values)] else "length"


def _rate_found(excerpts: Sequence[Activity], rates: tuple[float, ...]) -> tuple[float, int]:
    """Return the rate at which most messages are sound, the first one where none is, and how many are."""
    tried = (*rates, *rates_by_pulses(excerpts, (10,))) if len(rates) > 1 else rates
    sound = [sum(_sound_at(excerpt, 1 / rate) for excerpt in excerpts) for rate in tried]
    best = int(np.argmax(sound))
    return tried[best], sound[best]


def _sound_at(excerpt: Activity, bit_s: float) -> int:
    return sum(frame.valid and frame.kind == "data" for frame in kline_frames(excerpt, bit_s))


def _measured_rate(activity: Activity, rate: float) -> float:
    """Return the rate by the distances between falling edges of up to nine bits."""
    into = activity.edges_s[1 if activity.active else 0 :: 2]
    apart = np.diff(into) * rate
    bits = np.rint(apart)
    used = (bits >= 2) & (bits < BITS) & (np.abs(apart - bits) < 0.35)
    return float(rate * bits[used].sum() / apart[used].sum()) if used.any() else rate
