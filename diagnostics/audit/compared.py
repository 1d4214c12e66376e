"""Whether jobs that skipped a step came back more often than jobs that did it. Pure arithmetic on counts.

An association, never a cause: a skipped step may stand for a hard job, a full day or anything else that is
not recorded. Strata are the system and the difficulty of the complaint, both fixed at intake.

References
----------
.. [1] statistics.md sections 3.5 to 3.7 and 5.
.. [2] N. Mantel and J. L. Fleiss, Am. J. Epidemiol. 112 (1980) 129-134. From memory.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

from diagnostics.audit import policy
from diagnostics.statistics.fisher import fisher
from diagnostics.statistics.many import benjamini_hochberg
from diagnostics.statistics.proportions import Difference, Proportion, newcombe, proportion
from diagnostics.statistics.ratios import Ratio, risk_ratio
from diagnostics.statistics.strata import (
    Stratum,
    breslow_day,
    informative,
    mantel_fleiss,
    mh_difference,
    mh_ratio,
    mh_test,
)

Answer = Literal["too_few", "no_difference", "more", "fewer"]


@dataclass(frozen=True, slots=True)
class Cell:
    """Jobs of one stratum: how many skipped it, and how many did it; how many of each came back."""

    system: str
    difficulty: int | None
    skipped: int
    skipped_back: int
    done: int
    done_back: int

    @property
    def tells(self) -> bool:
        """Whether both were seen, so that they can be compared."""
        return bool(self.skipped and self.done)

    @property
    def stratum(self) -> Stratum:
        return Stratum(self.skipped_back, self.skipped, self.done_back, self.done)


@dataclass(frozen=True, slots=True)
class Counts:
    """What the database counted of one check on jobs whose window has run.

    `required`, `done`, `waived` and `skipped` are times it was asked for; `cells` and `waived_jobs` are jobs.
    A job that skipped it for one complaint and did it for another stands with the skipped ones; one that
    only waived it stands in no cell.
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

    @property
    def is_gap(self) -> bool:
        """Whether it is a rule that fired instead of a required step."""
        return not self.phase


@dataclass(frozen=True, slots=True)
class Gate:
    """Whether there is enough to judge. `more`: about how many more jobs; None where it cannot be said."""

    passed: bool
    more: int | None
    mantel_fleiss: float


@dataclass(frozen=True, slots=True)
class Adjusted:
    """The comparison within strata.

    jobs, dropped : jobs that could be compared, and jobs of strata where all did it or all skipped it.
    breslow_day_p : of one odds ratio in every stratum; None where fewer than two strata tell.
    """

    ratio: Ratio
    difference: Difference
    jobs: int
    dropped: int
    breslow_day_p: float | None

    @property
    def holds(self) -> bool:
        """Whether the strata agree well enough to be read as one."""
        return self.breslow_day_p is None or self.breslow_day_p >= policy.STRATA_DIFFER_P


@dataclass(frozen=True, slots=True)
class Price:
    """What a test takes, against what its absence goes with, for 100 jobs that skip it.

    None stands for not known, never for nothing. Three numbers are the value and the ends of its interval,
    which comes from the comebacks alone: the mean comeback is taken as it is.

    test_minutes : how long the test takes. [min]
    extra : comebacks beyond those of jobs that did it.
    extra_minutes : these at the mean unbilled minutes. [min]
    extra_money : these at the mean known cost, in the currency of the mean.
    """

    test_minutes: int | None
    extra: tuple[float, float, float] | None
    extra_minutes: tuple[float, float, float] | None
    extra_money: tuple[Decimal, Decimal, Decimal] | None


@dataclass(frozen=True, slots=True)
class ReturnMean:
    """The mean comeback: its unbilled minutes and its known cost, each of how many that know it."""

    of: int = 0
    minutes: float | None = None
    minutes_of: int = 0
    money: Decimal | None = None
    money_of: int = 0
    currency: str = ""


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One check as compared, jobs that skipped it against jobs that did it.

    difference, ratio : crude, of all jobs together; None where a side has no job.
    p : by `p_by`, "Mantel-Haenszel" or "Fisher exact".
    q : p after allowing for the number compared; None where the gate was not passed.
    listed : whether it stands out: q at most the policy's.
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
    price: Price | None = None

    @property
    def code(self) -> str:
        return self.counts.code

    @property
    def phase(self) -> str:
        return self.counts.phase

    @property
    def is_gap(self) -> bool:
        return self.counts.is_gap

    @property
    def extra(self) -> Difference | None:
        """Comebacks beyond those of jobs that did it, as a share; within strata where there are any."""
        return self.adjusted.difference if self.adjusted else self.difference

    @property
    def answer(self) -> Answer:
        """What can be said, in one word."""
        if not self.gate.passed or self.extra is None:
            return "too_few"
        if not self.listed:
            return "no_difference"
        return "more" if self.extra.value > 0 else "fewer"

    @property
    def beyond(self) -> float:
        """Comebacks of the jobs that skipped it beyond what the others let expect; below 0 where fewer."""
        return self.extra.value * self.when_skipped.of if self.extra and self.when_skipped else 0.0


