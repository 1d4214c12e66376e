"""What was computed from a recorded signal, in words and numbers for its page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from diagnostics.captures.drawing import letter, quantity
from shared.wording import number_text

STATES = {
    "active": "active",
    "stuck_high": "stuck near battery",
    "stuck_low": "stuck near ground",
    "floating_or_biased": "floating or biased",
    "intermittent": "intermittent",
    "noisy": "noisy",
    "not_judged": "not judged",
}
LEAST_PERCENT = 0.001  # What is less is the rounding of the sums, not the signal.
NOTHING = "–"
Text = Callable[[dict[str, Any]], str]


@dataclass(frozen=True, slots=True)
class State:
    """The verdict on one channel or one pair: its name, the state, why, and what changed when."""

    name: str
    state: str
    words: str
    rule: str
    changes: tuple[tuple[str, str], ...]
    more_changes: int


@dataclass(frozen=True, slots=True)
class Row:
    """One computed quantity, a text a channel."""

    name: str
    texts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Pulses:
    """The first pulses of one channel, and how many were listed."""

    name: str
    count: int
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Beside:
    """One channel of two recordings: its name, the state in each, and each quantity twice."""

    name: str
    first: str
    second: str
    rows: tuple[Row, ...]


def states(analysis: dict[str, Any], labels: Sequence[str]) -> tuple[State, ...]:
    """Return the verdict on each channel, that on a pair of bus wires first."""
    found = [
        _state(f"{letter(place)} {label}".strip(), channel["verdict"])
        for place, (channel, label) in enumerate(zip(analysis["channels"], labels, strict=False))
    ]
    pair = analysis.get("pair")
    return (_state("Both wires together", pair), *found) if pair else tuple(found)


def rows(analysis: dict[str, Any], count: int) -> tuple[Row, ...]:
    """Return the computed quantities of the first `count` channels; one that no channel has is left out."""
    channels = analysis["channels"][:count]
    made = [
        Row(name, tuple((letter(place), text(channel)) for place, channel in enumerate(channels)))
        for name, text in QUANTITIES
    ]
    return tuple(row for row in made if any(text != NOTHING for _, text in row.texts))


def pulses(analysis: dict[str, Any], labels: Sequence[str]) -> tuple[Pulses, ...]:
    """Return the first pulses of each channel that has some."""
    return tuple(
        Pulses(
            f"{letter(place)} {label}".strip(),
            channel["pulse_count"],
            tuple(_pulse(one) for one in channel["pulses"]),
        )
        for place, (channel, label) in enumerate(zip(analysis["channels"], labels, strict=False))
        if channel["pulses"]
    )


def beside(first: dict[str, Any], second: dict[str, Any], labels: Sequence[str]) -> tuple[Beside, ...]:
    """Return what was computed of two recordings, for each channel that both have."""
    pairs = zip(labels, first["channels"], second["channels"], strict=False)
    return tuple(
        Beside(
            f"{letter(place)} {label}".strip(),
            *(STATES.get(one["verdict"]["state"], "") for one in channels),
            tuple(
                Row(name, tuple(zip(("First", "Second"), texts, strict=True)))
                for name, text in QUANTITIES
                if set(texts := [text(one) for one in channels]) != {NOTHING}
            ),
        )
        for place, (label, *channels) in enumerate(pairs)
    )


def first_edges(analysis: dict[str, Any]) -> dict[str, float]:
    """Return when the first channel first goes up and first goes down, as far as its pulses tell. [s]"""
    found: dict[str, float] = {}
    for pulse in analysis["channels"][0]["pulses"]:
        found.setdefault("up" if pulse["positive"] else "down", pulse["start"])
    return found


def short_states(channels: Sequence[dict[str, Any]]) -> str:
    """Return the state of each channel of an overview in a few words: "A active, B stuck near ground"."""
    found = [
        f"{letter(place)} {STATES.get(channel['state'], channel['state'])}"
        for place, channel in enumerate(channels)
        if channel.get("state")
    ]
    return ", ".join(found)


def _state(name: str, verdict: dict[str, Any]) -> State:
    changes = tuple((_stretch(one["start"], one["end"]), one["words"]) for one in verdict["changes"])
    more = verdict.get("change_count", len(changes)) - len(changes)
    state = STATES.get(verdict["state"], verdict["state"])
    return State(name, state, verdict["words"], verdict["rule"], changes, more)


def _stretch(start: float | None, end: float | None) -> str:
    """From when to when; a change that the recording cuts off has one end only."""
    words = [
        f"{word} {quantity(at, 's', 6)}" for word, at in (("from", start), ("to", end)) if at is not None
    ]
    return " ".join(words) or "throughout"


def _pulse(one: dict[str, Any]) -> tuple[str, ...]:
    times = (one["start"], one["width"], one["lead"], one["trail"])
    return ("up" if one["positive"] else "down", *(_quantity(value, "s") for value in times))


def _quantity(value: float | None, unit: str) -> str:
    return NOTHING if value is None else quantity(value, unit)


def _in_unit(*path: str) -> Text:
    return lambda channel: _quantity(_at(channel, path), channel["unit"])


def _seconds(*path: str) -> Text:
    return lambda channel: _quantity(_at(channel, path), "s")


def _percent(*path: str, of: float = 1) -> Text:
    def text(channel: dict[str, Any]) -> str:
        value = _at(channel, path)
        if value is None:
            return NOTHING
        share = value * of if abs(value * of) >= LEAST_PERCENT else 0.0
        return f"{number_text(f'{share:.3g}')} %"

    return text


def _count(*path: str) -> Text:
    def text(channel: dict[str, Any]) -> str:
        value = _at(channel, path)
        return f"{value:,}" if value else NOTHING

    return text


def _spread(name: str) -> Text:
    """Mean of many times, and from which to which they go."""

    def text(channel: dict[str, Any]) -> str:
        figures = channel[name]
        if not figures:
            return NOTHING
        mean = _quantity(figures["mean"], "s")
        if figures["count"] < 2:
            return mean
        return f"{mean} ({_quantity(figures['least'], 's')} to {_quantity(figures['greatest'], 's')})"

    return text


def _at(channel: dict[str, Any], path: Sequence[str]) -> Any:
    value: Any = channel
    for name in path:
        value = None if value is None else value.get(name)
    return value


# In the order of the page. Definitions after IEEE Std 181; `diagnostics/captures/` has each source.
QUANTITIES: tuple[tuple[str, Text], ...] = (
    ("Low state", _in_unit("levels", "low")),
    ("High state", _in_unit("levels", "high")),
    ("Amplitude", _in_unit("levels", "amplitude")),
    ("Overshoot", _percent("overshoot_percent")),
    ("Undershoot", _percent("undershoot_percent")),
    ("Least", _in_unit("summary", "min")),
    ("Greatest", _in_unit("summary", "max")),
    ("Mean", _in_unit("summary", "mean")),
    ("RMS", _in_unit("summary", "rms")),
    ("Ripple, peak to peak", _in_unit("summary", "ripple_peak_to_peak")),
    ("Ripple, RMS", _in_unit("summary", "ripple_rms")),
    ("Noise within a state, RMS", _in_unit("noise_rms")),
    ("Frequency", lambda channel: _quantity(channel["frequency_hz"], "Hz")),
    ("Period", _spread("period")),
    ("Duty cycle", _percent("duty", of=100)),
    ("Rise, 10 to 90 %", _spread("rise")),
    ("Fall, 90 to 10 %", _spread("fall")),
    ("Positive pulses", _spread("positive_pulses")),
    ("Negative pulses", _spread("negative_pulses")),
    ("Edges", _count("edges")),
    ("Time low", _seconds("seconds_in_state", "low")),
    ("Time high", _seconds("seconds_in_state", "high")),
    ("Time between", _seconds("seconds_in_state", "between")),
    ("Samples missing", _count("summary", "missing")),
    ("Gaps", _count("summary", "gaps", "count")),
)
