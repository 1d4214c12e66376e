"""Voltage levels that bus lines must keep, with where each number comes from.

The numbers stand in trade-values.md sections 3.2 to 3.5; the sources named there are repeated here. *read*:
the source was read; *from memory*; *common practice*: no source.
"""

from __future__ import annotations

from dataclasses import dataclass

# SAE J1850 variable pulse width.
VPW_HIGH_V = (6.25, 8.00)  # Active level. Public protocol table, read.
VPW_LOW_V = (0.00, 1.50)  # Passive level. Public protocol table, read.
VPW_WEAK_HIGH_V = 4.25  # A receiver takes this and more for high. SAE J1850, from memory.
VPW_HIGH_LOW_V = 3.50  # A receiver takes this and less for low. SAE J1850, from memory.
VPW_HELD_V = 6.0  # Steady above this, but not battery: a node holds the bus active. Common practice.

# Any line.
NEAR_BATTERY_V = 1.0  # Within this of battery counts as shorted to it. Common practice.
NEAR_GROUND_V = 0.5  # Up to this counts as shorted to ground. Common practice.
ROUNDING_V = 1e-5  # Samples of four bytes and their mean are rounded in the last digits.
LEAST_SWING_V = 0.3  # A signal that moves less than this does not toggle. Project rule.
QUIET_RMS_V = 0.1  # A resting line with more noise than this is called noisy. Project rule.
NOISE_SHARE = 0.10  # Noise in a state above this share of the amplitude reaches its reference level.
MEASURED_WITHIN_V = 0.05  # Levels are found to about this; a level this near a limit keeps it. Project rule.

# CAN, ISO 11898-2. Transceiver data sheet SLLSF80B, read, unless said otherwise.
CAN_RECESSIVE_V = (2.0, 3.0)  # Each wire, no load.
CAN_HIGH_DOMINANT_V = (2.75, 4.5)  # CANH, load of 50 to 65 ohm.
CAN_LOW_DOMINANT_V = (0.5, 2.25)  # CANL, same load.
CAN_DIFFERENCE_DOMINANT_V = (1.5, 3.0)  # Across the pair, same load.
CAN_RECEIVED_DOMINANT_V = 0.9  # Receivers take this and more for dominant. Data sheet SLLSFP9, read.
CAN_RECEIVED_RECESSIVE_V = 0.5  # And up to this for recessive. Same sheet.
CAN_SUM_V = (4.5, 5.5)  # The sum of the two wires stays near 5 V. Common practice.
CAN_ASLEEP_V = 0.1  # A sleeping bus rests at 0 V within this. Data sheet SLLSF80B, read.

# LIN and K line, as shares of the supply.
LIN_DOMINANT_SHARE, LIN_RECESSIVE_SHARE = 0.20, 0.80  # Driver. TLIN2021A and TLIN1021 data sheets, read.
KLINE_LOW_SHARE, KLINE_HIGH_SHARE = 0.20, 0.80  # Control unit's driver. ISO 14230-1, from memory.


@dataclass(frozen=True, slots=True)
class BusLevels:
    """The bands of a line that toggles [V], and whether it rests high."""

    name: str
    low: tuple[float, float]
    high: tuple[float, float]
    rests_high: bool
    source: str


def single_wire(bus: str, battery_v: float | None) -> BusLevels | None:
    """Return the levels of a line of one wire; None where none are known.

    Parameters
    ----------
    bus : {'none', 'vpw', 'lin', 'kline'}
    battery_v : float, optional
        Supply [V], to which LIN and K line refer.
    """
    if bus == "vpw":
        return BusLevels("VPW", VPW_LOW_V, VPW_HIGH_V, False, "public protocol table of SAE J1850")
    if battery_v is None or bus not in ("lin", "kline"):
        return None
    name, low, high, source = {
        "lin": (
            "LIN",
            LIN_DOMINANT_SHARE,
            LIN_RECESSIVE_SHARE,
            "transceiver data sheets TLIN2021A, TLIN1021",
        ),
        "kline": ("K line", KLINE_LOW_SHARE, KLINE_HIGH_SHARE, "ISO 14230-1, from memory"),
    }[bus]
    above = battery_v + NEAR_BATTERY_V
    return BusLevels(name, (-NEAR_GROUND_V, low * battery_v), (high * battery_v, above), True, source)