def compare(every: Iterable[Counts]) -> tuple[CheckRow, ...]:
    """Return one row a check: those that stand out first, then by how often it was skipped.

    The allowance for many comparisons [1] counts the checks that have enough to judge, which the margins
    decide before anybody looks at who came back after what.
    """
    rows = [compare_one(counts) for counts in every]
    judged = [row for row in rows if row.gate.passed and row.p is not None]
    adjusted = benjamini_hochberg([row.p for row in judged if row.p is not None])
    q = {id(row): value for row, value in zip(judged, adjusted, strict=True)}
    listed = [
        replace(row, q=q[id(row)], listed=q[id(row)] <= policy.Q) if id(row) in q else row for row in rows
    ]
    return tuple(sorted(listed, key=_place))


def compare_one(counts: Counts) -> CheckRow:
    """Return one check compared, without the allowance for the others.

    The p-value is that of the Mantel-Haenszel test where the Mantel-Fleiss number is 5 or more [2], else that
    of Fisher's exact test of all jobs together, two-sided.
    """
    strata = [cell.stratum for cell in counts.cells]
    a, n1, c, n0 = (sum(column) for column in zip(*strata, strict=True)) if strata else (0, 0, 0, 0)
    number = mantel_fleiss(strata)
    both = bool(n1 and n0)
    p, p_by = _p(strata, number) if both else (None, "")
    return CheckRow(
        counts=counts,
        when_done=_share(c, n0),
        when_skipped=_share(a, n1),
        when_waived=_share(counts.waived_back, counts.waived_jobs),
        difference=newcombe(a, n1, c, n0) if both else None,
        ratio=risk_ratio(a, n1, c, n0) if both else None,
        adjusted=_adjusted(strata),
        p=p,
        p_by=p_by,
        gate=_gate(a + c, n1, n0, number),
    )


def priced(row: CheckRow, test_minutes: int | None, mean: ReturnMean) -> CheckRow:
    """Return the row with what the test takes; with what its absence goes with where that may be judged."""
    extra = row.extra if row.gate.passed else None
    if extra is None:
        return replace(row, price=Price(test_minutes, None, None, None))
    a_hundred = (100 * extra.value, 100 * extra.low, 100 * extra.high)
    return replace(
        row,
        price=Price(test_minutes, a_hundred, _times(a_hundred, mean.minutes), _money(a_hundred, mean.money)),
    )


def _times(extra: tuple[float, float, float], each: float | None) -> tuple[float, float, float] | None:
    return None if each is None else (extra[0] * each, extra[1] * each, extra[2] * each)


def _money(
    extra: tuple[float, float, float], each: Decimal | None
) -> tuple[Decimal, Decimal, Decimal] | None:
    if each is None:
        return None
    value, low, high = (round(Decimal(one) * each, 2) for one in extra)
    return value, low, high


def _share(count: int, of: int) -> Proportion | None:
    return proportion(count, of) if of else None


def _p(strata: Sequence[Stratum], number: float) -> tuple[float | None, str]:
    if number >= policy.MANTEL_FLEISS:
        return mh_test(strata).p, "Mantel-Haenszel"
    a, n1, c, n0 = (sum(column) for column in zip(*strata, strict=True))
    return fisher(((a, n1 - a), (c, n0 - c))), "Fisher exact"


def _adjusted(strata: Sequence[Stratum]) -> Adjusted | None:
    used = informative(strata)
    if not used:
        return None
    jobs = sum(one.n for one in used)
    return Adjusted(
        ratio=mh_ratio(used),
        difference=mh_difference(used),
        jobs=jobs,
        dropped=sum(one.n for one in strata) - jobs,
        breslow_day_p=breslow_day(used).p,
    )


def _gate(back: int, skipped: int, done: int, number: float) -> Gate:
    """The gate looks at the margins alone; each of them grows in step with the number of jobs."""
    asked = (
        (min(skipped, done), policy.GATE_JOBS),
        (back, policy.GATE_COMEBACKS),
        (number, policy.MANTEL_FLEISS),
    )
    passed = all(have >= need for have, need in asked)
    if passed:
        return Gate(True, 0, number)
    if any(have <= 0 for have, _ in asked):
        return Gate(False, None, number)
    grow = max(need / have for have, need in asked)
    return Gate(False, math.ceil((skipped + done) * (grow - 1)), number)


def _place(row: CheckRow) -> tuple[bool, float, int, int, str, str]:
    counts = row.counts
    return (
        not row.listed,
        -row.beyond if row.listed else 0.0,
        -counts.skipped,
        -counts.required,
        row.code,
        row.phase,
    )
