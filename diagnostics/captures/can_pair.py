"""What the two wires of a CAN bus say together (ISO 11898-2; trade-values.md sections 3.3 and 3.5)."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.captures import bus_levels as limits
from diagnostics.captures.measured import Measured
from diagnostics.captures.states import StateVerdict

CAUTION = "Measure resistance with the network asleep only; follow the maker's procedure."


@dataclass(frozen=True, slots=True)
class Pair:
    """Both wires, told apart, and their levels [V]."""

    high: Measured
    low: Measured

    @property
    def high_levels(self) -> tuple[float, float]:
        """CANH recessive and dominant: it rises when dominant."""
        return _levels(self.high)

    @property
    def low_levels(self) -> tuple[float, float]:
        """CANL recessive and dominant: it falls when dominant."""
        bottom, top = _levels(self.low)
        return top, bottom

    @property
    def difference(self) -> tuple[float, float]:
        """Recessive and dominant difference of the wires."""
        return (
            self.high_levels[0] - self.low_levels[0],
            self.high_levels[1] - self.low_levels[1],
        )


def pair_of(measured: tuple[Measured, ...]) -> Pair | None:
    """Return the two wires: by their names if these end in H and L, else the one with the greater mean first.

    Parameters
    ----------
    measured : channels
        None is returned unless exactly two of them are analog.
    """
    analog = [each for each in measured if not each.is_logic]
    if len(analog) != 2 or any(each.summary.count == 0 for each in analog):
        return None
    first, second = analog
    ends = [_ending(each.channel.name) for each in analog]
    if ends == ["L", "H"]:
        return Pair(second, first)
    if ends != ["H", "L"] and second.summary.mean > first.summary.mean:
        return Pair(second, first)
    return Pair(first, second)


def pair_verdict(pair: Pair, *, battery_v: float | None = None) -> StateVerdict:
    """Return the state of a CAN bus of two wires.

    Parameters
    ----------
    pair : Pair
    battery_v : float, optional
        Battery voltage taken at the same time [V].

    Returns
    -------
    StateVerdict
        Shorts first, then silence, then noise, then levels; `active` when all levels are within.
    """
    steady = [each for each in (pair.high, pair.low) if not each.toggles]
    for name, wire in (("CANH", pair.high), ("CANL", pair.low)):
        if battery_v is not None and wire.summary.mean >= battery_v - limits.NEAR_BATTERY_V:
            return StateVerdict(
                "stuck_high",
                f"{name} is near battery: shorted to power.",
                f"{name} {wire.summary.mean:.3g} V is within {limits.NEAR_BATTERY_V:g} V of {battery_v:g} V",
            )
    if len(steady) == 2:
        return _silent(pair)
    if steady:
        return _one_moves(pair, steady[0])
    return _moving(pair)


def _ending(name: str) -> str:
    """Return H or L where a name says which wire it is: "CANH", "CAN-L", "can high"."""
    plain = name.upper().replace("HIGH", "H").replace("LOW", "L").rstrip(" )]")
    return plain[-1:] if plain[-1:] in ("H", "L") else ""


def _levels(measured: Measured) -> tuple[float, float]:
    if measured.toggles:
        return measured.levels.low, measured.levels.high
    return measured.summary.mean, measured.summary.mean


def _silent(pair: Pair) -> StateVerdict:
    high, low = pair.high.summary.mean, pair.low.summary.mean
    both = f"CANH {high:.3g} V and CANL {low:.3g} V, neither moves"
    noise = max(pair.high.summary.ac_rms, pair.low.summary.ac_rms)
    if noise > limits.QUIET_RMS_V:
        return StateVerdict("noisy", "No traffic, only noise.", f"{both}; {noise:.3g} V RMS of noise")
    if max(high, low) <= limits.NEAR_GROUND_V:
        asleep = max(abs(high), abs(low)) <= limits.CAN_ASLEEP_V
        words = "Both wires at 0 V: the bus sleeps or has no power, or CANL or the pair is shorted to ground."
        if not asleep:
            words = "Both wires near ground: CANL or the pair is shorted to ground, or the bus has no power."
        return StateVerdict("stuck_low", words, f"{both}; {limits.NEAR_GROUND_V:g} V or less")
    if high <= limits.NEAR_GROUND_V:
        return StateVerdict(
            "stuck_low", "CANH is shorted to ground: no communication.", f"{both}; CANH is near ground"
        )
    lowest, highest = limits.CAN_RECESSIVE_V
    if lowest <= low <= highest and lowest <= high <= highest:
        return StateVerdict(
            "floating_or_biased",
            "The bus is biased but silent: nobody sends, or the instrument's side of it is open.",
            f"{both}; recessive is {lowest:g} to {highest:g} V",
        )
    return StateVerdict(
        "floating_or_biased", "No traffic, and the wires do not rest at recessive.", f"{both}"
    )


def _one_moves(pair: Pair, still: Measured) -> StateVerdict:
    name = "CANH" if still is pair.high else "CANL"
    level = still.summary.mean
    rule = f"{name} rests at {level:.3g} V while the other wire moves"
    if level <= limits.NEAR_GROUND_V:
        words = f"{name} is shorted to ground, or open; the other wire still moves."
        return StateVerdict("stuck_low", words, rule)
    return StateVerdict("floating_or_biased", f"{name} does not move: an open or loaded wire.", rule)


def _moving(pair: Pair) -> StateVerdict:
    noise = max(wire.noise / wire.levels.amplitude for wire in (pair.high, pair.low))
    found = (
        f"CANH {pair.high_levels[0]:.3g} to {pair.high_levels[1]:.3g} V, "
        f"CANL {pair.low_levels[0]:.3g} to {pair.low_levels[1]:.3g} V, "
        f"difference {pair.difference[0]:.3g} to {pair.difference[1]:.3g} V (recessive to dominant)"
    )
    if noise > limits.NOISE_SHARE:
        return StateVerdict("noisy", "Traffic with heavy noise on it.", f"{found}; noise {noise:.0%}")
    wrong = _wrong(pair)
    if wrong:
        return StateVerdict("floating_or_biased", f"Traffic, but {wrong[0]}.", f"{found}; {'; '.join(wrong)}")
    return StateVerdict(
        "active",
        "Active, both wires within the levels of CAN.",
        f"{found}; data sheet of a transceiver, load of 50 to 65 ohm",
    )


def _wrong(pair: Pair) -> list[str]:
    """Say of each level that is out of its band what band that is."""
    looked_at = [
        ("CANH dominant", pair.high_levels[1], limits.CAN_HIGH_DOMINANT_V),
        ("CANL dominant", pair.low_levels[1], limits.CAN_LOW_DOMINANT_V),
        ("CANH recessive", pair.high_levels[0], limits.CAN_RECESSIVE_V),
        ("CANL recessive", pair.low_levels[0], limits.CAN_RECESSIVE_V),
        ("the dominant difference", pair.difference[1], limits.CAN_DIFFERENCE_DOMINANT_V),
        (
            "the recessive difference",
            pair.difference[0],
            (-limits.CAN_RECEIVED_RECESSIVE_V, limits.CAN_RECEIVED_RECESSIVE_V),
        ),
        ("the sum of the wires", pair.high.summary.mean + pair.low.summary.mean, limits.CAN_SUM_V),
    ]
    near = limits.MEASURED_WITHIN_V
    return [
        f"{name} is {level:.3g} V, not {low:g} to {high:g} V"
        for name, level, (low, high) in looked_at
        if not low - near <= level <= high + near
    ]
