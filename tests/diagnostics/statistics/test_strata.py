"""Groups compared within strata, against published tables and what one stratum must give."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.statistics.proportions import Difference
from diagnostics.statistics.ratios import Ratio, katz, odds_ratio
from diagnostics.statistics.strata import (
    Stratum,
    Test,
    breslow_day,
    informative,
    mantel_fleiss,
    mh_difference,
    mh_odds,
    mh_ratio,
    mh_test,
)


def of(*tables):
    return [Stratum(a, a + b, c, c + d) for (a, b), (c, d) in tables]


# Rothman, Greenland and Lash 2008, Modern Epidemiology, table 15-1 (deaths, two treatments, by age);
# intervals at 90 %. Read in metafor, tests/testthat/test_analysis_example_rothman2008.r.
ROTHMAN = of([[8, 98], [5, 115]], [[22, 76], [16, 69]])
# Read in statsmodels 0.15, test_contingency_tables.py (R DescTools, BreslowDayTest and mantelhaen.test).
FIVE = of([[20, 14], [10, 24]], [[15, 12], [3, 15]], [[3, 2], [3, 2]], [[12, 3], [7, 5]], [[1, 0], [3, 2]])
SIX = of(
    [[313, 512], [19, 89]], [[207, 353], [8, 17]], [[205, 120], [391, 202]],
    [[278, 139], [244, 131]], [[138, 53], [299, 94]], [[351, 22], [317, 24]],
)  # fmt: skip
STRATUM = st.tuples(st.integers(1, 300), st.integers(1, 300)).flatmap(
    lambda sizes: st.builds(
        Stratum, st.integers(0, sizes[0]), st.just(sizes[0]), st.integers(0, sizes[1]), st.just(sizes[1])
    )
)


def test_the_published_pooled_ratio_and_difference():
    ratio, apart, odds = mh_ratio(ROTHMAN, 0.9), mh_difference(ROTHMAN, 0.9), mh_odds(ROTHMAN, 0.9)

    assert [round(end, 4) for end in (apart.value, apart.low, apart.high)] == [0.0349, -0.0176, 0.0874]
    assert [round(end, 4) for end in (ratio.value, ratio.low, ratio.high)] == [1.3256, 0.8658, 2.0296]
    assert [round(end, 4) for end in (odds.value, odds.low, odds.high)] == [1.4031, 0.8411, 2.3409]
    assert rounded(breslow_day(ROTHMAN), 4) == (0.3489, 0.5547)


@pytest.mark.parametrize(
    ("strata", "tested", "plain", "corrected"),
    [
        (FIVE, (11.8852, 0.0006), (1.8438, 0.7645), (1.8436, 0.7645)),
        (SIX, (1.3368, 0.2476), (18.8330, 0.0021), (18.8330, 0.0021)),
    ],
)
def test_the_published_tests(strata, tested, plain, corrected):
    assert rounded(mh_test(strata), 4) == tested
    assert rounded(breslow_day(strata, corrected=False), 4) == plain
    assert rounded(breslow_day(strata), 4) == corrected


def rounded(test, digits):
    return round(test.chi2, digits), round(test.p, digits)


def test_the_gate_counts_how_far_the_first_cell_could_move():
    # By hand: 4 of 10 and 1 of 30; expected 1.25, at least 0, at most 5.
    assert mantel_fleiss([Stratum(4, 10, 1, 30)]) == 1.25
    assert mantel_fleiss([]) == 0


def test_strata_with_one_group_only_say_nothing():
    lone = [Stratum(3, 9, 0, 0), Stratum(0, 0, 4, 5)]

    assert informative(lone) == ()
    assert mh_ratio(ROTHMAN + lone) == mh_ratio(ROTHMAN)
    assert mh_difference(ROTHMAN + lone) == mh_difference(ROTHMAN)
    assert mh_odds(ROTHMAN + lone) == mh_odds(ROTHMAN)
    assert mh_test(ROTHMAN + lone) == mh_test(ROTHMAN)
    assert breslow_day(ROTHMAN + lone) == breslow_day(ROTHMAN)
    assert mantel_fleiss(ROTHMAN + lone) == mantel_fleiss(ROTHMAN)


def test_what_the_strata_leave_undefined():
    assert mh_ratio([]) == mh_odds([]) == Ratio(None, None, None)
    assert mh_ratio([Stratum(0, 9, 2, 9)]) == mh_odds([Stratum(0, 9, 2, 9)]) == Ratio(0.0, None, None)
    assert mh_ratio([Stratum(2, 9, 0, 9)]) == mh_odds([Stratum(2, 9, 0, 9)]) == Ratio(None, None, None)
    assert mh_test([Stratum(0, 9, 0, 9)]) == breslow_day([Stratum(3, 9, 2, 9)]) == Test(None, None)
    with pytest.raises(ValueError, match="cannot be compared"):
        mh_difference([Stratum(1, 2, 0, 0)])
    with pytest.raises(ValueError, match="cannot be counts"):
        informative([Stratum(3, 2, 0, 1)])


def test_no_event_at_all_is_no_certainty():
    # 0 of 10 against 0 of 20: Newcombe 1998, Statistics in Medicine 17:873, from memory.
    found = mh_difference([Stratum(0, 4, 0, 15), Stratum(0, 6, 0, 5)])

    assert (found.value, round(found.low, 4), round(found.high, 4)) == (0, -0.1611, 0.2775)


def test_within_half_a_job_of_what_is_expected_nothing_is_tested():
    assert mh_test([Stratum(2, 10, 2, 10)]) == Test(0.0, 1.0)


@settings(max_examples=50)
@given(STRATUM)
def test_one_stratum_gives_the_crude_values(one):
    ratio, odds, apart = mh_ratio([one]), mh_odds([one]), mh_difference([one])
    p1, p0 = one.a / one.n1, one.c / one.n0

    assert apart.value == pytest.approx(p1 - p0, abs=1e-12)
    assert apart.low <= apart.value <= apart.high
    if one.a and one.c:
        crude = katz(*one)
        assert (ratio.value, ratio.low, ratio.high) == pytest.approx(
            (crude.value, crude.low, crude.high), rel=1e-7
        )
    if min(one.a, one.n1 - one.a, one.c, one.n0 - one.c) > 0:
        crude = odds_ratio(one.a, one.n1 - one.a, one.c, one.n0 - one.c)
        assert (odds.value, odds.low, odds.high) == pytest.approx(
            (crude.value, crude.low, crude.high), rel=1e-9
        )
        # With one stratum Sato's variance is that of the two shares.
        half = 1.959963984540054 * math.sqrt(p1 * (1 - p1) / one.n1 + p0 * (1 - p0) / one.n0)
        assert apart == clipped(p1 - p0, half)


def clipped(value, half):
    low, high = max(-1.0, value - half), min(1.0, value + half)
    return Difference(*(pytest.approx(end, abs=1e-9) for end in (value, low, high)))


@settings(max_examples=50)
@given(st.lists(STRATUM, min_size=1, max_size=6))
def test_the_groups_can_be_turned(strata):
    turned = [Stratum(one.c, one.n0, one.a, one.n1) for one in strata]
    ratio, other = mh_ratio(strata), mh_ratio(turned)

    assert mh_difference(strata).value == pytest.approx(-mh_difference(turned).value, abs=1e-12)
    assert (mh_test(strata).chi2 or 0) == pytest.approx(mh_test(turned).chi2 or 0, rel=1e-9, abs=1e-12)
    assert mantel_fleiss(strata) == pytest.approx(mantel_fleiss(turned), abs=1e-9)
    if ratio.low is not None and other.low is not None:
        assert ratio.low == pytest.approx(1 / other.high, rel=1e-9)
        assert ratio.low <= ratio.value <= ratio.high


@settings(max_examples=30)
@given(st.lists(STRATUM, min_size=1, max_size=6))
def test_twice_the_jobs_halve_the_variance(strata):
    once, twice = mh_ratio(strata), mh_ratio(strata * 2)

    if once.low:
        assert twice.value == pytest.approx(once.value, rel=1e-12)
        width = math.log(once.high / once.low)
        assert math.log(twice.high / twice.low) == pytest.approx(width / math.sqrt(2), rel=1e-6, abs=1e-9)
