"""One reading judged: the place, the proof, the sentence, repeats, and limits in other units."""

from decimal import Decimal
from fractions import Fraction

import pytest
from scipy import stats
from uncertainties import ufloat

from diagnostics.metrology import judge
from diagnostics.metrology.asked import judge_typed
from diagnostics.metrology.verdict import rounded_up
from shared.computing import Refused
from shared.quantities import Question


@pytest.mark.parametrize(
    ("reading", "verdict", "words"),
    [
        ("12.60 V", "within", "within, proved"),
        ("12.45 V", "not_proved", "within, not proved"),
        ("12.38 V", "not_proved", "outside, not proved"),
        ("12.20 V", "outside", "outside, proved"),
    ],
)
def test_a_reading_is_within_outside_or_neither_is_proved(reading, verdict, words):
    found = judge_typed(reading, low="12.4", unit="V", accuracy="0.5 % + 2").judgement

    assert (found.verdict, found.words) == (verdict, words)


def test_the_sentence_says_distance_uncertainty_whose_limit_and_probability():
    found = judge_typed(
        "12.45 V", low="12.4", unit="V", accuracy="0.5 % + 2", resolution="0.01", whose="battery maker"
    ).judgement

    assert found.why.replace("\u00a0", " ") == (
        "The reading 12.45 V lies 0.05 V inside the limit 12.4 V (battery maker), no farther than its "
        "uncertainty of 0.095 V (k = 2) can hide, so neither within nor outside is proved; the probability "
        "that it conforms is 85 %."
    )


def test_probability_and_uncertainty_agree_with_outside_libraries():
    found = judge_typed("12.45 V", low="12.4", unit="V", accuracy="0.5 % + 2", resolution="0.01").judgement

    u = (12.45 * 0.005 + 0.02) / 3**0.5
    assert found.u == pytest.approx(u)
    assert found.p == pytest.approx(stats.norm.sf(12.4, 12.45, u))


def test_repeats_are_averaged_and_their_scatter_is_combined():
    found = judge_typed(
        "12.61 V", repeats=["12.62", "12.60 V", "12630 mV"], low="12.4", unit="V", accuracy="0.5 % + 2"
    ).judgement

    spec = (12.615 * 0.005 + 0.02) / 3**0.5
    theirs = ufloat(0, spec) + ufloat(0, stats.sem([12.61, 12.62, 12.60, 12.63]))
    assert (found.value, found.n) == (Decimal("12.615"), 4)
    assert found.u == pytest.approx(theirs.std_dev)
    assert found.why.startswith("The mean")


def test_limits_may_be_in_another_unit_of_the_kind():
    found = judge_typed("200 kPa", low="29", high="35", unit="psi", U="1 kPa").judgement

    assert (found.unit, found.side, found.conformity) == ("kPa", "within", "not-proved")
    assert float(found.lower) == pytest.approx(199.9479615, abs=1e-6)
    assert "199.948 to 241.317" in found.limits_words


def test_a_lower_limit_in_mpg_is_an_upper_one_in_litres():
    found = judge_typed("8 L/100 km", low="30", unit="mpg", U="0.1 L/100 km").judgement

    assert (found.lower, found.side, found.conformity) == (None, "above", "not-conform")


def test_a_tolerance_typed_with_the_reading_is_its_expanded_uncertainty():
    found = judge_typed("-5.47 ± 0.1 V", high="-5.4", unit="V").judgement

    # JCGM 106:2012 7.3.3 example 1 (from memory): u = 0.05, probability 0.92.
    assert (found.u, round(found.p, 2)) == (0.05, 0.92)


def test_without_any_accuracy_the_step_of_the_last_digit_counts():
    found = judge_typed("12.5 V", low="12.4", unit="V").judgement

    assert found.u == pytest.approx(0.1 / 2 / 3**0.5)
    assert found.conformity == "conform"


def test_acceptance_limits_lie_inside_by_the_guard_band():
    found = judge_typed("12.6", low="12.4", high="12.9", unit="V", U="0.1").judgement

    assert (found.accept_from, found.accept_to) == pytest.approx((12.5, 12.8))
    assert found.is_small


def test_equality_with_the_guarded_limit_conforms():
    found = judge_typed("12.5", low="12.4", unit="V", U="0.1").judgement

    assert found.conformity == "conform"


def test_what_the_answer_holds_has_stable_keys():
    keys = judge_typed("12.6 V", low="12.4", unit="V", accuracy="0.5 % + 2").as_dict()

    assert list(keys) == [
        "typed", "resolution", "accuracy", "value", "unit", "low", "high", "whose", "n", "verdict",
        "conformity", "side", "probability", "u", "U", "k", "accept_from", "accept_to", "rule", "guard_band",
        "simple_acceptance_open", "why",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"reading": "12.6 V"}, "No limit is given"),
        ({"reading": "12.6 V", "low": "13", "high": "12"}, "below the lower limit"),
        ({"reading": "OL", "low": "12"}, "does not say on which side"),
        ({"reading": "< 12.6", "low": "12"}, "does not say on which side"),
        ({"reading": "12.6", "low": "12", "k": 0}, "no coverage factor"),
        ({"reading": "12.6", "low": "12-13"}, "is not one number"),
    ],
)
def test_what_cannot_be_judged_is_refused(given, says):
    with pytest.raises(Refused, match=says):
        judge_typed(unit="V", **given)


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ({"reading": "12.6 A", "low": "12"}, "unit_of_another_kind"),
        ({"reading": "12310", "low": "12.4"}, "prefix_slip"),
        ({"reading": "12.6", "low": "12", "accuracy": "0.05"}, "counts_or_unit"),
        ({"reading": "12.6", "low": "12", "accuracy": "1 % FS"}, "range_missing"),
        ({"reading": "12.2-12.6", "low": "12.4"}, "range_across_limit"),
        ({"reading": "1,200", "low": "12.4"}, "comma_unclear"),
    ],
)
def test_what_is_not_clear_is_asked(given, code):
    with pytest.raises(Question) as asked:
        judge_typed(unit="V", **given)

    assert asked.value.code == code


def test_limits_of_another_kind_are_refused():
    with pytest.raises(Refused, match="limits are in psi"):
        judge([Decimal(1)], "V", lower=Decimal(0), limit_unit="psi", U=Fraction(1))


@pytest.mark.parametrize(
    ("value", "shown"), [(0.0941, "0.095"), (0.1, "0.10"), (0.1001, "0.11"), (1234.0, "1300"), (0.0, "0")]
)
def test_an_uncertainty_is_rounded_up_to_two_digits(value, shown):
    assert str(rounded_up(value)) in (shown, shown.rstrip("0"))
