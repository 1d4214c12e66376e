"""The examples of statistics.md section 7 for the methods of this package, asked by name; and the edges."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from shared.computing import Refused, compute

# id, method, given, answer, tolerance, source. "read": seen in the source named there; else from memory or
# computed by two routes, as that section says.
EXAMPLES = [
    ("fisher-tea", "fisher", {"table": [[3, 1], [1, 3]], "alternative": "greater"}, {"p": 0.2429}, 5.1e-05,
     "R, fisher.test.Rd (Agresti 1990), read"),
    ("fisher-tea-all-right", "fisher", {"table": [[4, 0], [0, 4]], "alternative": "greater"},
     {"p": 0.014285714285714285}, 1e-09, "Fisher 1935: 1 in 70, from memory"),
    ("fisher-convictions", "fisher", {"table": [[2, 10], [15, 3]], "alternative": "less"},
     {"p": 0.0004652}, 5.1e-08, "R, fisher.test.Rd, Fisher 1962, from memory; agrees with SciPy below"),
    ("zero-of-30", "zero_upper", {"n": 30}, {"upper": 0.095033853, "rule_of_three": 0.1}, 1e-07,
     "Hanley and Lippman-Hand 1983, JAMA 249:1743"),
    ("zero-of-100", "zero_upper", {"n": 100}, {"upper": 0.02951305, "rule_of_three": 0.03}, 1e-07,
     "Hanley and Lippman-Hand 1983, JAMA 249:1743"),
    ("success-run-c90-r90", "success_run", {"conf": 0.9, "rel": 0.9}, {"n": 22}, 0, "standard table"),
    ("success-run-c95-r90", "success_run", {"conf": 0.95, "rel": 0.9}, {"n": 29}, 0, "standard table"),
    ("success-run-c95-r95", "success_run", {"conf": 0.95, "rel": 0.95}, {"n": 59}, 0, "standard table"),
    ("success-bound-59-95", "success_run_bound", {"n": 59, "conf": 0.95},
     {"bayes_uniform": 0.951297}, 5.1e-07, "codingace.net/dev/success_run_theorem.html, read"),
    ("poisson-15-400", "poisson_exact", {"count": 15, "exposure": 400},
     {"low": 0.0209884653319583, "high": 0.0618505471787146}, 1e-09,
     "statsmodels 0.15 tests (R DescTools), read"),
    ("poisson-0", "poisson_exact", {"count": 0}, {"low": 0, "high": 3.689}, 0.0005, "Garwood 1936"),
    ("zero-after-3in30-30", "zero_after", {"r0": 3, "t0": 30, "t": 30},
     {"plug_in": 0.049787068, "conditional_p": 0.125}, 1e-09, "two routes"),
    ("zero-cycles-3in10-9", "zero_after", {"r0": 3, "t0": 10, "t": 9, "per_cycle": True},
     {"plug_in": 0.040353607, "predictive": 0.068111455}, 1e-09, "two routes"),
    ("cycles-p0.3-c95", "cycles_needed", {"p0": 0.3, "conf": 0.95}, {"n": 9}, 0, "success-run theorem"),
    ("sprt-nist", "sprt", {"p0": 0.01, "p1": 0.1, "alpha": 0.05, "beta": 0.1, "n": 24},
     {"h1": 0.939, "h2": 1.205, "s": 0.0397, "accept": 0, "reject": 3}, 0.0006,
     "NIST/SEMATECH e-Handbook 6.2.6, from memory"),
    ("poisson-tail-5-2", "poisson_tail", {"mean": 2.0, "at_least": 5}, {"p": 0.0527}, 5.1e-05,
     "Poisson table"),
]  # fmt: skip
COUNT = st.integers(0, 60)


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example[0])
def test_the_example_is_answered(example):
    _, method, values, expect, tolerance, _ = example

    answer = compute(f"stats.{method}", values)

    assert {key: answer[key] for key in expect} == pytest.approx(expect, abs=tolerance, rel=0)


# NIST/SEMATECH e-Handbook 6.2.6, the sampling table of the same plan: from memory, checked by computing.
@pytest.mark.parametrize(("n", "accept", "reject"), [(2, None, 2), (23, None, 3), (49, 1, 4), (74, 2, 5)])
def test_the_sequential_plan_moves_on(n, accept, reject):
    answer = compute("stats.sprt", {"p0": 0.01, "p1": 0.1, "alpha": 0.05, "beta": 0.1, "n": n})

    assert (answer["accept"], answer["reject"], answer["zero_failures_accept_n"]) == (accept, reject, 24)


@given(COUNT, COUNT, COUNT, COUNT, st.sampled_from(["two-sided", "greater", "less"]))
def test_scipy_agrees_on_fisher(a, b, c, d, alternative):
    answer = compute("stats.fisher", {"table": [[a, b], [c, d]], "alternative": alternative})

    assert answer["p"] == pytest.approx(stats.fisher_exact([[a, b], [c, d]], alternative).pvalue, abs=1e-9)


@given(st.integers(0, 5000), st.floats(0.5, 0.999), st.floats(0.1, 1e6))
def test_scipy_agrees_on_poisson_limits(count, conf, exposure):
    answer = compute("stats.poisson_exact", {"count": count, "exposure": exposure, "conf": conf})

    low = stats.chi2.ppf((1 - conf) / 2, 2 * count) / 2 / exposure if count else 0
    high = stats.chi2.ppf((1 + conf) / 2, 2 * count + 2) / 2 / exposure
    assert (answer["low"], answer["high"]) == pytest.approx((low, high), rel=1e-8)


@given(st.floats(0, 2000), st.integers(0, 3000))
def test_scipy_agrees_on_poisson_tails(mean, at_least):
    answer = compute("stats.poisson_tail", {"mean": mean, "at_least": at_least})

    assert answer["p"] == pytest.approx(stats.poisson.sf(at_least - 1, mean), abs=1e-10)


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
        ("stats.fisher", {"table": [[1, 2], [3]]}, "table"),
        ("stats.fisher", {"table": [[1, 2], [3, -4]]}, "table"),
        ("stats.fisher", {"table": [[1, 2], [3, "4"]]}, "table"),
        ("stats.fisher", {"table": [[1, 2], [3, float("nan")]]}, "table"),
        ("stats.fisher", {"table": [[1, 2], [3, 4]], "alternative": "both"}, "alternative"),
        ("stats.poisson_exact", {"count": -1}, "count"),
        ("stats.poisson_exact", {"count": 1, "exposure": 0}, "exposure"),
        ("stats.poisson_tail", {"mean": -1, "at_least": 2}, "mean"),
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
