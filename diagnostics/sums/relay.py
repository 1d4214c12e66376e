"""Relay coils (trade-values.md section 4.5)."""

from __future__ import annotations

from diagnostics.sums.care import care
from diagnostics.sums.circuit import parallel_ohms
from diagnostics.sums.figures import figure
from shared.computing import Given, computation

GROUP = "Relays"

USUAL_COIL_OHMS = (75.0, 110.0)  # 12 V relays; read in three relay data pages.
OHMS = Given("ohms", "Resistance of the coil", "Ω", above=0, high=1e9, example=90)
SOURCE = "three relay data pages"
CARE = care("12v_short")


@computation(
    "relay.coil_amps",
    "Current through a relay coil",
    Given("volts", "Voltage at the coil, 85 to 86", "V", low=0, high=10_000, example=12),
    OHMS,
    unit="A",
    formula="I = U / R",
    source="Ohm's law",
    mark="computed",
    valid="A coil without electronics of its own, cold.",
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: f"The coil takes {figure(answer)} A, and whatever drives it must carry that.",
)
def coil_amps(volts: float, ohms: float) -> float:
    """Return the current through a coil. [A]"""
    return volts / ohms


@computation(
    "relay.coil_with_resistor_ohms",
    "What a meter reads across a coil with a quenching resistor",
    OHMS,
    Given("resistor", "Resistor across the coil, 680 Ω if empty", "Ω", above=0, high=1e9, optional=True),
    unit="Ω",
    formula="1 / R = 1 / coil + 1 / resistor",
    source=SOURCE,
    mark="read",
    valid="Unplugged. A diode across the coil reads differently by polarity.",
    group=GROUP,
    says=lambda answer, given: f"{figure(answer)} Ω across 85 and 86.",
)
def coil_with_resistor_ohms(ohms: float, resistor: float = 680.0) -> float:
    """Return the resistance of a coil and the resistor across it. [Ω]"""
    return parallel_ohms([ohms, resistor])


@computation(
    "relay.coil_verdict",
    "Whether the coil of a 12 V relay is of the usual resistance",
    Given("ohms", "Resistance across 85 and 86", "Ω", low=0, high=1e9, example=90),
    answers={"verdict": "", "low_ohms": "Ω", "high_ohms": "Ω"},
    formula="75 to 110 Ω",
    source=SOURCE,
    mark="read",
    valid=(
        "A plain 12 V relay at room temperature, unplugged; one with a resistor across the "
        "coil reads some ohms less."
    ),
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: {
        "below": (
            "Below usual: shorted turns, or a resistor across the coil. Compare with a "
            "sound relay of the same number."
        ),
        "within": "A usual coil. It says nothing of the contacts: measure their drop under load.",
        "above": "Above usual: a bad joint or a broken coil; open reads over range.",
    }[answer["verdict"]],
)
def coil_verdict(ohms: float) -> dict[str, str | float]:
    """Return `below`, `within` or `above`, and the usual limits. [Ω]"""
    low, high = USUAL_COIL_OHMS
    verdict = "below" if ohms < low else "above" if ohms > high else "within"
    return {"verdict": verdict, "low_ohms": low, "high_ohms": high}
