"""One measure before and after a change: shares, their difference, and what may be said. Pure."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

from diagnostics.statistics.planning import Verdict, before_after, jobs_a_side
from diagnostics.statistics.proportions import Difference, Proportion, proportion

__all__ = ["FEWEST_A_SIDE", "Compared", "Counts", "Verdict", "after_a_bad_spell", "compare"]

FEWEST_A_SIDE = 10
"""statistics.md section 3.1: below 10 jobs the counts only."""
USUAL_STEP, USUAL_BACK = (0.8, 0.95), (0.06, 0.03)
"""Planned for where nothing was expected and nothing can be halved. practice.md section 8: 6 % back."""

Shares = tuple[float | None, float | None]


class Counts(NamedTuple):
    """How many of how many, before the change and after it."""

    before: int
    of_before: int
    after: int
    of_after: int


@dataclass(frozen=True, slots=True)
class Compared:
    """One measure on both sides; None where a side has no job.

    `more_jobs`: about so many more are needed after the change, to see what was hoped for; None where nothing
    is known of the jobs before. `few_before`: those before are too few ever to see it. `is_withheld`: it
    would be called helpful, had it not been made after a bad spell.
    """

    counts: Counts
    before: Proportion | None
    after: Proportion | None
    difference: Difference | None
    verdict: Verdict
    more_jobs: int | None
    few_before: bool = False
    is_withheld: bool = False

    @property
    def too_few(self) -> bool:
        """Whether only the counts may be shown."""
        return min(self.counts.of_before, self.counts.of_after) < FEWEST_A_SIDE


def compare(counts: Counts, *, more_is_better: bool, expected: Shares = (None, None)) -> Compared:
    """Return what both sides say of a change.

    However often one looks, a change that did nothing is called helpful at most 5 times in 100 (see
    `before_after`), and nothing is said below 10 jobs a side.

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
    hoped = _hoped(counts, more_is_better, expected)
    if not n0 or not n1:
        more = jobs_a_side(*hoped) if n0 else None
        sides = proportion(x0, n0) if n0 else None, proportion(x1, n1) if n1 else None
        return Compared(counts, *sides, None, "cannot_tell", more)
    found = before_after((x0, n0), (x1, n1), hoped=hoped, lower_is_better=not more_is_better)
    is_told = min(n0, n1) >= FEWEST_A_SIDE and found.verdict != "cannot_tell"
    return Compared(
        counts,
        found.before,
        found.after,
        found.difference,
        found.verdict if is_told else "cannot_tell",
        0 if is_told else max(found.needed - n1, 0) if found.more is None else found.more,
        few_before=not is_told and found.more is None,
    )


def after_a_bad_spell(found: Compared) -> Compared:
    """Return what may be said of a change that was made after a bad spell: never that it helped.

    What follows a stretch picked because it was bad is mostly better with nothing changed. In simulation
    (10 % seen at a true 8 %) 27 in 100 changes that did nothing would be called helpful, and no bound allows
    for it.
    """
    return replace(found, verdict="cannot_tell", is_withheld=True) if found.verdict == "helped" else found


def _hoped(counts: Counts, more_is_better: bool, expected: Shares) -> tuple[float, float]:
    first, second = expected
    if first is None:
        first = counts.before / counts.of_before if counts.of_before else None
    if first is not None and second is None:
        second = (1 + first) / 2 if more_is_better else first / 2
    if first is None or second is None or first == second:
        return USUAL_STEP if more_is_better else USUAL_BACK
    return first, second
