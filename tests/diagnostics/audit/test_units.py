"""Technicians and shops against what is expected: limits against SciPy, flags and words by the policy.

References
----------
.. [1] F. Garwood, Biometrika 28 (1936) 437-442: exact Poisson limits, here from SciPy's chi-square.
.. [2] practice.md sections 8 and 11; statistics.md sections 3.8 and 5.
"""

import math

import pytest
from scipy.stats import chi2, poisson

from diagnostics.audit.mix import Cell
from diagnostics.audit.units import alone, compare, exact_mean
from diagnostics.audit.wording import FLAGS, mix_sentence, spread_sentence, unit_sentence
from diagnostics.statistics.funnel import poisson_limits

TEN = [f"T{number}" for number in range(10)]


def even(*counts, jobs=100, names=TEN):
    """One unit a count, all with the same kind of jobs."""
    return [Cell(name, ("x",), jobs, back) for name, back in zip(names, counts, strict=False)]


def row(found, id):
    return next(unit for unit in found.rows if unit.id == id)


@pytest.mark.parametrize("events", [0, 1, 3, 8, 57, 400])
def test_poisson_limits_are_exact(events):
    low = chi2.ppf(0.025, 2 * events) / 2 if events else 0
    assert exact_mean(events) == pytest.approx((low, chi2.ppf(0.975, 2 * events + 2) / 2))


def test_the_ratio_its_limits_and_the_adjusted_rate():
    found = compare(even(6, 6, 6, 6, 6, 6, 6, 6, 6, 18), {"T9": "Isa"}, 30)
    isa = row(found, "T9")

    assert isa.label == "Isa"
    assert (isa.eligible, isa.comebacks, isa.expected) == (100, 18, pytest.approx(7.2))
    assert isa.ratio.value == pytest.approx(2.5)
    low, high = chi2.ppf(0.025, 36) / 14.4, chi2.ppf(0.975, 38) / 14.4
    assert (isa.ratio.low, isa.ratio.high) == pytest.approx((low, high))
    assert isa.adjusted == pytest.approx(0.18)
    assert (isa.low, isa.high) == pytest.approx((0.072 * low, 0.072 * high))
    assert 0.072 < isa.shrunk < 0.18
    assert not found.widened
    for (low, high), alpha in zip(isa.limits, (0.05, 0.001), strict=True):
        # Between the last count that chance still allows and the first that it does not.
        assert math.floor(7.2 * low) <= poisson.ppf(alpha / 2, 7.2) <= math.ceil(7.2 * low)
        assert math.floor(7.2 * high) <= poisson.ppf(1 - alpha / 2, 7.2) <= math.ceil(7.2 * high)


@pytest.mark.parametrize("expected", [0.3, 1.0, 3.5, 5.4, 7.2, 40.0, 900.0])
@pytest.mark.parametrize("alpha", [0.05, 0.001])
def test_a_flag_is_raised_only_where_the_tail_itself_is_thin(expected, alpha):
    """By SciPy's own tails: more than a flagged count, or fewer, has at most half of alpha."""
    low, high = poisson_limits(expected, alpha)
    for count in range(int(poisson.ppf(0.999999, expected)) + 2):
        if count / expected < low:
            assert poisson.cdf(count, expected) <= alpha / 2
        if count / expected > high:
            assert poisson.sf(count, expected) <= alpha / 2


def test_none_of_few_expected_is_within_chance():
    assert poisson_limits(1.0, 0.05)[0] == 0
    assert poisson_limits(5.4, 0.001)[0] == 0
    assert poisson_limits(5.4, 0.05)[0] > 0


def test_the_mix_of_jobs_explains_what_hard_jobs_bring():
    """Hard jobs come back three times as often; who gets only those is not worse for it."""
    easy = [Cell(name, ("easy",), 1000, 30) for name in TEN]
    hard = [Cell(name, ("hard",), 100, 9) for name in TEN] + [Cell("Best", ("hard",), 300, 27)]
    best = row(compare(easy + hard, {}, 30), "Best")

    assert best.share.share == pytest.approx(0.09)
    assert best.ratio.value == pytest.approx(1, abs=0.03)
    assert best.flag == "within"


