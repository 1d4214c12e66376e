"""What the named statistics refuse, and what they say where there is no number. Examples: tests/published."""

import json
import math

import pytest

from shared.computing import Refused, compute

TWO = {"x1": 1, "n1": 4, "x2": 2, "n2": 5}


@pytest.mark.parametrize(
    ("name", "given", "field"),
    [
        ("wilson", {"x": 5, "n": 4}, "x"),
        ("wilson", {"x": 0, "n": 0}, "n"),
        ("wilson", {"x": -1, "n": 4}, "x"),
        ("wilson", {"x": 1.5, "n": 4}, "x"),
        ("wilson", {"x": 1, "n": 4, "conf": 1}, "conf"),
        ("wilson", {"x": 1, "n": 4, "conf": 95}, "conf"),
        ("clopper_pearson", {"x": 5, "n": 4}, "x"),
        ("jeffreys", {"x": 5, "n": 4}, "x"),
        ("agresti_coull", {"x": 5, "n": 4}, "x"),
        ("wald", {"x": 5, "n": 4}, "x"),
        ("one_proportion_z", {"x": 1, "n": 4, "p0": 1}, "p0"),
        ("newcombe_diff", TWO | {"x1": 9}, "x1"),
        ("risk_ratio_katz", TWO | {"x2": 9}, "x2"),
        ("risk_ratio_koopman", TWO | {"n2": 0}, "n2"),
        ("odds_ratio", {"table": [[1, 2], [3]]}, "table"),
        ("two_rates", {"count1": 1, "n1": 0, "count2": 1, "n2": 1}, "n1"),
        ("two_rates", {"count1": 1, "n1": 1, "count2": 1, "n2": 1, "method": "wald"}, "method"),
        ("fisher", {"table": [[1, 2], [3]]}, "table"),
        ("fisher", {"table": [[1, 2], [3, -4]]}, "table"),
        ("fisher", {"table": [[1, 2], [3, "4"]]}, "table"),
        ("fisher", {"table": [[1, 2], [3, float("nan")]]}, "table"),
        ("fisher", {"table": [[1, 2], [3, 4]], "alternative": "both"}, "alternative"),
        ("mantel_haenszel_rr", {"tables": []}, "tables"),
        ("mantel_haenszel_rr", {"tables": [[1, 2], [3, 4]]}, "tables"),
        ("mantel_haenszel_or", {"tables": [[[1, 2], [3, True]]]}, "tables"),
        ("benjamini_hochberg", {"p": []}, "p"),
        ("benjamini_hochberg", {"p": [0.1, 1.1]}, "p"),
        ("beta_prior", {"x": 1, "n": 2}, "mean"),
        ("beta_prior", {"mean": 0.1, "sd": 0.02, "alpha": 1, "beta": 1}, "mean"),
        ("beta_prior", {"mean": 0.1, "sd": 0.4}, "sd"),
        ("beta_prior", {"alpha": 1, "beta": 1, "x": 3, "n": 2}, "x"),
        ("funnel_binomial", {"p": 0, "n": 5, "q": 0.9}, "p"),
        ("funnel_ratio", {"expected": [0]}, "expected"),
        ("funnel_ratio", {"expected": [1] * 10_001}, "expected"),
        ("poisson_exact", {"count": -1}, "count"),
        ("poisson_exact", {"count": 1, "exposure": 0}, "exposure"),
        ("poisson_tail", {"mean": -1, "at_least": 2}, "mean"),
        ("demo_n", {"conf": 0.9, "rel": 1, "failures": 1}, "rel"),
        ("chi2_factor", {"failures": -1, "conf": 0.9}, "failures"),
        ("lifetimes_n", {"conf": 0.9, "rel": 0.9, "lifetimes": 0}, "lifetimes"),
    ],
)
def test_what_cannot_be_is_refused(name, given, field):
    with pytest.raises(Refused) as refused:
        compute(f"stats.{name}", given)

    assert refused.value.field == field
    assert refused.value.allowed


