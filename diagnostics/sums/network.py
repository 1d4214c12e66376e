"""What a reading on a data bus says: resistance, levels, steady voltages, and the pins they are read at."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from diagnostics.captures import bus_levels as limits
from shared.computing import Given, Refused, computation

# SAE J1962 / ISO 15031-3, read in three public tables.
CONNECTOR_PINS = {
    2: "J1850 bus + (PWM and VPW)",
    4: "chassis ground",
    5: "signal ground",
    6: "CAN high (ISO 15765-4)",
    7: "K line (ISO 9141-2, ISO 14230-4)",
    10: "J1850 bus - (PWM only)",
    14: "CAN low (ISO 15765-4)",
    15: "L line (ISO 9141-2, ISO 14230-4)",
    16: "battery positive, unswitched",
}
MAKERS_CHOICE = "maker's choice"

# Common practice: no single authority.
CAN_PAIR_BANDS = {
    "ok": "50 to 70 ohm: the two end resistors of 120 ohm are in reach.",
    "one-terminator-missing": "110 to 130 ohm: one end resistor or one main line is open.",
    "too-many-terminators-or-partial-short": "5 to below 50 ohm: a resistor too many, or a partial short.",
    "shorted-together": "Below 5 ohm: the two wires touch.",
    "both-terminators-missing": "Above 1000 ohm: neither end resistor is in reach, only the control units.",
    "inconclusive": "Between the bands: measure again with the network asleep.",
}
VPW_WORDS = {
    "weak-high": "It moves, but the tops stay below 4.25 V: weak driver, heavy load or resistance.",
    "low-not-reached": "It moves, but the bottoms stay above 3.5 V: lost ground, resistive short to power.",
    "normal-traffic": "It moves and reaches both levels: traffic.",
    "short-to-power": "Steady within 1 V of the battery: short to power.",
    "idle-or-short-to-ground": (
        "Steady at 0.5 V or less: a healthy idle bus reads so, and so does a short to ground. "
        "Wake the bus and read again."
    ),
    "held-active": "Steady above 6 V but not at the battery: a control unit holds the bus active.",
    "floating-or-resistive-fault": "Steady in between: a floating pin (open wire) or a resistive fault.",
}
_OWN_VERDICT = "The verdict is common practice; the maker's figure and procedure come first."
PROBING = (
    "Probing a data network can set off airbags, disable brakes or damage a control unit: use proper "
    "adapters, never pierce insulation, never force current into a bus, "
    "and follow the maker's procedure and local rules."
)
_ASLEEP = (
    "Measure resistance only with the network asleep or the battery disconnected, after several minutes' "
    "wait: units that are awake falsify the reading."
)
_GROUP = "Data buses"


def volts_given(key: str, meaning: str, **about: Any) -> Given:
    """Return a voltage as an input: any that a meter on a bus can show, of either sign."""
    return Given(key, meaning, "V", low=-100, high=100, **about)


def exact(number: float) -> Decimal:
    """Return a number as its shortest decimal, so that 2.9 less 2.0 is 0.9 as on paper."""
    return Decimal(repr(number))


@computation(
    "net.connector_pin",
    "What a pin of the 16-pin diagnostic connector is for",
    Given("pin", "pin number", kind="whole", low=1, high=16, example=6),
    source="SAE J1962, ISO 15031-3; three public tables",
    mark="read",
    cautions=(PROBING,),
    group=_GROUP,
)
def connector_pin(pin: int) -> str:
    """Return the use of a pin of the diagnostic connector; a pin without one is the maker's choice."""
    return CONNECTOR_PINS.get(pin, MAKERS_CHOICE)


@computation(
    "net.can_resistance",
    "Resistance across a two-wire bus from the resistors on it",
    Given("ohms", "resistors across the pair", "ohm", "numbers", low=0, least=1, example=[120, 120]),
    unit="ohm",
    source="ISO 11898-2: 120 ohm at each end; several public pages",
    mark="read",
    formula="1/R = 1/R1 + 1/R2 + ...",
    cautions=(_ASLEEP, PROBING),
    group=_GROUP,
)
def can_resistance(ohms: Sequence[float]) -> float:
    """Return the resistance of resistors in parallel; 0 where one of them is 0.

    Parameters
    ----------
    ohms : n floats, n at least 1
        0 or more each. [ohm]

    Returns
    -------
    float
        0 to the least of them, rounded once. [ohm]
    """
    if min(ohms) == 0:
        return 0.0
    return float(1 / sum(1 / Fraction(each) for each in ohms))


