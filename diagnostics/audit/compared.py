"""Whether jobs that skipped a step came back more often than jobs that did it. Pure arithmetic on counts.

An association, never a cause: the words of `CheckRow.say` hold to that.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

from diagnostics.statistics.proportions import Difference, Proportion
from diagnostics.statistics.ratios import Ratio

Answer = Literal["too_few", "no_difference", "more", "fewer"]


class Cell(NamedTuple):
    """Jobs of one stratum: how many skipped it, and how many did it; how many of each came back."""

    system: str
    difficulty: int | None
    skipped: int
    skipped_back: int
    done: int
    done_back: int


@dataclass(frozen=True, slots=True)
class Counts:
    """What the database counted of one check on jobs whose window has run.

    `required`, `done`, `waived` and `skipped` are times it was asked for; `cells` and `waived_jobs` are jobs. A
    job that skipped it for one complaint and did it for another stands with the skipped ones; one that only
    waived it stands in no cell.
    """

    code: str
    phase: str
    done: int
    waived: int
    skipped: int
    cells: tuple[Cell, ...] = ()
    waived_jobs: int = 0
    waived_back: int = 0

    @property
    def required(self) -> int:
        """How often it was asked for."""
        return self.done + self.waived + self.skipped


@dataclass(frozen=True, slots=True)
class Gate:
    """Whether there is enough to judge. `more`: about how many more jobs; None where it cannot be said."""

    passed: bool
    says: str
    more: int | None
    mantel_fleiss: float


@dataclass(frozen=True, slots=True)
class Adjusted:
    """The comparison within strata of system and difficulty.

    dropped : jobs of strata where all did it or all skipped it; they tell nothing.
    breslow_day_p : of the odds ratio being the same in every stratum; None where there is one stratum.
    """

    ratio: Ratio
    difference: Difference
    jobs: int
    dropped: int
    breslow_day_p: float | None
    holds: bool


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One check as compared.

    p : by `p_by`, "Mantel-Haenszel" or "Fisher exact"; None where a side has no job.
    q : p after allowing for the number compared; None where the gate was not passed.
    listed : whether it stands out, q at most the policy's.
    """

    counts: Counts
    when_done: Proportion | None
    when_skipped: Proportion | None
    when_waived: Proportion | None
    difference: Difference | None
    ratio: Ratio | None
    adjusted: Adjusted | None
    p: float | None
    p_by: str
    gate: Gate
    q: float | None = None
    listed: bool = False

    @property
    def code(self) -> str:
        return self.counts.code

    @property
    def phase(self) -> str:
        return self.counts.phase

    @property
    def answer(self) -> Answer:
        """What can be said, in one word."""
        raise NotImplementedError

    @property
    def say(self) -> str:
        """What can be said, as a sentence."""
        raise NotImplementedError
