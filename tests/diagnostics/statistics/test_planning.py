"""Planning a comparison and judging it, however often one looks."""

import warnings

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import fisher_exact

from diagnostics.statistics.agreement import kappa
from diagnostics.statistics.planning import before_after, jobs_a_side


def test_jobs_a_side_are_those_of_the_practice():
    # practice.md section 8: to see 8 % fall to 4 % takes about 553 orders on each side.
    assert jobs_a_side(0.08, 0.04) == jobs_a_side(0.04, 0.08) == 553


@pytest.mark.parametrize(("p2", "jobs"), [(0.12, 348), (0.09, 1199), (0.18, 108)])
def test_other_tables_differ_by_a_few_in_100(p2, jobs):
    # statistics.md section 3.1, measured there by the variance-stabilised formula.
    assert jobs_a_side(0.06, p2) == pytest.approx(jobs, rel=0.06)


def test_a_change_to_the_same_share_is_refused():
    with pytest.raises(ValueError, match="cannot be seen"):
        jobs_a_side(0.06, 0.06)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 30), st.integers(0, 30))
def test_the_chance_is_fishers_with_half_of_the_point(x0, x1):
    found = before_after((x0, 30), (x1, 30), hoped=(0.08, 0.04))
    table = [[x1, 30 - x1], [x0, 30 - x0]]
    below, above = (fisher_exact(table, alternative=side).pvalue for side in ("less", "greater"))

    assert found.p_better + found.p_worse == pytest.approx(1.0)
    assert found.p_better == pytest.approx((below + 1 - above) / 2)


def test_few_jobs_cannot_tell_and_say_how_many_are_missing():
    found = before_after((6, 70), (2, 61), hoped=(0.08, 0.04))

    assert (found.verdict, found.more, found.needed) == ("cannot_tell", None, 553)
    assert before_after((44, 553), (2, 61), hoped=(0.08, 0.04)).more == 553 - 61


def test_enough_jobs_tell():
    assert before_after((44, 553), (16, 553), hoped=(0.08, 0.04)).verdict == "helped"
    assert before_after((16, 553), (44, 553), hoped=(0.08, 0.04)).verdict == "worse"
    assert before_after((44, 553), (40, 553), hoped=(0.08, 0.04)).verdict == "no_difference"
    assert before_after((60, 200), (110, 200), hoped=(0.3, 0.5), lower_is_better=False).verdict == "helped"


def test_a_change_that_did_nothing_is_seldom_called_helpful_though_looked_at_every_month():
    chance = np.random.default_rng(11)
    called = 0
    for _ in range(120):
        before = (int(chance.binomial(553, 0.08)), 553)
        months = chance.binomial(46, 0.08, size=24).cumsum()
        called += any(
            before_after(before, (int(x), 46 * (m + 1)), hoped=(0.08, 0.04)).verdict == "helped"
            for m, x in enumerate(months)
        )

    assert called / 120 <= 0.05


def test_agreement_is_that_of_statsmodels():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from statsmodels.stats.inter_rater import cohens_kappa

        theirs = cohens_kappa(np.array([[20, 5, 1], [3, 15, 4], [2, 1, 9]]))
    table = {("D", "D"): 20, ("D", "W"): 5, ("D", "P"): 1, ("W", "D"): 3, ("W", "W"): 15, ("W", "P"): 4}
    table |= {("P", "D"): 2, ("P", "W"): 1, ("P", "P"): 9}
    found = kappa(pair for pair, n in table.items() for _ in range(n))

    assert (found.kappa, found.low, found.high) == pytest.approx(
        (theirs.kappa, theirs.kappa_low, theirs.kappa_upp), rel=1e-9
    )
    assert (found.agreed.count, found.n) == (44, 60)


def test_one_code_throughout_has_no_agreement_beyond_chance():
    assert kappa([("D1", "D1")] * 9).kappa is None
    assert kappa([]) is None
