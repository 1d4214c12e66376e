import pytest

from diagnostics.sums.network_voltages import CAN_WORDS, KLINE_WORDS
from shared.computing import compute, registry


@pytest.mark.parametrize(
    ("canh", "canl", "moves", "verdict"),
    [
        # The pictures of trade-values.md section 3.5, common practice.
        (2.6, 2.4, True, "normal-traffic"),
        (2.7, 2.3, True, "normal-traffic"),
        (2.5, 2.5, False, "alive-but-silent"),
        (0.02, 0.01, False, "asleep-or-shorted-to-ground"),
        (0.0, 1.8, False, "high-shorted-to-ground"),
        (12.1, 2.4, False, "short-to-power"),
        (2.6, 11.6, True, "short-to-power"),
        (0.9, 0.0, True, "low-shorted-to-ground"),
        (3.4, 1.2, True, "inconclusive"),
        (3.4, 1.2, False, "inconclusive"),
    ],
)
def test_a_pair_of_averages_has_its_verdict(canh, canl, moves, verdict):
    given = {"canh": canh, "canl": canl, "moves": moves, "vbat": 12.6}

    assert compute("net.can_reading", given) == verdict


@pytest.mark.parametrize(
    ("volts", "tool", "verdict"),
    [
        # trade-values.md section 3.4; 30 and 70 % of battery from ISO 14230-1.
        (12.2, True, "near-battery"),
        (12.2, False, "near-battery"),
        (0.1, True, "shorted-or-no-supply"),
        (0.1, False, "at-ground-tool-off"),
        (6.0, True, "between"),
    ],
)
def test_a_steady_k_line_has_its_verdict(volts, tool, verdict):
    assert compute("net.kline_verdict", {"volts": volts, "tool": tool, "vbat": 12.4}) == verdict


@pytest.mark.parametrize(
    ("bus", "volts", "level"),
    [
        ("K line", 2.9, "dominant"),
        ("K line", 3.0, "undefined"),
        ("K line", 7.0, "undefined"),
        ("K line", 7.1, "recessive"),
        ("LIN", 3.9, "dominant"),
        ("LIN", 4.0, "undefined"),
        ("LIN", 6.0, "undefined"),
        ("LIN", 6.1, "recessive"),
    ],
)
def test_a_level_is_a_part_of_the_supply(bus, volts, level):
    assert compute("net.line_level", {"bus": bus, "volts": volts, "vbat": 10}) == level


def test_a_shorted_k_line_draws_about_24_milliamperes_from_a_tool():
    # trade-values.md section 3.4: about 24 mA through 510 ohm at 12.4 V.
    assert compute("net.kline_short_current", {"vbat": 12.4}) == pytest.approx(0.0243, abs=5e-5)


def test_every_verdict_has_its_words():
    for name, words in (("net.can_reading", CAN_WORDS), ("net.kline_verdict", KLINE_WORDS)):
        says = registry()[name].says
        assert [says(verdict, {}) for verdict in words] == list(words.values())
