"""What state a signal is in, with the rule that says so.

Thresholds and their sources are in `bus_levels`; the rules follow trade-values.md sections 3.4 and 3.5,
which are common practice of the trade except where a source is named there.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from diagnostics.captures import bus_levels as limits
from diagnostics.captures.bus_levels import BusLevels
from diagnostics.captures.changes import Change, changes_of
from diagnostics.captures.measured import Measured

State = Literal[
    "active", "stuck_high", "stuck_low", "floating_or_biased", "intermittent", "noisy", "not_judged"
]


@dataclass(frozen=True, slots=True)
class StateVerdict:
    """A state, what it means in words, the rule with its numbers, and the changes with their times."""

    state: State
    words: str
    rule: str
    changes: tuple[Change, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """Return the verdict as JSON has it."""
        return {
            "state": self.state,
            "words": self.words,
            "rule": self.rule,
            "changes": [change.as_dict() for change in self.changes],
        }


def line_verdict(measured: Measured, *, battery_v: float | None = None, bus: str = "none") -> StateVerdict:
    """Return the state of a line of one wire.

    Parameters
    ----------
    measured : Measured
        Levels, figures and edges of the channel.
    battery_v : float, optional
        Battery voltage taken at the same time [V]. Without it nothing is called shorted to battery.
    bus : {'none', 'vpw', 'lin', 'kline'}
        What the line is; with 'none' no levels are asked for.

    Returns
    -------
    StateVerdict
        The first of these that holds: no sample; resting (noisy, near battery, near ground, or between);
        noisy; intermittent; outside the levels of the bus; active.
    """
    if measured.summary.count == 0:
        return StateVerdict("not_judged", "There is no sample of this channel.", "no sample was recorded")
    if not measured.toggles:
        return _resting(measured, battery_v, bus)
    if measured.noise > limits.NOISE_SHARE * measured.levels.amplitude:
        return _noisy(measured)
    found = changes_of(measured, bus=bus)
    if found.changes:
        return StateVerdict("intermittent", found.words, found.rule, found.changes)
    levels = None if measured.is_logic else limits.single_wire(bus, battery_v)
    return _toggling(measured, levels)


def _noisy(measured: Measured) -> StateVerdict:
    share = measured.noise / measured.levels.amplitude
    return StateVerdict(
        "noisy",
        "The signal moves, but so much noise lies on it that its levels cannot be trusted.",
        f"noise of {share:.0%} of the amplitude within its states; above {limits.NOISE_SHARE:.0%} is noisy",
    )


def _toggling(measured: Measured, levels: BusLevels | None) -> StateVerdict:
    low, high, unit = measured.levels.low, measured.levels.high, measured.unit_words
    moves = f"toggles between {low:.3g} and {high:.3g}{unit}, {measured.timing.transitions:,} edges"
    if levels is None:
        return StateVerdict("active", "The signal is active between two levels.", moves)
    wrong = _out_of(levels, low, high)
    asked = (
        f"{levels.name}: low {levels.low[0]:g} to {levels.low[1]:.4g} V, "
        f"high {levels.high[0]:.4g} to {levels.high[1]:.4g} V ({levels.source})"
    )
    if wrong:
        return StateVerdict("floating_or_biased", wrong, f"{moves}; {asked}")
    return StateVerdict("active", f"Active, within the levels of {levels.name}.", f"{moves}; {asked}")


def _out_of(levels: BusLevels, low: float, high: float) -> str:
    """Say which level is out of its band and what that points to; empty where both are within."""
    near = limits.MEASURED_WITHIN_V
    if levels.name == "VPW" and high < limits.VPW_WEAK_HIGH_V:
        return (
            "Active, but its tops stay below what receivers take for high: weak driver, load or resistance."
        )
    if levels.name == "VPW" and low > limits.VPW_HIGH_LOW_V:
        return "Active, but it never gets low: lost ground, or a resistive short to power."
    if high < levels.high[0] - near:
        return f"Active, but its tops of {high:.3g} V are below the band: load or resistance in the line."
    if high > levels.high[1] + near:
        return f"Active, but its tops of {high:.3g} V are above the band: pulled up, or the wrong supply."
    if low > levels.low[1] + near:
        return (
            f"Active, but its bottoms of {low:.3g} V are above the band: resistance to ground or a pull-up."
        )
    if low < levels.low[0] - near - limits.NEAR_GROUND_V:
        return (
            f"Active, but its bottoms of {low:.3g} V are below ground: look at the ground of the instrument."
        )
    return ""


def _resting(measured: Measured, battery_v: float | None, bus: str) -> StateVerdict:
    level, noise = measured.summary.mean, measured.summary.ac_rms
    if measured.is_logic:
        state: State = "stuck_high" if level > 0.5 else "stuck_low"
        return StateVerdict(
            state, f"Rests at {level:.0f} all the time.", "a logic channel that never changes"
        )
    if not measured.is_volts:
        words = f"Steady at {level:.4g}{measured.unit_words}."
        return StateVerdict("not_judged", words, "ground and battery can be told in volts only")
    if noise > limits.QUIET_RMS_V:
        return StateVerdict(
            "noisy",
            f"No two levels, only noise about {level:.3g} V.",
            f"{noise:.3g} V RMS about the mean; above {limits.QUIET_RMS_V:g} V is noisy",
        )
    if battery_v is not None and level >= battery_v - limits.NEAR_BATTERY_V - limits.ROUNDING_V:
        return _near_battery(level, battery_v, bus)
    if level <= limits.NEAR_GROUND_V + limits.ROUNDING_V:
        return _near_ground(level, bus)
    return _between(level, battery_v, bus)


def _near_battery(level: float, battery_v: float, bus: str) -> StateVerdict:
    words = {
        "lin": "Rests near battery: idle, or shorted to power. Wake the bus to tell.",
        "kline": "Rests near battery: idle and pulled up, or shorted to power. Poll it to tell.",
    }.get(bus, "Stuck near battery: shorted to power, or its ground is lost.")
    rule = f"{level:.3g} V is within {limits.NEAR_BATTERY_V:g} V of battery, {battery_v:g} V"
    return StateVerdict("stuck_high", words, rule)


def _near_ground(level: float, bus: str) -> StateVerdict:
    words = {
        "vpw": "Rests at ground: a healthy idle bus, or a short to ground. Wake the bus to tell.",
        "kline": "Rests at ground: shorted, not fed, or no tool pulls it up.",
    }.get(bus, "Stuck near ground: shorted to ground, or its supply is open.")
    rule = f"{level:.3g} V is {limits.NEAR_GROUND_V:g} V or less"
    return StateVerdict("stuck_low", words, rule)


def _between(level: float, battery_v: float | None, bus: str) -> StateVerdict:
    if bus == "vpw" and level > limits.VPW_HELD_V and battery_v is not None:
        return StateVerdict(
            "floating_or_biased",
            "A node holds the bus active.",
            f"{level:.3g} V is above {limits.VPW_HELD_V:g} V and not within "
            f"{limits.NEAR_BATTERY_V:g} V of battery, {battery_v:g} V",
        )
    if battery_v is None:
        return StateVerdict(
            "not_judged",
            f"Steady at {level:.3g} V. Give the battery voltage of that moment to tell a short to power.",
            f"{level:.3g} V is above {limits.NEAR_GROUND_V:g} V; the battery voltage is not known",
        )
    return StateVerdict(
        "floating_or_biased",
        f"Steady at {level:.3g} V, neither ground nor battery: an open wire, or a resistive fault.",
        f"{level:.3g} V is above {limits.NEAR_GROUND_V:g} V and more than {limits.NEAR_BATTERY_V:g} V "
        f"below battery, {battery_v:g} V",
    )
