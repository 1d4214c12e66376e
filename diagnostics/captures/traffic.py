"""The frames on the lines of a recording, once each line has been measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from diagnostics.captures.can_pair import pair_of
from diagnostics.captures.decoding.decode import Protocol, decode
from diagnostics.captures.decoding.frames import Decoded
from diagnostics.captures.measured import Measured
from diagnostics.captures.samples import Recording

PROTOCOL_OF_BUS: dict[str, Protocol] = {"vpw": "VPW", "can": "CAN", "lin": "LIN", "kline": "K line"}


@dataclass(frozen=True, slots=True)
class Traffic:
    """What was decoded of one line, or of the two wires of a pair."""

    channels: tuple[str, ...]
    decoded: Decoded

    def as_dict(self) -> dict[str, Any]:
        """Return it as JSON has it, without the frames."""
        return {"channels": list(self.channels), **self.decoded.summary()}


def traffic(
    recording: Recording, measured: Sequence[Measured], *, bus: str, battery_v: float | None = None
) -> tuple[Traffic, ...]:
    """Return the frames on each line that moves.

    Parameters
    ----------
    recording : Recording
        Read through once more for each line.
    measured : one for each channel
    bus : "vpw", "can", "lin" or "kline"
        With any other nothing is decoded.
    battery_v : float, optional
        The supply that the thresholds of LIN and K line are parts of. [V]

    Returns
    -------
    Traffic of each line
        The two wires of a CAN bus are one line.
    """
    protocol = PROTOCOL_OF_BUS.get(bus)
    if protocol is None:
        return ()
    return tuple(
        Traffic(names, decode(recording, protocol, channels=names, supply_v=battery_v))
        for names in _lines(tuple(measured), bus)
    )


def _lines(measured: tuple[Measured, ...], bus: str) -> list[tuple[str, ...]]:
    pair = pair_of(measured) if bus == "can" else None
    wires = (pair.high, pair.low) if pair else ()
    lines = [tuple(wire.channel.name for wire in wires)] if any(wire.toggles for wire in wires) else []
    alone = [each for each in measured if each.toggles and each not in wires]
    return lines + [(each.channel.name,) for each in alone if each.is_logic or each.is_volts]
