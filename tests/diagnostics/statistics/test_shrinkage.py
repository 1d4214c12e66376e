import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from diagnostics.statistics.shrinkage import (
    BetaPrior,
    GammaPrior,
    beta_prior,
    gamma_prior_of,
    prior_of,
)

UNIT = st.integers(0, 200).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))
UNITS = st.lists(UNIT, min_size=1, max_size=12).filter(lambda units: any(n for _, n in units))
ALIKE = [(6, 100), (5, 90), (7, 110), (6, 101), (6, 99)]
APART = [(1, 100), (12, 100), (3, 90), (20, 110), (6, 100), (2, 60)]


def test_a_shrunken_share_is_that_of_scipy():
    after = BetaPrior(3.5, 60).posterior(4, 31)
    oracle = stats.beta(7.5, 87)

    assert after.mean == pytest.approx(oracle.mean(), rel=1e-13)
    assert after.sd == pytest.approx(oracle.std(), rel=1e-13)
    assert (after.low, after.high) == pytest.approx(oracle.interval(0.95), rel=1e-11)
    assert after.weight_own == pytest.approx(31 / 94.5)


def test_the_spread_between_units_is_found_again():
    # A large made-up shop: true shares spread as Beta(6, 94), 400 jobs each.
    shares = stats.beta(6, 94).ppf([(unit + 0.5) / 300 for unit in range(300)])
    counts = [(round(400 * share), 400) for share in shares]

    found = prior_of(counts)

    assert found.how == "estimated"
    # Rounded expected counts carry no binomial noise: the spread found is less by 1/n.
    spread = 6 * 94 / 100**2 / 101
    noise = 0.06 * 0.94 / 400
    assert found.strength == pytest.approx(0.06 * 0.94 / (spread - noise) * (399 / 400) - 1, rel=0.02)
    assert found.mean == pytest.approx(0.06, rel=0.01)


def test_units_that_differ_no_more_than_chance_all_get_the_share_of_the_shop():
    prior = prior_of(ALIKE)

    assert prior.how == "pooled"
    busy, idle = prior.posterior(6, 100), prior.posterior(0, 1)
    assert busy == idle
    assert busy.mean == 30 / 500
    assert busy.low < busy.mean < busy.high
    assert busy.weight_own == 0


def test_few_units_take_the_fixed_strength():
    assert prior_of([(3, 40), (2, 60)]) == BetaPrior(5.0, 95.0, "fixed")
    assert prior_of([(3, 40), (2, 60), (0, 0)], 50).strength == pytest.approx(50)
    assert 0 < prior_of([(0, 30)]).mean < 0.05


@settings(max_examples=50)
@given(UNITS)
def test_a_shrunken_share_lies_between_its_own_and_the_prior(units):
    prior = prior_of(units)

    for x, n in units:
        after = prior.posterior(x, n)
        assert 0 <= after.low <= after.high <= 1
        assert math.isfinite(after.sd)
        if n:
            ends = sorted((x / n, prior.mean))
            assert ends[0] - 1e-12 <= after.mean <= ends[1] + 1e-12


@settings(max_examples=50)
@given(st.lists(st.tuples(st.integers(0, 60), st.just(0.0) | st.floats(0.01, 40)), min_size=1, max_size=10))
def test_a_shrunken_ratio_lies_between_its_own_and_the_prior(units):
    if not any(expected > 0 for _, expected in units):
        return
    prior = gamma_prior_of(units)

    for observed, expected in units:
        after = prior.posterior(observed, expected)
        assert 0 <= after.low <= after.high < math.inf
        if expected:
            ends = sorted((observed / expected, prior.mean))
            assert ends[0] * (1 - 1e-12) <= after.mean <= ends[1] * (1 + 1e-12)


def test_a_shrunken_ratio_is_that_of_scipy():
    after = GammaPrior(4, 5).posterior(9, 6.5)
    oracle = stats.gamma(13, scale=1 / 11.5)

    assert (after.mean, after.sd) == pytest.approx((oracle.mean(), oracle.std()), rel=1e-13)
    assert (after.low, after.high) == pytest.approx(oracle.interval(0.95), rel=1e-11)


def test_ratios_of_few_of_alike_and_of_unlike_units():
    assert gamma_prior_of([(3, 4.0), (5, 4.0)]) == GammaPrior(6.0, 6.0, "fixed")
    assert gamma_prior_of([(6, 6.0)] * 6).how == "pooled"
    assert gamma_prior_of([(1, 6.0), (14, 6.0), (3, 6.0), (20, 7.0), (2, 5.0)]).how == "estimated"
    assert gamma_prior_of([(0, 2.0)] * 6).posterior(0, 2.0).high > 0


def test_impossible_counts_and_priors_are_refused():
    for counts in ([], [(0, 0)], [(3, 2)]):
        with pytest.raises(ValueError, match="Count at least one job"):
            prior_of(counts)
    with pytest.raises(ValueError, match="Expect something"):
        gamma_prior_of([(1, 0.0)])
    with pytest.raises(ValueError, match="is no share"):
        BetaPrior(1, 1).posterior(3, 2)
    with pytest.raises(ValueError, match="0 or more"):
        GammaPrior(1, 1).posterior(-1, 2)
    for mean, sd in ((0, 0.1), (0.5, 0.5), (0.5, 0)):
        with pytest.raises(ValueError, match=r"must be|lies between"):
            beta_prior(mean, sd)
