import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.computing import Refused, compute, registry


@pytest.mark.parametrize(
    ("pin", "use"),
    [
        # SAE J1962, three public tables.
        (2, "J1850 bus + (PWM and VPW)"),
        (6, "CAN high (ISO 15765-4)"),
        (7, "K line (ISO 9141-2, ISO 14230-4)"),
        (10, "J1850 bus - (PWM only)"),
        (14, "CAN low (ISO 15765-4)"),
        (16, "battery positive, unswitched"),
        (3, "maker's choice"),
    ],
)
def test_a_pin_has_the_use_of_the_standard(pin, use):
    assert compute("net.connector_pin", {"pin": pin}) == use


@pytest.mark.parametrize(
    ("ohms", "expected"),
    [([120, 120], 60), ([120], 120), ([120, 120, 120], 40), ([120, 0], 0), ([60, 30], 20)],
)
def test_resistors_across_the_pair_are_in_parallel(ohms, expected):
    assert compute("net.can_resistance", {"ohms": ohms}) == pytest.approx(expected, abs=1e-9)


@given(st.lists(st.floats(0.1, 1e6), min_size=1, max_size=10))
def test_a_parallel_resistance_is_at_most_the_least(ohms):
    assert compute("net.can_resistance", {"ohms": ohms}) <= min(ohms)


def test_control_units_lower_the_resistance_a_little():
    # By hand: 1 / (2/120 + 8/30000) = 59.055.
    assert compute("net.can_bus_ohms", {"terminators": 2, "units": 8}) == pytest.approx(59.055, abs=0.001)


@pytest.mark.parametrize(
    ("ohms", "verdict"),
    [
        # Bands of common practice, trade-values.md section 3.5, each at its edges.
        (0, "shorted-together"),
        (4.99, "shorted-together"),
        (5, "too-many-terminators-or-partial-short"),
        (49.99, "too-many-terminators-or-partial-short"),
        (50, "ok"),
        (60.4, "ok"),
        (70, "ok"),
        (70.01, "inconclusive"),
        (88, "inconclusive"),
        (109.99, "inconclusive"),
        (110, "one-terminator-missing"),
        (119.2, "one-terminator-missing"),
        (130, "one-terminator-missing"),
        (130.1, "inconclusive"),
        (1000, "inconclusive"),
        (1000.1, "both-terminators-missing"),
        (24000, "both-terminators-missing"),
    ],
)
def test_a_resistance_across_the_pair_falls_into_its_band(ohms, verdict):
    assert compute("net.can_term_verdict", {"ohms": ohms}) == verdict


@pytest.mark.parametrize(
    ("canh", "canl", "state"),
    [
        # Receiver thresholds of 0.9 V and 0.5 V: data sheet SLLSFP9 and a public training page.
        (3.5, 1.5, "dominant"),
        (2.9, 2.0, "dominant"),  # 0.9 V on paper, a little less in binary.
        (2.9, 2.2, "undefined"),
        (2.5, 2.5, "recessive"),
        (2.8, 2.3, "recessive"),
        (2.81, 2.3, "undefined"),
        (2.0, 2.5, "recessive"),
    ],
)
def test_the_difference_of_the_wires_says_the_state(canh, canl, state):
    assert compute("net.can_state", {"canh": canh, "canl": canl}) == state


@pytest.mark.parametrize(
    ("values", "verdict"),
    [
        # Rule of trade-values.md section 3.4: levels read, verdicts common practice.
        ({"volts": 12.4, "vbat": 12.6}, "short-to-power"),
        ({"volts": 11.6, "vbat": 12.6}, "short-to-power"),
        ({"volts": 11.59, "vbat": 12.6}, "held-active"),
        ({"volts": 0.02, "vbat": 12.6}, "idle-or-short-to-ground"),
        ({"volts": 0.5, "vbat": 12.6}, "idle-or-short-to-ground"),
        ({"volts": 0.51, "vbat": 12.6}, "floating-or-resistive-fault"),
        ({"volts": 6, "vbat": 12.6}, "floating-or-resistive-fault"),
        ({"volts": 6.01, "vbat": 12.6}, "held-active"),
        ({"volts": 3.2, "vbat": 12.6, "toggles": False}, "floating-or-resistive-fault"),
        ({"toggles": True, "high": 7.0, "low": 0.1, "vbat": 12.6}, "normal-traffic"),
        ({"toggles": True, "high": 4.25, "low": 3.5}, "normal-traffic"),
        ({"toggles": True, "high": 4.24, "low": 3.6}, "weak-high"),
        ({"toggles": True, "high": 7.0, "low": 3.51}, "low-not-reached"),
    ],
)
def test_a_single_wire_bus_is_judged_by_its_voltage(values, verdict):
    assert compute("net.vpw_bus_verdict", values) == verdict


@pytest.mark.parametrize(
    ("name", "values", "field", "words"),
    [
        ("connector_pin", {"pin": 17}, "pin", "outside the range"),
        ("can_resistance", {"ohms": []}, "ohms", "at least 1"),
        ("can_resistance", {"ohms": [-1]}, "ohms", "outside the range"),
        ("can_bus_ohms", {"terminators": 0}, "terminators", "no figure"),
        ("can_term_verdict", {"ohms": -0.1}, "ohms", "outside the range"),
        ("can_state", {"canh": 3.5}, "canl", "missing"),
        ("vpw_bus_verdict", {"volts": 3}, "vbat", "judged by its voltage"),
        ("vpw_bus_verdict", {"vbat": 12}, "volts", "judged by its voltage"),
        ("vpw_bus_verdict", {"toggles": True, "high": 7}, "low", "tops and its bottoms"),
        ("vpw_bus_verdict", {"toggles": True, "high": 1, "low": 7}, "low", "above tops"),
    ],
)
def test_what_cannot_be_judged_is_refused_by_field(name, values, field, words):
    with pytest.raises(Refused, match=words) as refusal:
        compute(f"net.{name}", values)

    assert refusal.value.field == field
    assert refusal.value.allowed


def test_each_verdict_is_put_in_words():
    found = registry()["net.can_term_verdict"]

    for ohms in (1, 20, 60, 90, 120, 5000):
        assert "ohm" in found.says(found.answer({"ohms": ohms}), {"ohms": ohms}) or ohms == 90


def test_every_network_sum_on_the_page_has_a_caution_or_needs_no_probe():
    shown = [found for name, found in registry().items() if name.startswith("net.") and found.group]

    assert [found.name for found in shown if not found.cautions] == ["net.vpw_symbol"]
