"""The curve against scipy and statsmodels on generated lives; published examples stand in tests/published."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from statsmodels.duration.survfunc import CumIncidenceRight, SurvfuncRight, survdiff

from diagnostics.statistics.survival import (
    DayCount,
    aalen_johansen,
    kaplan_meier,
    log_interval,
    loglog_interval,
    logrank,
    plain_interval,
    standard_error,
)

# The packages divide by a survival of 0 where the last life ends.
pytestmark = pytest.mark.filterwarnings("ignore::RuntimeWarning")

CLOSE = {"rel": 1e-9, "abs": 1e-12}
days = st.lists(
    st.builds(DayCount, st.integers(0, 9), st.integers(0, 3), st.integers(0, 3), st.integers(0, 3)),
    max_size=12,
)


def lives(seed, n=150, causes=2):
    """Times with many ties, and the end of each: 0 for last seen."""
    chance = np.random.default_rng(seed)
    return chance.integers(1, 40, n), chance.integers(0, causes, n)


def counted(times, ends):
    return [
        DayCount(int(day), int(end == 1), int(end == 0), int(end == 2))
        for day, end in zip(times, ends, strict=True)
    ]


@pytest.mark.parametrize("seed", range(3))
def test_the_curve_is_that_of_statsmodels(seed):
    times, ends = lives(seed)
    theirs = SurvfuncRight(times, ends)
    curve = kaplan_meier(counted(times, ends))

    assert [step.day for step in curve.steps] == list(theirs.surv_times)
    assert [step.survival for step in curve.steps] == pytest.approx(theirs.surv_prob, **CLOSE)
    assert [curve.at_risk(step.day) for step in curve.steps] == list(theirs.n_risk)
    inner = [step for step in curve.steps if step.survival > 0]
    assert [standard_error(step) for step in inner] == pytest.approx(
        theirs.surv_prob_se[: len(inner)], **CLOSE
    )


@pytest.mark.parametrize(("kind", "ours"), [("linear", plain_interval), ("log-log", loglog_interval)])
def test_the_intervals_are_those_of_scipy(kind, ours):
    times, ends = lives(4)
    data = stats.CensoredData.right_censored(times, ends == 0)
    theirs = stats.ecdf(data).sf.confidence_interval(0.95, method=kind)
    curve = kaplan_meier(counted(times, ends))
    for step in curve.steps[:-1]:
        low, high = ours(step, 0.95)
        assert (max(low, 0), min(high, 1)) == pytest.approx(
            (float(theirs.low.evaluate(step.day)), float(theirs.high.evaluate(step.day))), **CLOSE
        )


def test_the_log_interval_is_never_above_one():
    step = kaplan_meier([DayCount(1, 1), DayCount(9, 0, 30)]).steps[0]

    assert log_interval(step, 0.95)[1] == 1.0


def test_before_the_first_event_stands_the_exact_bound_of_none():
    curve = kaplan_meier([DayCount(5, 1), DayCount(9, 0, 29)])

    assert (curve.at(4).value, curve.at(4).low) == (0.0, 0.0)
    # 1 - 0.05^(1/30): Hanley and Lippman-Hand 1983, JAMA 249:1743, as statistics.md section 7 has it.
    assert curve.at(4).high == pytest.approx(0.095033853, abs=1e-9)


@pytest.mark.parametrize("seed", range(2))
def test_competing_ends_are_those_of_statsmodels(seed):
    times, ends = lives(seed, causes=3)
    theirs = CumIncidenceRight(times, ends)
    ours = {end.day: end for end in aalen_johansen(counted(times, ends))}
    at = [i for i, day in enumerate(theirs.times) if day in ours and np.isfinite(theirs.cinc_se[0][i])]

    assert [ours[theirs.times[i]].event for i in at] == pytest.approx(theirs.cinc[0][at], **CLOSE)
    assert [ours[theirs.times[i]].variance ** 0.5 for i in at] == pytest.approx(
        theirs.cinc_se[0][at], **CLOSE
    )


def test_two_curves_compare_as_in_statsmodels_also_in_strata():
    times, ends = lives(6, n=240)
    group = np.arange(240) % 2
    stratum = np.arange(240) // 80
    chi2, p = survdiff(times, ends, group, strata=stratum)
    strata = [
        tuple(counted(times[at], ends[at]) for at in ((stratum == s) & (group == g) for g in (0, 1)))
        for s in range(3)
    ]

    found = logrank(strata)

    assert (found.chi2, found.p) == pytest.approx((chi2, p), **CLOSE)


def test_groups_that_were_never_watched_together_cannot_be_compared():
    assert logrank([([DayCount(1, 0, 4)], [DayCount(2, 1)])]).p is None


@settings(max_examples=50, deadline=None)
@given(days)
def test_the_ends_of_every_life_add_up(counts):
    for end in aalen_johansen(counts):
        assert end.event + end.gone + end.neither == pytest.approx(1.0, abs=1e-12)
        # Leaving departures out of the risk answers "had nobody left", which is never less.
        assert kaplan_meier(counts).at(end.day).value >= end.event - 1e-12


@settings(max_examples=50, deadline=None)
@given(days, st.randoms())
def test_the_order_of_the_days_changes_nothing_and_the_curve_rises(counts, chance):
    shuffled = list(counts)
    chance.shuffle(shuffled)
    curve = kaplan_meier(counts)

    assert kaplan_meier(shuffled).points == curve.points
    values = [point.value for point in curve.points]
    assert values == sorted(values)
    assert all(0 <= p.low <= p.value <= p.high <= 1 for p in curve.points)


def test_a_count_below_nothing_is_refused():
    with pytest.raises(ValueError, match="below 0"):
        kaplan_meier([DayCount(1, -1)])
