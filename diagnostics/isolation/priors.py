"""Priors from the shop's own earlier jobs, drawn toward the weights of the map.

Few jobs say little: nine of them cannot tell 2 in 9 from 5 in 100. So the weights of the map count as some
jobs of their own (a Dirichlet prior), and the same again from one level to the next: jobs of other kinds
move the map, jobs with the same symptom move that, jobs on this platform with this symptom move the result
[1].

References
----------
.. [1] A. Gelman et al., Bayesian Data Analysis, 3rd ed., CRC Press, 2013, sections 3.4 (multinomial with a
   Dirichlet prior) and 5.3 (drawn toward the group). From memory.
.. [2] fault-isolation.md section 2 (the catch-all is never 0, default 0.02 to 0.05) and section 12, item 3
   (coarse priors suffice, no priors do not). Read.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from diagnostics.isolation.wording.figures import times_in_100
from shared.wording import count_text

STRENGTH_JOBS = 8.0  # Jobs that the weights of the level above are worth. Our choice, no source found.
CATCH_ALL_LEAST = 0.02  # [2]

GENERAL = "other jobs"
SYMPTOM = "jobs with this symptom on other platforms"
PLATFORM = "jobs with this symptom on this platform"
LEVELS = (GENERAL, SYMPTOM, PLATFORM)


@dataclass(frozen=True, slots=True)
class Jobs:
    """Earlier jobs of one level, each in one level only: the nearest that it belongs to.

    `level` is one of `LEVELS`; `causes` counts jobs by the candidate that was the cause there; `elsewhere`
    counts jobs whose cause is not on the map at all, which speak for the catch-all.
    """

    level: str
    causes: Mapping[str, int] = field(default_factory=dict)
    elsewhere: int = 0

    @property
    def number(self) -> int:
        """How many jobs these are."""
        return sum(self.causes.values()) + self.elsewhere


@dataclass(frozen=True, slots=True)
class Prior:
    """The prior of one candidate and where it comes from.

    `prior` and `on_the_map` are probabilities; `own` of `jobs` earlier jobs had this cause, on the nearest
    level that has any; `own_weight` (0 to 1) is the share that the shop's history has in the prior.
    """

    prior: float
    on_the_map: float
    own: int = 0
    jobs: int = 0
    level: str = ""
    own_weight: float = 0.0

    @property
    def shown(self) -> str:
        """What stands beside the suspect: "2 of 9 earlier jobs with this symptom on this platform: 5 in 100
        becomes 12 in 100"."""
        if not self.jobs:
            return "no earlier jobs, weight of the map"
        kind = self.level.removeprefix("jobs ").removeprefix("other jobs") or "of other kinds"
        before, after = times_in_100(self.on_the_map), times_in_100(self.prior)
        counted = f"{self.own} of {count_text(self.jobs, 'earlier job')} {kind.strip()}"
        if before == after:
            return f"{counted}: stays at {after} in 100"
        return f"{counted}: {before} in 100 becomes {after} in 100"


def from_history(
    weights: Mapping[str, float],
    history: Sequence[Jobs],
    *,
    catch_all: str,
    strength: float = STRENGTH_JOBS,
) -> dict[str, Prior]:
    """Return the prior of each candidate.

    Parameters
    ----------
    weights : mapping
        Candidate id to the weight on the map; 0 or more, of any sum above 0.
    history : Jobs
        In any order; a level may be absent.
    catch_all : str
        The candidate that stands for whatever is not on the map.
    strength : float
        Jobs that the level above is worth, above 0.

    Returns
    -------
    dict
        In the order of `weights`; priors sum to 1. Without any job they are the weights over their sum. With
        some, that of the catch-all is at least `CATCH_ALL_LEAST`.

    Raises
    ------
    ValueError
        If a weight, a count or the strength cannot be used, or a count names no candidate.
    """
    on_the_map = _normal(weights)
    by_level = _checked(on_the_map, history, catch_all, strength)
    shares, left_of_map = dict(on_the_map), 1.0
    for level in LEVELS:
        counts = by_level.get(level, {})
        number = sum(counts.values())
        if number:
            shares = {
                name: (strength * share + counts.get(name, 0)) / (strength + number)
                for name, share in shares.items()
            }
            left_of_map *= strength / (strength + number)
    nearest = next((level for level in reversed(LEVELS) if sum(by_level.get(level, {}).values())), "")
    if nearest:
        shares = _with_floor(shares, catch_all)
    counts = by_level.get(nearest, {})
    return {
        name: Prior(shares[name], share, counts.get(name, 0), sum(counts.values()), nearest, 1 - left_of_map)
        for name, share in on_the_map.items()
    }


def with_priors(document: Mapping[str, Any], priors: Mapping[str, Prior]) -> dict[str, Any]:
    """Return the document with these priors in it, and with the word where they come from."""
    candidates = [{**each, "prior": priors[each["id"]].prior} for each in document["candidates"]]
    own = any(prior.own_weight for prior in priors.values())
    told = {"priors_from": "own-history"} if own else {}
    changed = {**document, "candidates": candidates}
    if told:
        changed["provenance"] = {**document.get("provenance", {}), **told}
    return changed


def _normal(weights: Mapping[str, float]) -> dict[str, float]:
    for name, weight in weights.items():
        if not (math.isfinite(weight) and weight >= 0):
            raise ValueError(f"The weight of {name} is {weight:g}. Weights must be 0 or more.")
    whole = math.fsum(weights.values())
    if not whole:
        raise ValueError("All weights are 0. At least one suspect must be possible.")
    return {name: weight / whole for name, weight in weights.items()}


def _checked(
    known: Mapping[str, float], history: Sequence[Jobs], catch_all: str, strength: float
) -> dict[str, dict[str, int]]:
    """Counts by level and candidate, jobs off the map under the catch-all."""
    if not (math.isfinite(strength) and strength > 0):
        raise ValueError(f"A strength of {strength:g} jobs cannot be used. It must be above 0.")
    if catch_all not in known:
        raise ValueError(f"The catch-all {catch_all} is none of the candidates.")
    by_level: dict[str, dict[str, int]] = {}
    for jobs in history:
        if jobs.level not in LEVELS:
            raise ValueError(f"There is no level '{jobs.level}'. Allowed: {', '.join(LEVELS)}.")
        counts = by_level.setdefault(jobs.level, {})
        for name, count in [*jobs.causes.items(), (catch_all, jobs.elsewhere)]:
            if name not in known:
                raise ValueError(f"{name} has earlier jobs but is none of the candidates.")
            if count < 0:
                raise ValueError(f"{name} has {count} earlier jobs. A count must be 0 or more.")
            counts[name] = counts.get(name, 0) + count
    return by_level


def _with_floor(shares: Mapping[str, float], catch_all: str) -> dict[str, float]:
    if shares[catch_all] >= CATCH_ALL_LEAST:
        return dict(shares)
    rest = 1 - shares[catch_all]
    lowered = {name: share * (1 - CATCH_ALL_LEAST) / rest for name, share in shares.items()}
    return {**lowered, catch_all: CATCH_ALL_LEAST}
