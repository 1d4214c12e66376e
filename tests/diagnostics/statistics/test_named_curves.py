"""What the named curves and charts refuse, and what they say where there is no number."""

import json

import pytest

from shared.computing import Refused, compute

KM = {"times": [1, 2], "events": [1, 0], "at": [1]}
AJ = {"times": [1, 2], "causes": [1, 0], "cause": 1, "at": [1]}
LR = {"x_events": [1], "x_censored": [], "y_events": [2], "y_censored": []}
BC = {"outcomes": [0, 1], "p0": 0.06, "odds_ratio": 2, "h": 3}


@pytest.mark.parametrize(
    ("name", "given", "field"),
    [
        ("kaplan_meier", KM | {"events": [1]}, "events"),
        ("kaplan_meier", KM | {"events": [1, 0.5]}, "events"),
        ("kaplan_meier", KM | {"times": [1, -2]}, "times"),
        ("kaplan_meier", KM | {"times": [1, float("nan")]}, "times"),
        ("kaplan_meier", KM | {"times": [], "events": []}, "times"),
        ("kaplan_meier", KM | {"conf": 1}, "conf"),
        ("aalen_johansen", AJ | {"causes": [1]}, "causes"),
        ("aalen_johansen", AJ | {"causes": [1, 1.5]}, "causes"),
        ("aalen_johansen", AJ | {"cause": 0}, "cause"),
        ("logrank", LR | {"x_events": [float("inf")]}, "x_events"),
        ("p_chart", {"counts": [3], "n": 2}, "counts"),
        ("p_chart", {"counts": [1.5], "n": 2}, "counts"),
        ("p_chart", {"counts": [1, 2], "n": [5]}, "n"),
        ("p_chart", {"counts": [0], "n": 0}, "n"),
        ("p_chart", {"counts": [1], "n": 5, "exclude": [1]}, "exclude"),
        ("c_chart", {"counts": []}, "counts"),
        ("cusum", {"x": [1], "target": 1, "k": -1, "h": 4}, "k"),
        ("ewma", {"x": [1], "lam": 0, "start": 1, "sigma": 1}, "lam"),
        ("bernoulli_cusum", BC | {"outcomes": [0.5]}, "outcomes"),
        ("bernoulli_cusum", BC | {"odds_ratio": 1}, "odds_ratio"),
        ("bernoulli_cusum", BC | {"p0": 0}, "p0"),
        ("bernoulli_cusum", BC | {"h": 0}, "h"),
    ],
)
def test_what_cannot_be_is_refused(name, given, field):
    with pytest.raises(Refused) as refused:
        compute(f"stats.{name}", given)

    assert refused.value.field == field


@pytest.mark.parametrize(
    ("name", "given", "nulls"),
    [
        ("kaplan_meier", {"times": [1], "events": [1], "at": [1]},
         {"se", "plain_low", "plain_high", "log_low", "log_high", "loglog_low", "loglog_high"}),
        ("logrank", {"x_events": [], "x_censored": [3], "y_events": [5], "y_censored": []}, {"chi2", "p"}),
        ("logrank", {"x_events": [], "x_censored": [], "y_events": [], "y_censored": []}, {"chi2", "p"}),
        ("p_chart", {"counts": [2], "n": 9}, {"sigma_z"}),
        ("p_chart", {"counts": [0, 0], "n": 9}, {"sigma_z"}),
        ("bernoulli_cusum", BC, {"first_signal"}),
    ],
)  # fmt: skip
def test_what_is_undefined_is_null(name, given, nulls):
    answer = json.loads(json.dumps(compute(f"stats.{name}", given), allow_nan=False))

    assert {key for key, value in answer.items() if value is None or value == [None]} == nulls
