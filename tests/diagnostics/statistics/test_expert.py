"""Proportional hazards against statsmodels; trends by hand. Published examples stand in tests/published."""

import warnings

import numpy as np
import pytest

from diagnostics.statistics.cox import Separated, cox
from diagnostics.statistics.trend import trend
from shared.computing import Refused, compute


def test_two_covariates_with_ties_are_those_of_statsmodels():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from statsmodels.duration.hazard_regression import PHReg

    chance = np.random.default_rng(2)
    x = chance.normal(size=(120, 2))
    times = np.ceil(20 * chance.exponential(np.exp(-0.6 * x[:, 0])))
    events = (chance.random(120) < 0.7).astype(int)
    theirs = PHReg(times, x, status=events, ties="breslow").fit(disp=False)

    ours = cox(list(times), list(events), x.tolist())

    assert ours.coefficients == pytest.approx(theirs.params, rel=1e-7)
    assert ours.errors == pytest.approx(theirs.bse, rel=1e-7)


@pytest.mark.parametrize("x", [[[1], [1], [0], [0]], [[1], [1], [1], [1]]])
def test_a_covariate_that_parts_events_from_the_rest_has_no_answer(x):
    with pytest.raises(Separated):
        cox([1, 2, 3, 4], [1, 1, 0, 0], x)
    with pytest.raises(Refused, match="No finite answer"):
        compute("stats.cox", {"times": [1, 2, 3, 4], "events": [1, 1, 0, 0], "x": x})


@pytest.mark.parametrize(
    "given",
    [
        {"x": [[1], [0]]},
        {"x": [[1], [0, 1], [1], [0]]},
        {"x": [["a"], [1], [1], [0]]},
        {"events": [0, 0, 0, 0]},
        {"events": [1, 0.5, 0, 0]},
    ],
)
def test_what_cannot_be_fitted_is_refused(given):
    usual = {"times": [1, 2, 3, 4], "events": [1, 0, 1, 0], "x": [[1], [0], [1], [0]]}

    with pytest.raises(Refused):
        compute("stats.cox", usual | given)


def test_failures_closer_and_closer_speak_of_wear():
    wearing = trend([200, 300, 340, 360], 365)

    assert wearing.laplace > 1.5
    assert wearing.below < 0.1
    assert wearing.reversals == 0


def test_a_failure_after_the_end_is_refused():
    with pytest.raises(ValueError, match="lie between"):
        trend([400], 365)
    with pytest.raises(Refused, match="does not lie behind"):
        compute("stats.trend", {"times": [400], "end": 365})
