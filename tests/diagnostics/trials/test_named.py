"""How many clean runs prove what, asked by name. The published examples are in tests/published."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from shared.computing import Refused, compute


# NIST/SEMATECH e-Handbook 6.2.6, the sampling table of the same plan: from memory, checked by computing.
@pytest.mark.parametrize(("n", "accept", "reject"), [(2, None, 2), (23, None, 3), (49, 1, 4), (74, 2, 5)])
def test_the_sequential_plan_moves_on(n, accept, reject):
    answer = compute("stats.sprt", {"p0": 0.01, "p1": 0.1, "alpha": 0.05, "beta": 0.1, "n": n})

    assert (answer["accept"], answer["reject"], answer["zero_failures_accept_n"]) == (accept, reject, 24)


@given(st.integers(0, 40), st.integers(1, 60), st.integers(0, 200))
def test_scipy_agrees_on_the_predictive_chance(shown, tries, clean):
    shown = min(shown, tries)
    prior = 1 if shown else 0.5

    answer = compute("stats.zero_after", {"r0": shown, "t0": tries, "t": clean, "per_cycle": True})

    other = stats.betabinom(clean, shown + prior, tries - shown + prior).pmf(0)
    assert answer["predictive"] == pytest.approx(other, rel=1e-8, abs=1e-300)


@given(st.integers(1, 999), st.integers(1, 999))
def test_the_number_of_clean_tries_is_the_smallest_that_will_do(rate, confidence):
    n = compute("stats.cycles_needed", {"p0": rate / 1000, "conf": confidence / 1000})["n"]

    # In whole numbers: (1000 - rate)^n at most (1000 - confidence) 1000^(n-1).
    def is_enough(tries):
        return (1000 - rate) ** tries <= (1000 - confidence) * 1000 ** (tries - 1)

    assert is_enough(n)
    assert n == 1 or not is_enough(n - 1)


def test_a_quotient_that_is_whole_is_not_rounded_up_by_dust():
    assert compute("stats.cycles_needed", {"p0": 0.9, "conf": 0.999})["n"] == 3
    assert compute("stats.success_run", {"rel": 0.5, "conf": 0.75})["n"] == 2


@pytest.mark.parametrize(
    ("name", "given", "field"),
    [
        ("stats.zero_upper", {"n": 0}, "n"),
        ("stats.zero_upper", {"n": 2.5}, "n"),
        ("stats.success_run", {"conf": 1, "rel": 0.9}, "conf"),
        ("stats.success_run", {"conf": 0.95, "rel": 0}, "rel"),
        ("stats.cycles_needed", {"conf": 0.95, "p0": 1}, "p0"),
        ("stats.zero_after", {"r0": 4, "t0": 3, "t": 1, "per_cycle": True}, "r0"),
        ("stats.zero_after", {"r0": 1, "t0": 3.5, "t": 1, "per_cycle": True}, "t0"),
        ("stats.zero_after", {"r0": 1, "t0": 0, "t": 1}, "t0"),
        ("stats.sprt", {"p0": 0.1, "p1": 0.1, "alpha": 0.05, "beta": 0.1, "n": 1}, "p1"),
        ("stats.sprt", {"p0": 0.1, "p1": 0.2, "alpha": 0.5, "beta": 0.5, "n": 1}, "beta"),
        ("proof.trials", {"shown": 3, "tries": 2}, "shown"),
        ("proof.reversal", {"phases": [{"condition": "a", "present": True, "n": 1}] * 3}, "phases"),
        ("proof.reversal", {"phases": [1, 2, 3]}, "phases"),
        ("proof.reversal", {"phases": [{"condition": "a", "present": 1, "n": 1}] * 3}, "phases"),
        (
            "proof.equipment",
            {"with_shown": 2, "with_tries": 1, "without_shown": 0, "without_tries": 1},
            "with_shown",
        ),
        ("proof.sequential", {"before": 0.1, "accepted": 0.2, "tries": 3}, "accepted"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(name, given, field):
    with pytest.raises(Refused) as refused:
        compute(name, given)

    assert refused.value.field == field
    assert refused.value.allowed
