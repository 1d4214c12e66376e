"""What both sides of a change say: verdicts, jobs needed, spells, proposals, changed against unchanged."""

from datetime import date
from math import comb

import pytest

from diagnostics.learning.compared import Counts, after_a_bad_spell, compare
from diagnostics.learning.pages import said
from diagnostics.learning.proposals import Asked, Backs, Costly, Outcomes, to_add, to_ask, to_drop
from diagnostics.learning.spans import ripe_until, spans
from diagnostics.learning.spell import bad_spell, chance_of_fewer
from diagnostics.learning.stepped import Cell, stepped
from diagnostics.statistics.proportions import newcombe, proportion


def test_both_spans_have_one_length_on_the_day_that_was_planned():
    start, by_on = date(2026, 3, 1), date(2026, 6, 1)
    found = spans(start, by_on, date(2026, 5, 31))

    assert (found.before_since, found.before_until) == (date(2025, 11, 29), date(2026, 2, 28))
    assert found.days == (92, 92)
    # Looked at earlier or later, the side before stays as it was.
    assert spans(start, by_on, date(2026, 3, 9)).days == (92, 9)
    assert spans(start, by_on, date(2026, 2, 28)) is None
    assert ripe_until(date(2026, 6, 1), 90) == date(2026, 3, 2)


@pytest.mark.parametrize(
    ("counts", "more_is_better", "verdict"),
    [
        (Counts(20, 60, 52, 60), True, "helped"),
        (Counts(20, 60, 52, 60), False, "worse"),
        (Counts(5, 60, 3, 60), False, "cannot_tell"),
        (Counts(0, 9, 9, 9), True, "cannot_tell"),  # fewer than 10 a side: the counts only
        (Counts(0, 0, 0, 0), False, "cannot_tell"),
    ],
)
def test_a_verdict_takes_more_than_chance_and_ten_jobs_a_side(counts, more_is_better, verdict):
    assert compare(counts, more_is_better=more_is_better).verdict == verdict


def test_so_many_more_jobs_are_needed():
    """practice.md section 8: to see 8 % fall to 4 % takes about 553 orders on each side."""
    found = compare(Counts(44, 553, 5, 100), more_is_better=False, expected=(0.08, 0.04))

    assert found.more_jobs == pytest.approx(453, abs=5)
    assert not found.few_before
    assert compare(Counts(8, 100, 5, 100), more_is_better=False, expected=(0.08, 0.04)).few_before
    assert compare(Counts(0, 0, 0, 0), more_is_better=False).more_jobs is None
    assert compare(Counts(45, 570, 41, 570), more_is_better=False).verdict == "no_difference"
    assert compare(Counts(10, 10, 10, 10), more_is_better=True).verdict == "cannot_tell"


def test_after_a_bad_quarter_the_next_is_better_nine_times_in_ten():
    """practice.md section 8: 89 % (simulated) after 10 % or more of 60 at a true 6 %."""
    bad = {x: comb(60, x) * 0.06**x * 0.94 ** (60 - x) for x in range(6, 61)}
    better = sum(p * chance_of_fewer(x, 60, 0.06) for x, p in bad.items()) / sum(bad.values())

    assert better == pytest.approx(0.89, abs=0.01)


def test_a_spell_is_bad_above_the_limit_of_the_year():
    """practice.md section 8: at 6 % the alert lies at 6 of 30, 12 of 100, 20 of 200."""
    assert bad_spell(12, 100, 60, 1000).better_anyway > 0.9
    assert bad_spell(10, 100, 60, 1000) is None
    assert bad_spell(5, 10, 3, 29) is None  # too few in the year to know what is usual
    assert bad_spell(0, 0, 60, 1000) is None


