"""Charts and running sums; the examples of the NIST handbook stand in tests/published."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.statistics.charts import (
    bernoulli_cusum,
    c_chart,
    p_chart,
    run_length,
    threshold_for,
    weights,
)


def simulated(p, *, base=0.06, ratio=2.0, h=3.0, runs=4000):
    """How many outcomes until the sum calls, for many runs at once."""
    chance = np.random.default_rng(7)
    event, none = weights(base, ratio)
    sums, lengths, alive, step = np.zeros(runs), np.zeros(runs), np.ones(runs, bool), 0
    while alive.any():
        step += 1
        sums = np.maximum(0.0, sums + np.where(chance.random(runs) < p, event, none))
        hit = alive & (sums >= h)
        lengths[hit] = step
        alive &= ~hit
    return lengths


def test_what_an_outcome_adds_is_as_the_practice_says():
    # practice.md section 8: +0.635 a comeback, -0.058 a clean order.
    assert weights(0.06, 2.0) == pytest.approx((0.635, -0.058), abs=5e-4)


def test_a_false_call_comes_as_seldom_as_the_practice_says():
    # practice.md section 8, simulated there: about every 1300 orders; a real doubling after about 111.
    assert run_length(0.06, 2.0, 3.0, 0.06) == pytest.approx(1300, rel=0.05)
    assert run_length(0.06, 2.0, 3.0, 2 * 0.06 / 1.06) == pytest.approx(111, rel=0.05)


def test_the_run_length_is_that_of_simulation():
    lengths = simulated(2 * 0.06 / 1.06)

    assert run_length(0.06, 2.0, 3.0, 2 * 0.06 / 1.06) == pytest.approx(lengths.mean(), rel=0.04)
    assert np.median(lengths) == pytest.approx(92, rel=0.05)  # practice.md section 8.


def test_a_threshold_is_chosen_for_how_seldom_it_may_call_falsely():
    assert threshold_for(0.06, 2.0, 1300) == pytest.approx(3.0, abs=0.05)
    with pytest.raises(ValueError, match="No threshold"):
        threshold_for(0.001, 1.01, 1e300)


def test_small_groups_get_exact_limits():
    points = p_chart([1, 0, 9], [20, 20, 200]).points

    assert [point.is_exact for point in points] == [True, True, False]
    assert points[0].low == 0.0


def test_a_group_left_out_does_not_move_the_centre():
    assert p_chart([5, 5, 40], [50, 50, 50], exclude=[3]).center == pytest.approx(0.1)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(0, 50), min_size=2, max_size=12))
def test_groups_of_one_size_are_the_closed_form(counts):
    chart = p_chart(counts, [50] * len(counts), exact=False)
    center = sum(counts) / (50 * len(counts))
    wide = 3 * (center * (1 - center) / 50) ** 0.5

    assert chart.center == pytest.approx(center)
    assert [point.low for point in chart.points] == pytest.approx([max(0, center - wide)] * len(counts))
    assert [point.high for point in chart.points] == pytest.approx([min(1, center + wide)] * len(counts))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(0, 1), max_size=60))
def test_the_sum_is_never_below_nothing_and_calls_once(outcomes):
    found = bernoulli_cusum(outcomes, 0.06, 2.0, 1.0)

    assert min(found.path, default=0.0) >= 0.0
    first = next((place for place, now in enumerate(found.path, 1) if now >= 1.0), None)
    assert found.first_signal == first


@pytest.mark.parametrize(
    "wrong", [lambda: p_chart([1], [0]), lambda: c_chart([]), lambda: weights(0.06, 1.0)]
)
def test_what_cannot_be_charted_is_refused(wrong):
    with pytest.raises(ValueError, match=r"at least|between"):
        wrong()
