"""Whether a change is made after a bad spell, which would have ended without it. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from math import comb

from diagnostics.learning.policy import BAD_SPELL_ALPHA, BAD_SPELL_FEWEST
from diagnostics.statistics.funnel import binomial_limits


@dataclass(frozen=True, slots=True)
class Spell:
    """The months before a change against the year before them.

    `better_anyway` is the chance that as many jobs again show a lower share with nothing changed, if the
    year's share is the true one. [1]
    """

    back: int
    jobs: int
    year_share: float
    limit: float
    better_anyway: float


def bad_spell(back: int, jobs: int, year_back: int, year_jobs: int) -> Spell | None:
    """Return the spell where it lies above the upper 95 % limit of the year before it, else None.

    Parameters
    ----------
    back, jobs : int
        Jobs of the spell that came back, and all of them; windows that have run only.
    year_back, year_jobs : int
        The same of the year before the spell.

    References
    ----------
    .. [1] practice.md section 8, before/after: 89 % after a quarter of 10 % or more of 60 at a true 6 %.
    """
    if jobs < 1 or year_jobs < BAD_SPELL_FEWEST or not 0 < year_back < year_jobs:
        return None
    share = year_back / year_jobs
    limit = binomial_limits(share, jobs, BAD_SPELL_ALPHA)[1]
    if back / jobs <= limit:
        return None
    return Spell(back, jobs, share, limit, chance_of_fewer(back, jobs, share))


def chance_of_fewer(back: int, jobs: int, share: float) -> float:
    """Return the chance that fewer than `back` of `jobs` come back at a true share. [1]"""
    return sum(comb(jobs, x) * share**x * (1 - share) ** (jobs - x) for x in range(back))
