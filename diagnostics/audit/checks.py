"""Required steps and other gaps: which of them, left out, go with more comebacks."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from diagnostics.audit.compared import CheckRow
from diagnostics.audit.scope import Scope

Kind = Literal["steps", "gaps"]


@dataclass(frozen=True, slots=True)
class Price:
    """What a test costs, against what its absence goes with, for 100 jobs that skip it.

    None stands for not known, never for nothing.

    test_minutes : the test takes this long, once.
    extra : comebacks beyond those of jobs that did it, per 100 that skipped it, with its interval.
    extra_minutes, extra_money : those comebacks at the mean unbilled minutes and the mean known cost of one.
    """

    test_minutes: int | None
    extra: tuple[float, float, float] | None
    extra_minutes: tuple[float, float, float] | None
    extra_money: tuple[Decimal, Decimal, Decimal] | None


@dataclass(frozen=True, slots=True)
class ReturnMean:
    """The mean comeback of the jobs counted: its unbilled minutes and its known cost, and of how many."""

    minutes: float | None
    minutes_of: int
    money: Decimal | None
    money_of: int
    currency: str


@dataclass(frozen=True, slots=True)
class CheckTable:
    """All checks of one kind, those that stand out first, then the most often skipped.

    compared : how many passed the gate; the allowance for many comparisons counts these.
    filtered : in words, what makes this one comparison more; empty without a filter.
    """

    kind: Kind
    rows: tuple[CheckRow, ...]
    prices: dict[tuple[str, str], Price]
    mean: ReturnMean
    jobs: int
    came_back: int
    compared: int
    filtered: str

    @property
    def listed(self) -> tuple[CheckRow, ...]:
        """The checks that stand out."""
        return tuple(row for row in self.rows if row.listed)


def check_rows(scope: Scope, kind: Kind = "steps") -> CheckTable:
    """Return the required steps, or the other gaps, of the jobs of a scope whose window has run."""
    raise NotImplementedError
