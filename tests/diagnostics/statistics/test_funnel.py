import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from diagnostics.statistics.funnel import (
    binomial_limits,
    interpolated_limit,
    overdispersion,
    ratio_limits,
)


def test_the_published_limits_of_observed_over_expected():
    # NHS-R community, FunnelPlotR, tests/testthat/test-poisson_limits.R. Read.
    limits = [ratio_limits(expected, alpha) for alpha in (0.05, 0.002) for expected in (15, 20, 30)]

    assert [round(low, 7) for low, _ in limits] == [
        0.5596924, 0.6108260, 0.6746958, 0.3862650, 0.4479107, 0.5289724,
    ]  # fmt: skip
    assert [round(high, 6) for _, high in limits] == [
        1.649348,
        1.544419,
        1.427562,
        2.082907,
        1.902094,
        1.702771,
    ]


@settings(max_examples=50)
@given(st.floats(0.001, 0.999), st.integers(1, 3000), st.sampled_from([0.0005, 0.025, 0.975, 0.9995]))
def test_scipy_gives_the_same_interpolated_limit(p, n, share):
    law = stats.binom(n, p)
    r, limit = interpolated_limit(p, n, share)

    # The fewest with the share at or below, and the place between it and one fewer.
    assert law.cdf(r) >= share * (1 - 1e-9)
    assert r == 0 or law.cdf(r - 1) < share * (1 + 1e-9)
    oracle = max(0, r - (law.cdf(r) - share) / law.pmf(r)) / n
    assert limit == pytest.approx(oracle, rel=1e-9, abs=1e-9 / n)


def test_limits_close_in_on_the_share_of_the_shop():
    few, many, most = (binomial_limits(0.06, n, 0.05) for n in (20, 2000, 1_000_000))

    assert few[0] == 0 < many[0] < most[0] < 0.06 < most[1] < many[1] < few[1]
    assert most == pytest.approx(stats.norm(0.06, (0.06 * 0.94 / 1e6) ** 0.5).interval(0.95), abs=1e-6)
    assert binomial_limits(0, 9, 0.05) == (0, 0)
    assert binomial_limits(1, 9, 0.05) == (1, 1)


def test_units_spread_by_chance_alone_are_not_over():
    alike = overdispersion([(6, 100)] * 10)
    apart = overdispersion([(1, 100), (20, 100), (2, 100), (25, 100), (3, 90), (15, 80)])

    assert (alike.phi, alike.tau2, alike.is_over) == (0, 0, False)
    assert apart.is_over
    assert apart.phi > 2
    assert apart.tau2 > 0
    assert not overdispersion([(3, 10)]).is_over


def test_overdispersion_by_hand():
    # Two units of 100, untrimmed: z = (asin(sqrt(p)) - asin(sqrt(0.5))) 2 sqrt(100), p of 0.25 and 0.75.
    found = overdispersion([(25, 100), (75, 100)], trim=0)

    assert found.phi == pytest.approx((3.141592653589793 / 12 * 20) ** 2)
    assert found.tau2 == pytest.approx((2 * found.phi - 1) / 400)


def test_impossible_limits_are_refused():
    for values in ((0.1, 0, 0.05), (1.1, 5, 0.05), (0.1, 5, 0)):
        with pytest.raises(ValueError, match="A funnel needs"):
            binomial_limits(*values)
    for values in ((0, 0.05), (5, 1)):
        with pytest.raises(ValueError, match="A funnel needs"):
            ratio_limits(*values)