@pytest.mark.parametrize(
    ("name", "given", "nulls"),
    [
        ("risk_ratio_katz", TWO | {"x1": 0}, {"low", "high"}),
        ("risk_ratio_katz", TWO | {"x2": 0}, {"rr", "low", "high"}),
        ("risk_ratio_koopman", TWO | {"x2": 0}, {"rr", "high"}),
        ("odds_ratio", {"table": [[1, 0], [2, 3]]}, {"or", "low", "high"}),
        ("two_rates", {"count1": 0, "n1": 1, "count2": 0, "n2": 1}, {"z", "p"}),
        ("mantel_haenszel_rr", {"tables": [[[1, 2], [0, 0]]]},
         {"rr", "low", "high", "rd", "rd_low", "rd_high"}),
        ("mantel_haenszel_rr", {"tables": [[[0, 2], [1, 3]]]}, {"low", "high"}),
        ("mantel_haenszel_or", {"tables": [[[0, 2], [0, 3]]]},
         {"or", "low", "high", "chi2_cc", "p_cc", "breslow_day", "breslow_day_p", "breslow_day_plain"}),
    ],
)  # fmt: skip
def test_what_is_undefined_is_null_with_a_reason(name, given, nulls):
    answer = compute(f"stats.{name}", given)

    assert {key for key, value in answer.items() if value is None} == nulls
    assert answer["reason"]


def test_a_pool_that_one_ratio_cannot_test_says_why():
    answer = compute("stats.mantel_haenszel_or", {"tables": [[[3, 5], [2, 7]]]})

    assert answer["or"] == pytest.approx(2.1)
    assert "reason" not in answer
    assert answer["breslow_day_reason"].startswith("Fewer than two strata")


@pytest.mark.parametrize(
    ("name", "given"),
    [
        ("wilson", {"x": 0, "n": 1_000_000}),
        ("clopper_pearson", {"x": 999_999, "n": 1_000_000}),
        ("jeffreys", {"x": 1_000_000, "n": 1_000_000}),
        ("newcombe_diff", {"x1": 0, "n1": 1, "x2": 1_000_000, "n2": 1_000_000}),
        ("risk_ratio_koopman", {"x1": 1, "n1": 1_000_000, "x2": 1_000_000, "n2": 1_000_000}),
        ("fisher", {"table": [[10**6, 0], [0, 10**6]]}),
        ("mantel_haenszel_or", {"tables": [[[10**6, 1], [1, 10**6]]] * 3}),
        ("beta_prior", {"alpha": 1e-6, "beta": 1e9}),
        ("beta_prior", {"mean": 0.5, "sd": 0.4999999}),
        ("funnel_binomial", {"p": 1e-9, "n": 1, "q": 1e-9}),
        ("funnel_binomial", {"p": 0.06, "n": 1_000_000, "q": 0.9995}),
        ("funnel_ratio", {"expected": [1e-6, 1_000_000]}),
        ("poisson_exact", {"count": 1_000_000, "conf": 0.999999999}),
        ("demo_n", {"conf": 0.999999999, "rel": 0.999999999, "failures": 1_000_000}),
        ("chi2_factor", {"failures": 1_000_000, "conf": 0.999999999}),
    ],
)
def test_the_extremes_are_answered_with_finite_numbers(name, given):
    assert json.dumps(compute(f"stats.{name}", given), allow_nan=False)


def test_funnel_limits_do_not_fall_below_none():
    assert compute("stats.funnel_binomial", {"p": 0.1, "n": 20, "q": 0.025}) == {"limit": 0.0, "r": 0}


def test_a_demonstration_that_just_suffices_is_not_raised_by_dust():
    # P(at most 1 of 3 at 1/2) is 1/2 exactly; 0.9 to the power of 2 times 3 lifetimes.
    assert compute("stats.demo_n", {"conf": 0.5, "rel": 0.5, "failures": 1}) == {"n": 3}
    assert compute("stats.demo_n", {"conf": 0.75, "rel": 0.5, "failures": 0}) == {"n": 2}
    assert compute("stats.lifetimes_n", {"conf": 0.75, "rel": 0.5, "lifetimes": 2}) == {"n": 1}
    assert compute("stats.lifetimes_n", {"conf": 0.75, "rel": 0.5, "lifetimes": 0.5}) == {"n": 4}


@pytest.mark.parametrize(("conf", "rel", "failures"), [(0.9, 0.9, 3), (0.95, 0.99, 7), (0.6, 0.2, 2)])
def test_the_number_to_show_is_the_smallest(conf, rel, failures):
    n = compute("stats.demo_n", {"conf": conf, "rel": rel, "failures": failures})["n"]

    def chance(tries):
        return math.fsum(
            math.comb(tries, k) * (1 - rel) ** k * rel ** (tries - k) for k in range(failures + 1)
        )

    assert chance(n) <= 1 - conf < chance(n - 1)