@computation(
    "net.can_bus_ohms",
    "Resistance to expect across a two-wire bus from the number of end resistors and control units",
    Given("terminators", "end resistors in reach", kind="whole", low=0, high=100, example=2),
    Given("terminator_ohm", "each of them", "ohm", above=0, optional=True, example=120),
    Given("units", "control units without one", kind="whole", low=0, high=1000, optional=True, example=8),
    Given("unit_kohm", "each of them", "kohm", above=0, optional=True, example=30),
    unit="ohm",
    source="ISO 11898-2: 120 ohm at each end; 10 to 50 kohm for a unit read in a public service text",
    mark="read",
    formula="1/R = terminators / 120 ohm + units / 30 kohm",
    cautions=(_ASLEEP, PROBING),
    group=_GROUP,
    says=lambda answer, given: pair_words(answer),
)
def can_bus_ohms(
    terminators: int, terminator_ohm: float = 120, units: int = 0, unit_kohm: float = 30
) -> float:
    """Return the resistance across a bus of n end resistors and m control units, all in parallel. [ohm]"""
    conductance = terminators / Fraction(terminator_ohm) + units / (1000 * Fraction(unit_kohm))
    if not conductance:
        raise Refused(
            "terminators", "With nothing across the pair there is no figure.", "1 or more, or units"
        )
    return float(1 / conductance)


@computation(
    "net.can_term_verdict",
    "What the resistance measured across a two-wire bus says",
    Given("ohms", "resistance across the pair, pin 6 to pin 14", "ohm", low=0, example=60),
    source=f"bands of common practice around the 60 ohm of ISO 11898-2. {_OWN_VERDICT}",
    mark="common practice",
    valid="two-wire high-speed bus; there is no 60 ohm rule on the low-speed fault-tolerant one",
    cautions=(_ASLEEP, PROBING),
    group=_GROUP,
    says=lambda answer, given: CAN_PAIR_BANDS[answer],
)
def can_term_verdict(ohms: float) -> str:
    """Return the verdict on a resistance across the pair, a key of `CAN_PAIR_BANDS`."""
    if ohms < 5:
        return "shorted-together"
    if ohms < 50:
        return "too-many-terminators-or-partial-short"
    if ohms <= 70:
        return "ok"
    if 110 <= ohms <= 130:
        return "one-terminator-missing"
    return "both-terminators-missing" if ohms > 1000 else "inconclusive"


@computation(
    "net.can_state",
    "Whether a two-wire bus is dominant or recessive at two voltages",
    volts_given("canh", "high wire, pin 6 to pin 5", example=3.5),
    volts_given("canl", "low wire, pin 14 to pin 5", example=1.5),
    source="receiver of a bus driver, data sheet SLLSFP9 and a public training page",
    mark="read",
    formula="difference 0.9 V and above dominant, 0.5 V and below recessive, between undefined",
    valid="levels of one instant, from a trace; a meter shows averages",
    cautions=(PROBING,),
    group=_GROUP,
)
def can_state(canh: float, canl: float) -> str:
    """Return `dominant`, `recessive` or `undefined` for the voltages of the two wires. [V]

    The difference is taken of the decimals as typed: 2.9 V and 2.0 V make 0.9 V.
    """
    difference = exact(canh) - exact(canl)
    if difference >= exact(limits.CAN_RECEIVED_DOMINANT_V):
        return "dominant"
    return "recessive" if difference <= exact(limits.CAN_RECEIVED_RECESSIVE_V) else "undefined"


@computation(
    "net.vpw_bus_verdict",
    "What the voltage of a single-wire VPW bus says",
    Given("toggles", "does it move", kind="yes", optional=True),
    volts_given("volts", "steady voltage, pin 2 to pin 5", optional=True, example=0.02),
    volts_given("high", "tops, where it moves", optional=True),
    volts_given("low", "bottoms, where it moves", optional=True),
    volts_given("vbat", "battery at the same time, pin 16 to pin 5", optional=True, example=12.6),
    source=f"levels 0 to 1.5 V and 6.25 to 8 V read in a public protocol table. {_OWN_VERDICT}",
    mark="common practice",
    cautions=(PROBING,),
    group=_GROUP,
    says=lambda answer, given: VPW_WORDS[answer],
)
def vpw_bus_verdict(
    toggles: bool = False,
    volts: float | None = None,
    high: float | None = None,
    low: float | None = None,
    vbat: float | None = None,
) -> str:
    """Return the verdict on a single-wire bus, a key of `VPW_WORDS`; a moving one by its levels."""
    if toggles:
        return _moving_vpw_verdict(high, low)
    if volts is None or vbat is None:
        missing = "volts" if volts is None else "vbat"
        raise Refused(missing, "A steady bus is judged by its voltage and the battery's.", "a number in V")
    if exact(volts) >= exact(vbat) - exact(limits.NEAR_BATTERY_V):
        return "short-to-power"
    if volts <= limits.NEAR_GROUND_V:
        return "idle-or-short-to-ground"
    return "held-active" if volts > limits.VPW_HELD_V else "floating-or-resistive-fault"


def pair_words(ohms: float) -> str:
    """Return what a resistance across the pair says, as a sentence."""
    return CAN_PAIR_BANDS[can_term_verdict(ohms)]


def _moving_vpw_verdict(high: float | None, low: float | None) -> str:
    if high is None or low is None:
        missing = "high" if high is None else "low"
        raise Refused(missing, "A bus that moves is judged by its tops and its bottoms.", "a number in V")
    if low > high:
        raise Refused("low", f"Bottoms of {low:g} V lie above tops of {high:g} V.", "at most the tops")
    if exact(high) < exact(limits.VPW_WEAK_HIGH_V):
        return "weak-high"
    return "low-not-reached" if exact(low) > exact(limits.VPW_HIGH_LOW_V) else "normal-traffic"