def test_a_step_that_told_nothing_apart_is_proposed_for_removal():
    same, told, cited = ("bounces", "bush_check"), ("bounces", "tread"), ("bounces", "spring")
    outcomes = {
        same: Outcomes(passed=40),
        told: Outcomes(passed=39, failed=1),
        cited: Outcomes(passed=40, cited=1),
        ("bounces", "rare"): Outcomes(passed=29),
    }
    backs = dict.fromkeys(outcomes, Backs(40, 4, 38, 1, 10))

    (found,) = to_drop(backs, outcomes)

    assert (found.symptom, found.code, found.judged, found.always) == (*same, 40, "good")
    assert found.still_up_to == pytest.approx(0.0722, abs=1e-4)  # 1 - 0.05^(1/40), statistics.md section 5
    # Jobs that did it came back clearly less often: it stays.
    assert to_drop({same: Backs(60, 1, 60, 12, 20)}, {same: outcomes[same]}) == ()


def test_a_test_that_proved_causes_unasked_is_proposed():
    proved = {("a", "x"): 4, ("a", "y"): 3, ("a", "z"): 2}

    assert [(one.code, one.jobs, one.of_jobs) for one in to_add(proved, {"a": 9}, [("a", "y")])] == [
        ("x", 4, 9)
    ]


def test_a_step_whose_absence_costs_is_asked_for():
    costly = Costly(
        "draw", "before", "battery", newcombe(9, 30, 3, 60), 0.04, proportion(3, 60), proportion(9, 30)
    )
    steps = [
        Asked("battery", "flat", "draw", "before", False),
        Asked("battery", "weak", "draw", "before", True),
        Asked("battery", "smell", "case", "before", True),
        Asked("brakes", "squeal", "pads", "before", False),
    ]

    found = [(one.symptom, one.is_there) for one in to_ask([costly], steps)]

    assert found == [("flat", True), ("smell", False)]


CHANGED, OTHER = ("battery", "flat"), ("brakes", "squeal")


def months(changed, other):
    """Twenty-four months of 100 jobs of each group: so many came back, before and after January 2026."""
    for place in range(24):
        month = date(2025 + place // 12, place % 12 + 1, 1)
        is_after = place >= 12
        yield Cell(CHANGED, month, changed[is_after], 100)
        yield Cell(OTHER, month, other[is_after], 100)


def test_what_changed_for_all_is_taken_out():
    """Both fall alike: no difference. Only the changed one falls: the whole fall is the difference."""
    last, changed_in = date(2026, 12, 1), {CHANGED: date(2026, 1, 1)}

    alike = stepped(months((10, 4), (12, 6)), changed_in, last)
    alone = stepped(months((10, 4), (12, 12)), changed_in, last)

    assert (alike.verdict, alike.change.value) == ("cannot_tell", pytest.approx(0.0))
    assert (alone.verdict, alone.change.value) == ("helped", pytest.approx(-0.06))
    assert alone.months == 11  # the month of the change is on neither side
    # Variances add: each side is 1100 of each group, p q / n of both, by hand.
    half = 1.959964 * ((0.1 * 0.9 + 0.12 * 0.88 + 0.04 * 0.96 + 0.12 * 0.88) / 1100) ** 0.5
    assert alone.change.high - alone.change.value == pytest.approx(half, rel=0.02)


def test_too_few_comebacks_say_nothing():
    assert stepped(months((0, 0), (0, 0)), {CHANGED: date(2026, 1, 1)}, date(2026, 12, 1)) is None
    assert stepped([], {CHANGED: date(2026, 1, 1)}, date(2026, 12, 1)) is None


def test_after_a_bad_spell_nothing_is_called_helpful():
    better = compare(Counts(60, 553, 20, 553), more_is_better=False)
    worse = compare(Counts(20, 553, 60, 553), more_is_better=False)

    assert (better.verdict, after_a_bad_spell(better).verdict) == ("helped", "cannot_tell")
    assert said(after_a_bad_spell(better)).startswith("Cannot tell: it was made after a bad spell")
    assert after_a_bad_spell(worse) == worse
