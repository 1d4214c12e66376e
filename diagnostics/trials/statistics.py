"""The methods of statistics.md section 3.10 by name: how many clean runs prove what."""

from __future__ import annotations

import math
from typing import Any

from diagnostics.statistics.asked import CONFIDENCE, MAY_CONFIDENCE, MOST_COUNT
from diagnostics.statistics.quantiles import chi_square_quantile
from diagnostics.trials import chances
from diagnostics.trials.powers import as_written, pieces_to_show, smallest_power, tries_to_show
from diagnostics.trials.sequential import plan
from shared.computing import Given, Refused, computation

TRIES = Given("n", "How many tries, all of them clean", kind="whole", low=1, high=10**9, example=30)


@computation(
    "stats.zero_upper",
    "What n clean tries do not exclude: the upper 95 % bound of the rate of the fault.",
    TRIES,
    MAY_CONFIDENCE,
    source="Hanley and Lippman-Hand 1983, JAMA 249:1743",
    mark="from memory",
    formula="1 - 0.05^(1/n); about 3/n",
)
def zero_upper(n: int, conf: float = 0.95) -> dict[str, float]:
    """Return upper (exact) and rule_of_three."""
    return {"upper": -math.expm1(math.log(1 - conf) / n), "rule_of_three": 3 / n}


@computation(
    "stats.zero_after",
    "The chance of a clean run if nothing was changed: taken at face value, and with the rate uncertain.",
    Given("r0", "Faults before", kind="whole", low=0, high=MOST_COUNT, example=3),
    Given("t0", "Time or tries before", above=0, high=1e12, example=10),
    Given("t", "Clean time or tries after, in the same unit", low=0, high=1e12, example=9),
    Given("per_cycle", "Counted in tries, not in time", kind="yes", optional=True, example=True),
    source="statistics.md section 3.10; Przyborowski and Wilenski 1940, Biometrika 31:313",
    mark="computed",
    formula="time: exp(-r0 t/t0), (t0/(t0+t))^r0; tries: (1-r0/t0)^t, B(r0+1, t0-r0+1+t)/B(r0+1, t0-r0+1)",
)
def zero_after(r0: int, t0: float, t: float, per_cycle: bool = False) -> dict[str, Any]:
    """Return plug_in, and conditional_p (time) or predictive and prior (tries).

    Where it never showed, the rate is taken with the Jeffreys prior: the uniform one would lean to 1/2.
    """
    if not per_cycle:
        return {"plug_in": math.exp(-r0 * t / t0), "conditional_p": chances.clean_time(r0, t0, t)}
    tries, clean = _whole("t0", t0), _whole("t", t)
    if r0 > tries:
        raise Refused("r0", f"It cannot show {r0} times in {tries} tries.", f"0 to {tries}")
    prior = 1.0 if r0 else 0.5
    return {
        "plug_in": (1 - r0 / tries) ** clean,
        "predictive": chances.clean_run(r0, tries, clean, prior=prior),
        "prior": "uniform" if r0 else "Jeffreys",
    }


@computation(
    "stats.success_run",
    "How many clean tries show a reliability with a confidence.",
    CONFIDENCE,
    Given("rel", "The reliability: chance that one try is clean", low=1e-9, high=0.999999999, example=0.9),
    source="success-run theorem; standard table",
    mark="from memory",
    formula="n = ln(1 - C) / ln R, rounded up",
)
def success_run(conf: float, rel: float) -> dict[str, int]:
    """Return n."""
    return {"n": smallest_power(as_written(rel), 1 - as_written(conf))}


@computation(
    "stats.success_run_bound",
    "The reliability that n clean tries show with a confidence.",
    CONFIDENCE,
    TRIES,
    source="success-run theorem, with a uniform prior (1 - C)^(1/(n+1))",
    mark="read",
)
def success_run_bound(conf: float, n: int) -> dict[str, float]:
    """Return bayes_uniform, and exact: the bound without a prior."""
    return {"bayes_uniform": (1 - conf) ** (1 / (n + 1)), "exact": (1 - conf) ** (1 / n)}


