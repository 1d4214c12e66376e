"""Changed symptoms against those not changed in the same months. Pure.

What changes for all jobs in the same months, a season or a new hand, is taken out by comparing within months;
what always set the changed symptoms apart, by taking off the difference they had before. What happened to the
changed symptoms alone at the same time is not.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from diagnostics.learning.compared import Verdict
from diagnostics.statistics.proportions import Difference
from diagnostics.statistics.strata import Stratum, informative, mantel_fleiss, mh_difference

Group = tuple[str, str]
FEWEST_EXPECTED = 5
"""Mantel-Fleiss: below 5 the pooled difference is not to be trusted (statistics.md section 3.6)."""


class Cell(NamedTuple):
    """Jobs of one system and symptom handed back in one month (its first day); windows that have run."""

    group: Group
    month: date
    back: int
    jobs: int


@dataclass(frozen=True, slots=True)
class Stepped:
    """How far changed symptoms lay from the others, before and after, and the difference of both. [1]

    References
    ----------
    .. [1] Mantel-Haenszel risk difference over months (statistics.md section 3.6); the difference of two such
       differences has the sum of their variances, each read off its interval.
    """

    before: Difference
    after: Difference
    change: Difference
    verdict: Verdict
    jobs: int
    other_jobs: int
    months: int


def stepped(cells: Iterable[Cell], changed_in: Mapping[Group, date], last: date) -> Stepped | None:
    """Return the comparison of all changes together; None where too few jobs can be compared.

    Parameters
    ----------
    cells : iterable of Cell
        Of all symptoms, changed or not.
    changed_in : mapping of group to date
        The month in which its protocol was changed, as its first day. That month is on neither side.
    last : date
        First day of the last month that counts whole.
    """
    by_month = _by_month(cells)
    before: list[Stratum] = []
    after: list[Stratum] = []
    months: set[date] = set()
    for month in sorted(set(changed_in.values())):
        changed = {group for group, day in changed_in.items() if day == month}
        since = _months(_add(month, 1), last)
        earlier = _months(_add(month, -len(since)), _add(month, -1))
        other = {
            group
            for found in by_month.values()
            for group in found
            if not (earlier and earlier[0] <= changed_in.get(group, date.max) <= last)
        }
        after += [_stratum(by_month.get(one, {}), changed, other) for one in since]
        before += [_stratum(by_month.get(one, {}), changed, other) for one in earlier]
        months.update(since)
    before, after = list(informative(before)), list(informative(after))
    if min(mantel_fleiss(before), mantel_fleiss(after)) < FEWEST_EXPECTED:
        return None
    return _stepped(before, after, len(months))


def _stepped(before: Sequence[Stratum], after: Sequence[Stratum], months: int) -> Stepped:
    then, now = mh_difference(before), mh_difference(after)
    value = now.value - then.value
    half = (_half(then) ** 2 + _half(now) ** 2) ** 0.5
    change = Difference(value, value - half, value + half)
    verdict: Verdict = "helped" if change.high < 0 else "worse" if change.low > 0 else "cannot_tell"
    return Stepped(
        then, now, change, verdict, sum(one.n1 for one in after), sum(one.n0 for one in after), months
    )


def _half(difference: Difference) -> float:
    return (difference.high - difference.low) / 2


def _by_month(cells: Iterable[Cell]) -> dict[date, dict[Group, Cell]]:
    found: dict[date, dict[Group, Cell]] = {}
    for cell in cells:
        found.setdefault(cell.month, {})[cell.group] = cell
    return found


def _stratum(found: Mapping[Group, Cell], changed: Collection[Group], other: Collection[Group]) -> Stratum:
    one = [cell for group, cell in found.items() if group in changed]
    two = [cell for group, cell in found.items() if group in other]
    return Stratum(
        sum(cell.back for cell in one),
        sum(cell.jobs for cell in one),
        sum(cell.back for cell in two),
        sum(cell.jobs for cell in two),
    )


def _months(first: date, last: date) -> list[date]:
    found = []
    while first <= last:
        found.append(first)
        first = _add(first, 1)
    return found


def _add(month: date, months: int) -> date:
    place = month.year * 12 + month.month - 1 + months
    return date(place // 12, place % 12 + 1, 1)
