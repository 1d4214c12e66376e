"""The intervals hold the truth as often as they say. Bounds: 93 to 97 % over 500 shops."""

import pytest

from tests.shops_proof import measure
from tests.shops_proof.shops import simulate

FEWEST, MOST = 0.93, 0.97


@pytest.fixture(scope="module")
def shops():
    return simulate(2000, 500, 2000)


@pytest.mark.parametrize("of", [measure.rate, measure.curve, measure.stratified])
def test_a_95_percent_interval_holds_the_truth_93_to_97_times_in_100(shops, of):
    found = of(shops)

    assert FEWEST <= found.coverage <= MOST, found
    assert found.mean == pytest.approx(found.truth, rel=0.03)


def test_the_naive_rate_is_too_low(shops):
    assert measure.naive(shops).mean < 0.96 * shops.rate


def test_leaving_that_nobody_wrote_down_lowers_the_curve(shops):
    found = measure.curve_unseen(shops)

    assert found.mean == pytest.approx(shops.rate, rel=0.01)
    assert found.mean < 0.995 * shops.curve_at_window


def test_equally_good_technicians_are_set_apart_by_their_rate_but_seldom_by_their_job_mix():
    found = measure.blamed(simulate(23, 100, 2000))

    assert found.crude > 0.2
    assert found.by_mix <= 0.07


def test_a_crude_ratio_blames_the_step_for_the_hard_jobs(shops):
    found = measure.crude(shops)

    assert found.mean > 1.15 * found.truth
    assert found.coverage < 0.5


def test_a_step_that_does_not_matter_is_not_blamed_in_strata():
    harmless = simulate(17, 100, 2000, risk_ratio=1.0)

    assert measure.stratified(harmless).mean == pytest.approx(1.0, abs=0.06)
    assert measure.crude(harmless).mean > 1.2


@pytest.mark.slow
@pytest.mark.parametrize("jobs", [400, 800])
def test_smaller_shops_too(jobs):
    shops = simulate(jobs, 500, jobs)
    # A Mantel-Haenszel interval of few comebacks is careful rather than bold.
    assert FEWEST <= measure.rate(shops).coverage <= 0.98
    assert FEWEST <= measure.curve(shops).coverage <= 0.98
    assert FEWEST <= measure.stratified(shops).coverage <= 0.99


@pytest.mark.slow
@pytest.mark.parametrize(
    ("share", "hoped"), [(0.08, (0.08, 0.04)), (0.06, (0.08, 0.04)), (0.12, (0.12, 0.06))]
)
def test_a_change_that_did_nothing_is_called_helpful_at_most_5_times_in_100(share, hoped):
    assert measure.called_helpful(5, 500, share=share, hoped=hoped) <= 0.05
