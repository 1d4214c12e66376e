"""What a mix of jobs lets expect, against sums made by hand."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.audit.mix import Cell, Rates, expected

OTHERS = [Cell(name, ("x",), 200, 20) for name in ("A", "B", "C", "D")]


def test_a_cell_leans_on_the_coarser_group_by_its_strength():
    # 20 of 200 in all; system a 5 of 50, b 15 of 150: both 10 %. Symptom a1 has 5 of 25, a2 0 of 25.
    cells = [Cell("A", ("a", "1"), 25, 5), Cell("B", ("a", "2"), 25, 0), Cell("C", ("b", "1"), 150, 15)]
    rates = Rates(cells, strength=20)

    # (5 + 20 * 0.1) / 45, (0 + 2) / 45, (15 + 2) / 170: expected in all 25 * 9/45 + 15 = 20 - 25/9 + ...
    learnt = [25 * 7 / 45, 25 * 2 / 45, 150 * 17 / 170]
    scale = 20 / sum(learnt)
    assert [rates.of([cell]) for cell in cells] == pytest.approx([scale * one for one in learnt])
    assert rates.of([Cell("Z", ("never", "seen"), 10, 0)]) == pytest.approx(scale * 10 * 0.1)


def test_strong_lending_makes_all_alike_and_none_leaves_each_cell_its_own_rate():
    cells = [Cell("A", ("a",), 40, 8), Cell("B", ("b",), 60, 2)]

    assert Rates(cells, 1e12).of([cells[0]]) == pytest.approx(4.0)
    assert Rates(cells, 1e-12).of([cells[0]]) == pytest.approx(8.0)


def test_who_does_more_than_a_quarter_is_compared_with_the_others_alone():
    large = Cell("L", ("x",), 400, 4)
    found = expected([large, *OTHERS])

    assert found["L"].without_own
    assert found["L"].value == pytest.approx(40), "a tenth of 400, as the others have it"
    assert not found["A"].without_own
    assert found["A"].value == pytest.approx(200 * 84 / 1200)


def test_a_quarter_itself_is_not_more():
    assert not any(one.without_own for one in expected(OTHERS).values())


def test_nobody_is_compared_with_a_handful_of_jobs_of_others():
    found = expected([Cell("L", ("x",), 400, 40), Cell("S", ("x",), 29, 1)])

    assert found["L"].value is None
    assert found["S"].value is not None


def test_of_no_comeback_none_is_expected():
    assert expected([Cell("A", ("x",), 40, 0), Cell("B", ("x",), 40, 0)])["A"].value == 0


counts = st.tuples(st.sampled_from("ABCDEFGH"), st.sampled_from("xyz"), st.integers(0, 2), st.integers(1, 60))


@settings(max_examples=50, deadline=None)
@given(st.lists(st.tuples(counts, st.integers(0, 60)), min_size=1, max_size=25))
def test_of_the_jobs_learnt_from_as_many_are_expected_as_came_back(drawn):
    cells = [
        Cell(unit, (system, level), jobs, min(back, jobs)) for (unit, system, level, jobs), back in drawn
    ]
    rates = Rates(cells, 20.0)

    assert rates.of(cells) == pytest.approx(sum(cell.back for cell in cells))
