"""The running sum and the chart by month, from watched jobs in the database."""

from dataclasses import replace
from datetime import timedelta

import pytest

from diagnostics.audit.patterns.signals import watch_rule, watch_words
from diagnostics.audit.scope import Scope
from diagnostics.audit.signals import cusum_of, p_chart_of
from tests.diagnostics.audit.watched import AS_OF, HANDED_BACK, jobs

pytestmark = pytest.mark.django_db
SCOPE = Scope(as_of=AS_OF)


def days(*back, of=1):
    for place, came_back in enumerate(back):
        jobs(of, back=came_back, on=HANDED_BACK + timedelta(days=place))


def test_the_sum_adds_and_takes_what_the_practice_says(django_assert_num_queries):
    # practice.md section 8: +0.635 per comeback, -0.058 per clean order, signal above 3.0.
    days(0, 1, 0, 1, 1, 0)
    jobs(5, back=5, on=AS_OF - timedelta(days=20))  # not ripe: not fed

    with django_assert_num_queries(1):
        found = cusum_of(SCOPE)

    assert (round(found.w_event, 3), round(found.w_no_event, 3)) == (0.635, -0.058)
    w, c = found.w_event, found.w_no_event
    assert found.path == pytest.approx([0, w, w + c, 2 * w + c, 3 * w + c, 3 * w + 2 * c])
    assert (found.jobs, found.came_back, found.signal, found.above_since) == (6, 3, None, None)
    assert found.now == found.path[-1]
    assert "It has not called." in watch_words(found)


def test_the_path_is_that_of_the_worked_example():
    # statistics.md section 7, bernoulli-cusum: after Steiner et al. 2000, computed there by two routes.
    days(0, 0, 1, 0, 1, 1, 0, 0, 1, 1)

    found = cusum_of(SCOPE, threshold=2.0)

    assert found.path == pytest.approx(
        [0, 0, 0.63487827, 0.57660936, 1.2114876, 1.8463659, 1.788097, 1.7298281, 2.3647064, 2.9995846],
        abs=1e-7,
    )
    assert (found.signal, found.signal_on) == (9, HANDED_BACK + timedelta(days=8))
    assert found.above_since == found.signal_on
    assert watch_words(found).startswith("It calls.")
    assert found.as_json(tail=2)["path"] == pytest.approx([2.364706, 2.999585])


def test_within_a_day_the_jobs_that_came_back_are_fed_last():
    days(2, of=4)

    found = cusum_of(SCOPE)

    assert found.path == pytest.approx([0, 0, found.w_event, 2 * found.w_event])


def test_a_call_stays_on_record_when_the_sum_has_come_down():
    days(5, of=5)
    jobs(40, on=HANDED_BACK + timedelta(days=1))

    found = cusum_of(SCOPE)

    assert (found.signal, found.signal_on, found.above_since) == (5, HANDED_BACK, None)
    assert found.highest == pytest.approx(5 * found.w_event)
    assert "has come down since" in watch_words(found)
    assert [job for job, _ in found.labels] == [1]


def test_how_often_it_is_wrong_is_stated_and_may_be_chosen():
    # practice.md section 8: a false signal about every 1300 orders, a doubling found after about 111.
    found = cusum_of(SCOPE)

    assert found.false_alarm_every == pytest.approx(1300, rel=0.05)
    assert found.found_after == pytest.approx(111, rel=0.05)
    assert "about every 1,300 jobs" in watch_rule(found)
    assert "No job" in watch_words(found)
    quiet = cusum_of(SCOPE, false_alarm_every=4000)
    assert quiet.threshold > 3.5
    assert quiet.false_alarm_every == pytest.approx(4000, rel=0.05)


def test_months_count_by_hand_over_and_the_young_ones_are_maturing(django_assert_num_queries):
    for place in range(6):
        jobs(40, back=6, on=HANDED_BACK + timedelta(days=30 * place))
    jobs(10, back=1, on=AS_OF - timedelta(days=30))

    with django_assert_num_queries(3):
        found = p_chart_of(replace(SCOPE, since=HANDED_BACK))

    assert found.by == "month"
    assert [one.is_maturing for one in found.periods] == [False] * 5 + [True]
    assert found.center == pytest.approx(0.15)
    assert found.periods[-1].estimate == pytest.approx(0.1)
