"""Everything there is to say about a recording: measures, verdicts, frames."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from diagnostics.captures.can_pair import Pair, pair_of, pair_verdict
from diagnostics.captures.measured import Measured, Progress, measure
from diagnostics.captures.samples import Recording, UnreadableCapture
from diagnostics.captures.states import StateVerdict, line_verdict
from diagnostics.captures.traffic import Traffic, traffic

BUSES = ("none", "vpw", "can", "lin", "kline")
HIGHEST_BATTERY_V = 60.0  # Above this no vehicle battery line is meant that may be probed without protection.
CAUTION = (
    "A verdict names what to look at next; it replaces neither the maker's procedure nor a second reading. "
    "High-voltage and restraint circuits are for people who are trained for them."
)


@dataclass(frozen=True, slots=True)
class Analysis:
    """What was found in a recording. `pair` is the verdict on both wires of a CAN bus together."""

    form: str
    remarks: tuple[str, ...]
    dt: float | None
    start: float
    end: float
    channels: tuple[Measured, ...]
    verdicts: tuple[StateVerdict, ...]
    pair: StateVerdict | None
    traffic: tuple[Traffic, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """Return it as JSON has it: times in s, no NaN (null where there is nothing to say)."""
        found: dict[str, Any] = plain(
            {
                "form": self.form,
                "remarks": list(self.remarks),
                "sample_interval": self.dt,
                "start": self.start,
                "end": self.end,
                "channels": [
                    {**measured.as_dict(), "verdict": verdict.as_dict()}
                    for measured, verdict in zip(self.channels, self.verdicts, strict=True)
                ],
                "pair": self.pair.as_dict() if self.pair else None,
                "traffic": [each.as_dict() for each in self.traffic],
                "caution": CAUTION,
            }
        )
        return found


def analyse(
    recording: Recording,
    *,
    battery_v: float | None = None,
    bus: str = "none",
    progress: Progress | None = None,
) -> Analysis:
    """Measure a recording and judge the state of each channel.

    Parameters
    ----------
    recording : Recording
    battery_v : float, optional
        Battery voltage taken at the same time [V]; without it no short to power is called.
    bus : {'none', 'vpw', 'can', 'lin', 'kline'}
        What the lines are; 'none' asks for no levels.
    progress : function of (pass, samples done), optional

    Returns
    -------
    Analysis

    Raises
    ------
    UnreadableCapture
        If the file cannot be read, or the bus or battery voltage cannot be used.
    """
    if bus not in BUSES:
        raise UnreadableCapture("bus", f"'{bus}' is not known.", ", ".join(BUSES))
    if battery_v is not None and not 0 < battery_v <= HIGHEST_BATTERY_V:
        raise UnreadableCapture(
            "battery_v", f"{battery_v} V cannot be a battery.", f"above 0, up to {HIGHEST_BATTERY_V:g} V"
        )
    measured = measure(recording, progress)
    pair = pair_of(measured) if bus == "can" else None
    return Analysis(
        recording.form,
        recording.remarks,
        recording.dt,
        measured[0].start,
        measured[0].end,
        measured,
        tuple(line_verdict(each, battery_v=battery_v, bus=bus) for each in measured),
        _judged_pair(pair, battery_v),
        traffic(recording, measured, bus=bus, battery_v=battery_v),
    )


def _judged_pair(pair: Pair | None, battery_v: float | None) -> StateVerdict | None:
    return pair_verdict(pair, battery_v=battery_v) if pair else None


def plain(value: Any) -> Any:
    """Put null in the place of numbers that JSON has not."""
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, Mapping):
        return {key: plain(each) for key, each in value.items()}
    return [plain(each) for each in value] if isinstance(value, list) else value
