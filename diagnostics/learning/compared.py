"""One measure before and after a change: shares, their difference, and what may be said. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

from diagnostics.statistics.planning import jobs_a_side
from diagnostics.statistics.proportions import Difference, Proportion, newcombe, proportion

Verdict = Literal["helped", "worse", "cannot_tell"]
FEWEST_A_SIDE = 10
"""statistics.md section 3.1: below 10 jobs the counts only."""


class Counts(NamedTuple):
    """How many of how many, before the change and after it."""

    before: int
    of_before: int
    after: int
    of_after: int


@dataclass(frozen=True, slots=True)
class Compared:
    """One measure on both sides; None where a side has no job. `more_jobs`: about so many more are needed."""

    counts: Counts
    before: Proportion | None
    after: Proportion | None
    difference: Difference | None
    verdict: Verdict
    more_jobs: int | None

    @property
    def too_few(self) -> bool:
        """Whether only the counts may be shown."""
        return min(self.counts.of_before, self.counts.of_after) < FEWEST_A_SIDE


def compare(
    counts: Counts, *, more_is_better: bool, expected: tuple[float | None, float | None] = (None, None)
) -> Compared:
    """Return what both sides say of a change.

    Parameters
    ----------
    counts : Counts
        Of both sides, each job counted alike and independent of the others.
    more_is_better : bool
        True for a step that should be done more often, False for comebacks.
    expected : pair of float or None
        The share before and the share aimed at, 0 to 1, as written down before the change; where one is
        missing, the share before the change and half of what can be won stand in.
    """
    x0, n0, x1, n1 = counts
    both = n0 > 0 and n1 > 0
    difference = newcombe(x1, n1, x0, n0) if both else None
    verdict = _verdict(difference, more_is_better) if min(n0, n1) >= FEWEST_A_SIDE else "cannot_tell"
    return Compared(
        counts,
        proportion(x0, n0) if n0 else None,
        proportion(x1, n1) if n1 else None,
        difference,
        verdict,
        _more_jobs(counts, more_is_better, expected) if verdict == "cannot_tell" else 0,
    )


def _verdict(difference: Difference | None, more_is_better: bool) -> Verdict:
    if difference is None or difference.low <= 0 <= difference.high:
        return "cannot_tell"
    return "helped" if (difference.low > 0) == more_is_better else "worse"


def _more_jobs(
    counts: Counts, more_is_better: bool, expected: tuple[float | None, float | None]
) -> int | None:
    """About how many more jobs after the change, before the expected change could be seen (power 80 %)."""
    first, second = expected
    if first is None:
        first = counts.before / counts.of_before if counts.of_before else None
    if first is None:
        return None
    if second is None:
        second = (1 + first) / 2 if more_is_better else first / 2
    if first == second or (second > first) != more_is_better:
        return None
    return max(0, jobs_a_side(first, second) - counts.of_after)