@computation(
    "stats.cycles_needed",
    "How many clean tries show that a fault of a known rate is gone.",
    CONFIDENCE,
    Given("p0", "Chance that it shows in one try", low=1e-9, high=0.999999999, example=0.3),
    source="success-run theorem with R = 1 - p0",
    mark="computed",
    formula="n = ln(1 - C) / ln(1 - p0), rounded up",
    valid="The rate must be known; from a count use the predictive number of proof.trials",
)
def cycles_needed(conf: float, p0: float) -> dict[str, int]:
    """Return n."""
    return {"n": smallest_power(1 - as_written(p0), 1 - as_written(conf))}


_SHARE: dict[str, Any] = {"above": 0, "high": 0.999999999}


@computation(
    "stats.sprt",
    "A sequential plan: after n tries, at how many faults to accept, at how many to reject.",
    Given("p0", "Rate of the fault that is acceptable", example=0.01, **_SHARE),
    Given("p1", "Rate of the fault that is not", example=0.1, **_SHARE),
    Given("alpha", "Risk of rejecting what is acceptable", example=0.05, **_SHARE),
    Given("beta", "Risk of accepting what is not", example=0.1, **_SHARE),
    Given("n", "Tries so far", kind="whole", low=1, high=10**9, example=24),
    source="NIST/SEMATECH e-Handbook of Statistical Methods, section 6.2.6; Wald 1947",
    mark="from memory",
    formula="accept at -h1 + s n, reject at h2 + s n",
)
def sprt(p0: float, p1: float, alpha: float, beta: float, n: int) -> dict[str, Any]:
    """Return h1, h2, s, accept (none: too early), reject and zero_failures_accept_n."""
    if p0 >= p1:
        raise Refused("p1", f"{p1:g} must be above p0, which is {p0:g}.", f"above {p0:g}, below 1")
    if alpha + beta >= 1:
        raise Refused("beta", "Both risks together must stay below 1.", f"below {1 - alpha:g}")
    wald = plan(p0, p1, alpha, beta)
    return {
        "h1": wald.h1,
        "h2": wald.h2,
        "s": wald.slope,
        "accept": wald.accept_at(n),
        "reject": wald.reject_at(n),
        "zero_failures_accept_n": wald.clean_needed,
    }


@computation(
    "stats.demo_n",
    "How many tries show a reliability with a confidence, where so many faults are allowed.",
    CONFIDENCE,
    Given("rel", "The reliability: chance that one try is clean", low=1e-9, high=0.999999999, example=0.9),
    Given("failures", "Faults allowed", kind="whole", low=0, high=MOST_COUNT, example=1),
    source="binomial demonstration test, standard table",
    mark="from memory",
    formula="the smallest n with P(faults ≤ allowed) ≤ 1 - C",
)
def demo_n(conf: float, rel: float, failures: int) -> dict[str, int]:
    """Return n."""
    return {"n": tries_to_show(as_written(rel), 1 - as_written(conf), failures)}


@computation(
    "stats.chi2_factor",
    "How many mean times between faults a test must last to show the mean, where so many faults are seen.",
    Given("failures", "Faults seen", kind="whole", low=0, high=MOST_COUNT, example=0),
    CONFIDENCE,
    source="NIST/SEMATECH e-Handbook of Statistical Methods, section 8.3.1.1",
    mark="from memory",
    formula="χ²(C; 2r+2) / 2",
    valid="faults that come at a steady rate",
)
def chi2_factor(failures: int, conf: float) -> dict[str, float]:
    """Return factor."""
    return {"factor": chi_square_quantile(conf, 2 * failures + 2) / 2}


@computation(
    "stats.lifetimes_n",
    "How many pieces, each run clean for so many lifetimes, show a reliability with a confidence.",
    CONFIDENCE,
    Given("rel", "The reliability over one lifetime", low=1e-9, high=0.999999999, example=0.999),
    Given("lifetimes", "Lifetimes that each piece is run", low=1e-6, high=1e6, example=1),
    source="success-run theorem with R to the power of the lifetimes",
    mark="read",
    formula="n = ln(1 - C) / (lifetimes ln R), rounded up",
    valid="faults that come at a steady rate",
)
def lifetimes_n(conf: float, rel: float, lifetimes: float) -> dict[str, int]:
    """Return n."""
    return {"n": pieces_to_show(as_written(rel), 1 - as_written(conf), lifetimes)}


def _whole(key: str, value: float) -> int:
    if value != int(value):
        raise Refused(key, f"{value:g} tries cannot be.", "a whole number")
    return int(value)
