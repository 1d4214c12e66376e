"""Part batches held against the other batches of the same part: a screen, and no proof. Pure.

A job has failed when it came back as the audit counts it, whatever part the return was about: which component
failed is known of a return only once its cause is found, and "same complaint" outranks "same work". A
batch that stands out is a reason to look at its parts, no more.

References
----------
.. [1] practice.md section 8, part batch.
.. [2] S. J. W. Evans et al., Pharmacoepidemiol. Drug Saf. 10 (2001) 483-486: at least 3 cases, ratio at
   least 2, chi-square at least 4. From memory; without continuity correction, as tables of these criteria
   that print the formula have it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from diagnostics.audit import policy


@dataclass(frozen=True, slots=True)
class Fitted:
    """How many jobs had a part of this number and batch fitted, and how many of them came back."""

    number: str
    batch: str
    part: str
    failed: int
    of: int


@dataclass(frozen=True, slots=True)
class Batch:
    """One batch against the other batches of its part number; counts are jobs.

    ratio : of the shares that failed; None where no other failed, or there is no other.
    chi_square : None where there is no other batch, or all or none failed.
    signal : at least 3 failed, ratio at least 2, chi-square at least 4.
    """

    number: str
    batch: str
    part: str
    failed: int
    of: int
    others_failed: int
    others_of: int
    ratio: float | None
    chi_square: float | None
    signal: bool

    @property
    def beyond(self) -> float:
        """Failed jobs more than the share of the other batches lets expect."""
        return self.failed - self.of * self.others_failed / self.others_of if self.others_of else 0.0


def screened(every: Iterable[Fitted]) -> tuple[Batch, ...]:
    """Return the batches of which a job failed: signals first, then the largest chi-square."""
    by_number: dict[str, list[Fitted]] = defaultdict(list)
    for one in every:
        by_number[one.number].append(one)
    rows = []
    for batches in by_number.values():
        failed, of = sum(one.failed for one in batches), sum(one.of for one in batches)
        rows += [_against(one, failed - one.failed, of - one.of) for one in batches if one.failed]
    return tuple(
        sorted(rows, key=lambda row: (not row.signal, -(row.chi_square or 0), row.number, row.batch))
    )


def chi_square(a: int, n1: int, c: int, n0: int) -> float | None:
    """Return Pearson's chi-square of a of n1 against c of n0; None where a margin is empty."""
    b, d = n1 - a, n0 - c
    below = n1 * n0 * (a + c) * (b + d)
    return (n1 + n0) * (a * d - b * c) ** 2 / below if below else None


def _against(one: Fitted, others_failed: int, others_of: int) -> Batch:
    chi = chi_square(one.failed, one.of, others_failed, others_of)
    ratio = (one.failed * others_of) / (one.of * others_failed) if others_failed else None
    # Where no other failed the ratio has no end, which is more than any limit.
    is_often = bool(others_of) and (ratio is None or ratio >= policy.BATCH_RATIO)
    return Batch(
        number=one.number,
        batch=one.batch,
        part=one.part,
        failed=one.failed,
        of=one.of,
        others_failed=others_failed,
        others_of=others_of,
        ratio=ratio,
        chi_square=chi,
        signal=one.failed >= policy.BATCH_FAILED
        and is_often
        and chi is not None
        and chi >= policy.BATCH_CHI_SQUARE,
    )
