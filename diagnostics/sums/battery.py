"""State of charge, load test and standing draw of a 12 V lead-acid battery (trade-values.md section 4.3)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnostics.sums.care import care
from diagnostics.sums.figures import figure
from diagnostics.sums.tables import between
from diagnostics.sums.temperature import celsius_of, either, to_fahrenheit
from shared.computing import Given, Refused, computation

GROUP = "Battery"

# A table credited to the battery makers' council, read in two public copies: at rest, surface charge removed.
SOC_BY_VOLTS = ((11.89, 0.0), (12.06, 25.0), (12.24, 50.0), (12.45, 75.0), (12.65, 100.0))
SOC_BY_SG = ((1.120, 0.0), (1.155, 25.0), (1.190, 50.0), (1.225, 75.0), (1.265, 100.0))
# Common practice: four points read in one owner's manual, the lowest from memory. The maker's table wins.
AGM_SOC_BY_VOLTS = ((11.80, 0.0), (12.00, 25.0), (12.30, 50.0), (12.60, 75.0), (12.80, 100.0))
SG_EACH_10_F, SG_REFERENCE_F = 0.004, 80.0  # Hydrometer correction, read in three public tables.
# Lowest voltage at half the cold-cranking rating for 15 s, by °F. Read in several public service pages.
LOAD_TEST_VOLTS_BY_F = (
    (0.0, 8.5), (10.0, 8.7), (20.0, 8.9), (30.0, 9.1), (40.0, 9.3), (50.0, 9.4), (60.0, 9.5), (70.0, 9.6),
)  # fmt: skip
DRAW_LIMIT_MA, WELL_EQUIPPED_DRAW_MA = 50.0, 85.0  # Common practice, several public texts.

AT_REST = (
    "12 V lead-acid at rest for 2 h or more, surface charge removed, about 25 °C. Ends of "
    "the table hold outside it."
)
CARE = care("battery", "12v_short")
OCV = Given("volts", "Voltage at rest", "V", low=0, high=20, example=12.45)


def _charge_says(answer: float, given: Mapping[str, Any]) -> str:
    if answer >= 75:
        then = "Enough for a load test."
    else:
        then = "Charge it before a load test, and warn of frost: a discharged battery may freeze."
    return f"About {figure(answer, digits=3)} % charged. {then}"


@computation(
    "battery.soc_from_ocv",
    "State of charge of a flooded battery from its voltage at rest",
    OCV,
    unit="%",
    formula="table: 12.65 V 100 %, 12.45 V 75 %, 12.24 V 50 %, 12.06 V 25 %, 11.89 V 0 %; linear between",
    source="two public copies of a table credited to the battery makers' council",
    mark="read",
    valid=AT_REST,
    cautions=CARE,
    group=GROUP,
    says=_charge_says,
)
def soc_from_ocv(volts: float) -> float:
    """Return the state of charge of a flooded battery at rest, 0 to 100. [%]"""
    return between(volts, SOC_BY_VOLTS)


@computation(
    "battery.soc_from_ocv_agm",
    "State of charge of an AGM battery from its voltage at rest",
    OCV,
    unit="%",
    formula="table: 12.80 V 100 %, 12.60 V 75 %, 12.30 V 50 %, 12.00 V 25 %, 11.80 V 0 %; linear between",
    source="a usual AGM table; the battery maker's own table wins",
    mark="common practice",
    valid=AT_REST,
    cautions=CARE,
    group=GROUP,
    says=_charge_says,
)
def soc_from_ocv_agm(volts: float) -> float:
    """Return the state of charge of an AGM battery at rest, 0 to 100. [%]"""
    return between(volts, AGM_SOC_BY_VOLTS)


@computation(
    "battery.soc_range_from_ocv",
    "How sure a state of charge is, with the meter's accuracy carried through",
    OCV,
    Given("half_width_volts", "Accuracy of the meter at this reading, ±", "V", low=0, high=2, example=0.03),
    Given("kind", "Battery, flooded if empty", kind="choice", choices=("flooded", "AGM"), optional=True),
    answers={"charge_percent": "%", "low_percent": "%", "high_percent": "%"},
    formula="the table at volts − accuracy, volts, volts + accuracy",
    source="two public copies of a table credited to the battery makers' council; AGM by a usual table",
    mark="read",
    valid=AT_REST,
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: (
        f"Somewhere from {figure(answer['low_percent'], digits=3)} "
        f"to {figure(answer['high_percent'], digits=3)} % charged: "
        "the whole scale is under one volt, so a coarse meter says little."
    ),
)
def soc_range_from_ocv(volts: float, half_width_volts: float, kind: str = "flooded") -> dict[str, float]:
    """Return the state of charge with its lowest and highest value, each 0 to 100. [%]"""
    table = AGM_SOC_BY_VOLTS if kind == "AGM" else SOC_BY_VOLTS
    return {
        "charge_percent": between(volts, table),
        "low_percent": between(volts - half_width_volts, table),
        "high_percent": between(volts + half_width_volts, table),
    }


@computation(
    "battery.soc_from_sg",
    "State of charge of a flooded battery from the specific gravity of its acid",
    Given("sg", "Specific gravity, corrected for temperature", low=0.9, high=1.6, example=1.225),
    unit="%",
    formula="table: 1.265 100 %, 1.225 75 %, 1.190 50 %, 1.155 25 %, 1.120 0 %; linear between",
    source="two public copies of a table credited to the battery makers' council",
    mark="read",
    valid="Flooded cells, corrected to 80 °F. Ends of the table hold outside it.",
    cautions=CARE,
    group=GROUP,
    says=_charge_says,
)
def soc_from_sg(sg: float) -> float:
    """Return the state of charge that a hydrometer shows, 0 to 100. [%]"""
    return between(sg, SOC_BY_SG)


@computation(
    "battery.sg_corrected",
    "Specific gravity as it would read at 80 °F (26.7 °C)",
    Given("sg", "Specific gravity as read", low=0.9, high=1.6, example=1.22),
    *either(-60, 100, "Temperature of the acid", 10),
    unit="",
    formula="+0.004 for each 10 °F above 80 °F, −0.004 below",
    source="three public tables",
    mark="read",
    valid="For a hydrometer's reading only; it is no correction of a voltage.",
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: (
        f"Compare {answer:.3f} with the table; between cells no more than 0.050 apart is usual."
    ),
)
def sg_corrected(sg: float, celsius: float | None = None, fahrenheit: float | None = None) -> float:
    """Return a hydrometer reading corrected to 80 °F. [1]"""
    degrees = _fahrenheit_of(celsius, fahrenheit)
    return sg + SG_EACH_10_F * (degrees - SG_REFERENCE_F) / 10


def _fahrenheit_of(celsius: float | None, fahrenheit: float | None) -> float:
    """The temperature in °F; one that was given in °F is not rounded on the way."""
    in_celsius = celsius_of(celsius, fahrenheit)
    return to_fahrenheit(in_celsius) if fahrenheit is None else fahrenheit


LOAD_TEST_SOURCE = "several public service pages that agree"


@computation(
    "battery.load_test_min_volts",
    "Lowest voltage that a good battery keeps in a load test",
    *either(-90, 120, "Temperature of the battery", 10),
    unit="V",
    formula="table: 70 °F 9.6, 60 9.5, 50 9.4, 40 9.3, 30 9.1, 20 8.9, 10 8.7, 0 8.5; linear between",
    source=LOAD_TEST_SOURCE,
    mark="read",
    valid=(
        "Half the cold-cranking rating for 15 s, charged to 75 % or more first. Ends of "
        "the table hold outside it."
    ),
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: (
        f"At half the cold-cranking rating it must hold {figure(answer)} V to the end of 15 s."
    ),
)
def load_test_min_volts(celsius: float | None = None, fahrenheit: float | None = None) -> float:
    """Return the lowest voltage of a good battery at the end of a load test. [V]"""
    return between(_fahrenheit_of(celsius, fahrenheit), LOAD_TEST_VOLTS_BY_F)


@computation(
    "battery.load_test_amps",
    "Current of a load test",
    Given("cca", "Cold-cranking rating", "A", above=0, high=100_000, example=650),
    unit="A",
    formula="half the cold-cranking rating",
    source=LOAD_TEST_SOURCE,
    mark="read",
    valid="Charged to 75 % or more, 15 s, then let the tester cool.",
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: f"Load it with {figure(answer)} A for 15 s.",
)
def load_test_amps(cca: float) -> float:
    """Return half the cold-cranking rating. [A]"""
    return cca / 2


@computation(
    "battery.parasitic_ah",
    "Charge that a standing draw takes out of the battery",
    Given("mA", "Draw with the vehicle asleep", "mA", low=0, high=1e6, example=50),
    Given("days", "Days of standing", "d", low=0, high=10_000, example=14),
    unit="Ah",
    formula="Q = I × 24 h × days",
    source="charge is current times time",
    mark="computed",
    valid="A draw that stays the same, on top of the battery's own discharge.",
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: f"{figure(answer)} Ah are gone after {figure(given['days'])} days.",
)
def parasitic_ah(mA: float, days: float) -> float:
    """Return the charge that a current takes in so many days. [Ah]"""
    return mA / 1000 * 24 * days


@computation(
    "battery.standing_days",
    "How long a battery stands a draw until it is half empty",
    Given("ah", "Capacity of the battery", "Ah", above=0, high=10_000, example=60),
    Given("mA", "Draw with the vehicle asleep", "mA", above=0, high=1e6, example=320),
    Given("from_percent", "Charged to, 100 % if empty", "%", above=0, high=100, optional=True),
    Given("to_percent", "Until it is at, 50 % if empty", "%", low=0, high=100, optional=True),
    unit="d",
    formula="days = capacity × (from − to) / (I × 24 h)",
    source="charge is current times time",
    mark="computed",
    valid="A battery with its rated capacity; age and cold leave less.",
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: (
        f"It lasts {figure(answer, digits=3)} days at most; age and cold make it fewer."
    ),
)
def standing_days(ah: float, mA: float, from_percent: float = 100.0, to_percent: float = 50.0) -> float:
    """Return the days until a steady draw has brought the charge down. [d]"""
    if to_percent >= from_percent:
        raise Refused(
            "to_percent",
            f"{to_percent:g} % is not below the {from_percent:g} % it starts from.",
            f"0 to below {from_percent:g} %",
        )
    return ah * (from_percent - to_percent) / 100 / (mA / 1000 * 24)


@computation(
    "battery.draw_verdict",
    "Whether a standing draw is usual",
    Given("mA", "Draw with the vehicle asleep", "mA", low=0, high=1e6, example=62),
    answers={"verdict": "", "limit_ma": "mA", "well_equipped_ma": "mA"},
    formula="up to 50 mA usual; to 85 mA on a well-equipped vehicle; above: find it",
    source="several public texts; the maker's figure wins",
    mark="common practice",
    valid="After the modules sleep: 20 to 40 min, on some an hour, with doors latched and keys away.",
    cautions=CARE,
    group=GROUP,
    says=lambda answer, given: {
        "usual": "A usual draw.",
        "usual-if-well-equipped": (
            "More than usual, but seen on well-equipped vehicles: wait longer, look up the maker's figure."
        ),
        "above": "Too much: find the circuit by the drop across its fuse, without waking the vehicle.",
    }[answer["verdict"]],
)
def draw_verdict(mA: float) -> dict[str, str | float]:
    """Return `usual`, `usual-if-well-equipped` or `above`, and the two limits. [mA]"""
    verdict = (
        "usual"
        if mA <= DRAW_LIMIT_MA
        else "usual-if-well-equipped"
        if mA <= WELL_EQUIPPED_DRAW_MA
        else "above"
    )
    return {"verdict": verdict, "limit_ma": DRAW_LIMIT_MA, "well_equipped_ma": WELL_EQUIPPED_DRAW_MA}
