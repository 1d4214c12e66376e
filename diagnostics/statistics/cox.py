"""Proportional hazards: how many times as fast the event comes for one more of a covariate.

For an expert's eye only: it asks for hazards that stay in proportion and for about ten events a coefficient,
and a small shop can check neither. The audit itself goes by strata.

References
----------
.. [1] D. R. Cox, J. R. Statist. Soc. B 34 (1972) 187-220. From memory.
.. [2] N. Breslow, Biometrics 30 (1974) 89-99 (tied events). From memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

MOST_STEPS = 50
CLOSE_ENOUGH = 1e-12
STEEPEST = 15.0  # A coefficient beyond it means that the covariate parts events from the rest.


class Separated(ValueError):
    """A covariate parts those with an event from the others, so that its coefficient has no bound."""


@dataclass(frozen=True, slots=True)
class Hazards:
    """Log hazard ratios and their standard errors, one a covariate."""

    coefficients: tuple[float, ...]
    errors: tuple[float, ...]


def cox(times: Sequence[float], events: Sequence[int], covariates: Sequence[Sequence[float]]) -> Hazards:
    """Return the fit by the partial likelihood, tied events by Breslow's approximation [2].

    Parameters
    ----------
    times, events : sequences of n
        Time to the event (1) or to when it was last seen without (0).
    covariates : sequence of n sequences of k
        The same k numbers for each.

    Raises
    ------
    Separated
        If a covariate parts events from the rest, or does not vary where events happen.
    """
    order = np.argsort(np.asarray(times, float), kind="stable")
    time, event = np.asarray(times, float)[order], np.asarray(events, int)[order]
    x = np.asarray(covariates, float)[order]
    first_at_risk = np.searchsorted(time, time[event == 1], side="left")
    beta = np.zeros(x.shape[1])
    for _ in range(MOST_STEPS):
        slope, information = _derivatives(x, event, first_at_risk, beta)
        step = _solve(information, slope)
        beta = beta + step
        if np.abs(beta * x.std(axis=0)).max() > STEEPEST:
            raise Separated("A covariate parts those with an event from the others.")
        if np.abs(step).max() < CLOSE_ENOUGH:
            break
    errors = np.sqrt(np.diag(np.linalg.inv(_derivatives(x, event, first_at_risk, beta)[1])))
    return Hazards(tuple(map(float, beta)), tuple(map(float, errors)))


def _derivatives(
    x: NDArray[np.float64], event: NDArray[np.int64], first: NDArray[np.int64], beta: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return slope and information; sums over those still watched run from the end of the times."""
    weight = np.exp((x - x.mean(axis=0)) @ beta)
    total = np.cumsum(weight[::-1])[::-1][first]
    mean = np.cumsum((weight[:, None] * x)[::-1], axis=0)[::-1][first] / total[:, None]
    squares = weight[:, None, None] * x[:, :, None] * x[:, None, :]
    square = np.cumsum(squares[::-1], axis=0)[::-1][first] / total[:, None, None]
    slope = x[event == 1].sum(axis=0) - mean.sum(axis=0)
    return slope, (square - mean[:, :, None] * mean[:, None, :]).sum(axis=0)


def _solve(information: NDArray[np.float64], slope: NDArray[np.float64]) -> NDArray[np.float64]:
    try:
        return np.asarray(np.linalg.solve(information, slope), float)
    except np.linalg.LinAlgError:
        raise Separated("A covariate does not vary where events happen.") from None
