"""What voltages on a two-wire bus, a K line and a LIN wire say, as a meter or a trace shows them."""

from __future__ import annotations

from decimal import Decimal

from diagnostics.sums.network import PROBING, exact, volts_given
from shared.computing import Given, computation

NEAR_GROUND_V = Decimal("0.3")  # Project rule; a sleeping pair reads within 0.1 V of it (data sheet, read).
NEAR_BATTERY_V = 1  # Below the battery. Common practice.
ABOUT_V = Decimal("0.1")  # What "about" means around the averages below. Project rule.
CAN_HIGH_AVERAGE_V = (Decimal("2.5"), Decimal("2.7"))  # With traffic, on a meter. Common practice.
CAN_LOW_AVERAGE_V = (Decimal("2.3"), Decimal("2.5"))  # Same.
CAN_SUM_V = (Decimal("4.8"), Decimal("5.2"))  # The sum stays near 5 V. Project rule for "near".
TESTER_PULL_UP_OHM = 510  # From K line to battery in a 12 V tool. ISO 14230-1:2012 8.2.2, read.

CAN_WORDS = {
    "normal-traffic": "Averages of about 2.5 to 2.7 V and 2.3 to 2.5 V that sum to about 5 V: traffic.",
    "asleep-or-shorted-to-ground": (
        "Both near 0 V: the bus sleeps or has no supply, or the low wire or the pair is shorted to ground. "
        "Wake it first."
    ),
    "high-shorted-to-ground": "The high wire is at 0 V: shorted to ground, no communication.",
    "low-shorted-to-ground": "The low wire is at 0 V, the high wire moves: low shorted, may limp on.",
    "short-to-power": "A wire is within 1 V of the battery: short to power.",
    "alive-but-silent": "Both about 2.5 V without movement: nobody sends, or the wire to the tool is open.",
    "inconclusive": "None of the known pictures: record both wires and look at the levels.",
}
KLINE_WORDS = {
    "near-battery": "Not shorted to ground; with a tool on, its own pull-up: it proves no module.",
    "at-ground-tool-off": "May be normal: many vehicles have no strong pull-up. Read again with a tool on.",
    "shorted-or-no-supply": "With a tool on: short to ground, or no battery feed at pin 16.",
    "between": "Between the levels: data is moving, or there is a resistive fault. Record it.",
}
LEVEL_BANDS = {"K line": (0.3, 0.7), "LIN": (0.4, 0.6)}


@computation(
    "net.can_reading",
    "What the voltages of the two wires of a two-wire bus say, as a meter shows them",
    volts_given("canh", "high wire, pin 6 to pin 5", example=2.6),
    volts_given("canl", "low wire, pin 14 to pin 5", example=2.4),
    Given("moves", "does it move", kind="yes"),
    volts_given("vbat", "battery at the same time, pin 16 to pin 5", example=12.6),
    source="common practice; sleeping bus at 0 V read in a data sheet. The maker's figure comes first.",
    mark="common practice",
    valid="two-wire high-speed bus, averages; not the low-speed fault-tolerant one",
    cautions=(PROBING,),
    group="Data buses",
    says=lambda answer, given: CAN_WORDS[answer],
)
def can_reading(canh: float, canl: float, moves: bool, vbat: float) -> str:
    """Return the verdict on a pair of averages, a key of `CAN_WORDS`.

    Parameters
    ----------
    canh, canl : float
        Average against signal ground. [V]
    moves : bool
        Whether the reading moves, or a trace shows traffic.
    vbat : float
        Battery at the same time. [V]
    """
    high, low = exact(canh), exact(canl)
    if max(high, low) >= exact(vbat) - NEAR_BATTERY_V:
        return "short-to-power"
    if moves and low <= NEAR_GROUND_V < high:
        return "low-shorted-to-ground"
    if high <= NEAR_GROUND_V:
        return "asleep-or-shorted-to-ground" if low <= NEAR_GROUND_V else "high-shorted-to-ground"
    if moves:
        return "normal-traffic" if _like_traffic(high, low) else "inconclusive"
    silent = all(_about(wire, Decimal("2.5"), Decimal("2.5")) for wire in (high, low))
    return "alive-but-silent" if silent else "inconclusive"


@computation(
    "net.kline_verdict",
    "What the steady voltage of a K line says",
    volts_given("volts", "K line, pin 7 to pin 5", example=12.2),
    Given("tool", "is a tool connected", kind="yes"),
    volts_given("vbat", "battery at the same time, pin 16 to pin 5", example=12.4),
    source="levels 30 and 70 % of battery: ISO 14230-1:2012 8.2, read; verdicts common practice",
    mark="common practice",
    cautions=(PROBING,),
    group="Data buses",
    says=lambda answer, given: KLINE_WORDS[answer],
)
def kline_verdict(volts: float, tool: bool, vbat: float) -> str:
    """Return the verdict on a steady K line, a key of `KLINE_WORDS`. [V]"""
    level = line_level("K line", volts, vbat)
    if level == "recessive":
        return "near-battery"
    if level == "dominant":
        return "shorted-or-no-supply" if tool else "at-ground-tool-off"
    return "between"


@computation(
    "net.line_level",
    "Whether a K line or LIN wire is dominant or recessive at a voltage",
    Given("bus", "which bus", kind="choice", choices=("K line", "LIN")),
    volts_given("volts", "voltage of the wire", example=0.8),
    Given("vbat", "supply at the same time", "V", above=0, high=100, example=12.6),
    source="receivers: K line 30 and 70 % (ISO 14230-1), LIN 40 and 60 % (data sheet NCV7329)",
    mark="read",
    cautions=(PROBING,),
    group="Data buses",
)
def line_level(bus: str, volts: float, vbat: float) -> str:
    """Return `dominant` below the lower part of the supply, `recessive` above the upper, else `undefined`."""
    lower, upper = (exact(part) * exact(vbat) for part in LEVEL_BANDS[bus])
    if exact(volts) < lower:
        return "dominant"
    return "recessive" if exact(volts) > upper else "undefined"


@computation(
    "net.kline_short_current",
    "Current through the tool's pull-up into a K line that is shorted to ground",
    Given("vbat", "battery", "V", low=0, high=100, example=12.4),
    Given("pull_up_ohm", "pull-up of the tool", "ohm", above=0, optional=True, example=TESTER_PULL_UP_OHM),
    unit="A",
    source="ISO 14230-1:2012 8.2.2: 510 ohm at 12 V, 1 kohm at 24 V",
    mark="read",
    formula="I = battery / pull-up",
    cautions=(PROBING,),
    group="Data buses",
)
def kline_short_current(vbat: float, pull_up_ohm: float = TESTER_PULL_UP_OHM) -> float:
    """Return the current of a K line shorted to ground with a tool connected. [A]"""
    return vbat / pull_up_ohm


def _like_traffic(high: Decimal, low: Decimal) -> bool:
    near_five = CAN_SUM_V[0] <= high + low <= CAN_SUM_V[1]
    return near_five and _about(high, *CAN_HIGH_AVERAGE_V) and _about(low, *CAN_LOW_AVERAGE_V)


def _about(volts: Decimal, low: Decimal, high: Decimal) -> bool:
    return low - ABOUT_V <= volts <= high + ABOUT_V