@pytest.mark.parametrize(
    ("back", "flag"),
    [(6, "within"), (11, "within"), (16, "outside 95"), (26, "outside 99.9"), (0, "outside 95")],
)
def test_where_it_lies_in_one_word(back, flag):
    names = [f"S{number}" for number in range(9)]
    found = compare([*even(*[6] * 9, names=names, jobs=100), Cell("T", ("x",), 100, back)], {}, 30)

    assert row(found, "T").flag == flag
    assert FLAGS[flag] in unit_sentence(row(found, "T"), 30)


def test_below_the_policy_number_there_are_counts_and_nothing_else():
    found = compare([*even(*[6] * 9), Cell("New", ("x",), 29, 9)], {}, 30)
    new = row(found, "New")

    assert (new.eligible, new.comebacks, new.flag) == (29, 9, "too few")
    assert [new.expected, new.share, new.ratio, new.adjusted, new.shrunk, new.limits] == [None] * 5 + [()]
    assert unit_sentence(new, 30).replace("\xa0", " ") == (
        "Too few to compare: 9 of 29 came back. A rate is shown from 30 finished jobs on."
    )


def test_rows_stand_by_name_whoever_has_more():
    found = compare(even(9, 1, 30, 6), {"T0": "mora", "T1": "Zed", "T2": "Adi", "T3": "Isa"}, 30)

    assert [unit.label for unit in found.rows] == ["Adi", "Isa", "mora", "Zed"]


def test_jobs_of_nobody_named_count_for_the_shop_only():
    found = compare([*even(6, 6, 6, 6), Cell("", ("x",), 100, 26)], {}, 30)

    assert [unit.id for unit in found.rows] == TEN[:4]
    assert (found.whole.count, found.whole.of) == (50, 500)


def test_limits_are_widened_only_when_many_differ_more_than_chance():
    spread = [1, 2, 2, 4, 6, 9, 13, 16, 19, 22]
    few, many = compare(even(*spread[:9]), {}, 30), compare(even(*spread), {}, 30)

    assert few.spread.phi > 1.5
    assert not few.widened, "nine cannot tell spread from one who stands out"
    assert "chance alone." in spread_sentence(few)
    assert many.widened
    assert "wider" in spread_sentence(many)
    chance = poisson_limits(many.rows[0].expected, 0.05)[1]
    assert many.rows[0].limits[0][1] - 1 == pytest.approx((chance - 1) * many.spread.phi**0.5)
    assert not compare(even(*[6] * 10), {}, 30).widened


def test_the_lines_of_the_funnel_reach_from_one_comeback_to_the_largest():
    lines = compare(even(6, 6, 6, 6, jobs=200), {}, 30).lines

    assert (lines[0].expected, lines[-1].expected) == pytest.approx((1, 6))
    highs = [line.limits[1][1] for line in lines]
    assert highs == sorted(highs, reverse=True)


@pytest.mark.parametrize("cells", [[], even(0, 0, 0, 0), even(100, 100), [Cell("A", ("x",), 400, 9)]])
def test_of_nothing_nothing_is_said_and_nothing_breaks(cells):
    found = compare(cells, {}, 30)

    assert all(unit.eligible for unit in found.rows)
    assert spread_sentence(found) in ("", spread_sentence(found))
    for unit in found.rows:
        assert unit_sentence(unit, 30)


def test_alone_keeps_nothing_that_rests_on_others():
    isa = row(compare(even(6, 6, 6, 18), {}, 30), "T3")

    assert alone(isa).share == isa.share
    assert [alone(isa).expected, alone(isa).ratio, alone(isa).adjusted, alone(isa).shrunk] == [None] * 4
    assert "18 of 100 came back. That is 18.0 %, likely between 11.7 and 26.7." in unit_sentence(
        alone(isa), 30
    )


def test_what_was_allowed_for_is_said_with_what_was_not():
    assert mix_sentence(("system", "difficulty"), ("time",)) == (
        "Allowed for: system and difficulty of each job. Not allowed for: time. "
        "What is left is an association, never a cause."
    )
