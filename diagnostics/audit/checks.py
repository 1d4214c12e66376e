"""Required steps and other gaps: which of them, left out, go with more comebacks."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from django.db.models import Avg, Count, F, QuerySet
from django.db.models.functions import Coalesce

from diagnostics.audit.compared import CheckRow, ReturnMean, compare, priced
from diagnostics.audit.costing import Cost
from diagnostics.audit.counting import count_checks
from diagnostics.audit.scope import Scope
from diagnostics.models import TestKind, WatchedJob

Kind = Literal["steps", "gaps"]

_VISIT = "order__returns_from_it"
_COST = ("currency", "minutes", "loaded_rate", "parts", "transport", "goodwill", "credit")


@dataclass(frozen=True, slots=True)
class CheckTable:
    """All checks of one kind, those that stand out first, then the most often skipped.

    jobs, came_back : of the scope, whatever was asked of them.
    compared : how many checks had enough to judge; the allowance for many comparisons counts these.
    filters : in words, what narrows the jobs beyond their period; each is one more comparison.
    """

    kind: Kind
    rows: tuple[CheckRow, ...]
    mean: ReturnMean
    jobs: int
    came_back: int
    compared: int
    filters: tuple[str, ...]

    @property
    def listed(self) -> tuple[CheckRow, ...]:
        """The checks that stand out."""
        return tuple(row for row in self.rows if row.listed)

    def row(self, code: str, phase: str) -> CheckRow | None:
        """Return one check; None where the jobs did not ask for it."""
        return next((row for row in self.rows if (row.code, row.phase) == (code, phase)), None)


def check_rows(scope: Scope, kind: Kind = "steps") -> CheckTable:
    """Return the required steps, or the other gaps, of the jobs of a scope whose window has run."""
    rows = compare(count_checks(scope, are_gaps=kind == "gaps"))
    ripe = scope.ripe()
    total = ripe.aggregate(jobs=Count("pk"), came_back=Count("event"))
    mean = mean_return(ripe, total["came_back"])
    minutes = _minutes_of(row.code for row in rows if not row.is_gap)
    return CheckTable(
        kind=kind,
        rows=tuple(priced(row, minutes.get(row.code), mean) for row in rows),
        mean=mean,
        compared=sum(row.q is not None for row in rows),
        filters=tuple(name for name in ("technician", "system") if getattr(scope, name)),
        **total,
    )


def mean_return(ripe: QuerySet[WatchedJob], came_back: int) -> ReturnMean:
    """Return the mean of the returns that count on jobs with `event`.

    Minutes are those written with the cost of the return, else those on the return's own order. Money is of
    the currency that most returns are written in; currencies are never added.
    """
    counted = ripe.filter(**{f"{_VISIT}__counts": True, f"{_VISIT}__days": F("event")})
    minutes = Coalesce(f"{_VISIT}__cost__minutes", f"{_VISIT}__return_order__unbilled_minutes")
    found = counted.aggregate(minutes=Avg(minutes), minutes_of=Count(minutes))
    money, money_of, currency = _mean_money(counted)
    return ReturnMean(
        of=came_back,
        minutes=None if found["minutes"] is None else float(found["minutes"]),
        minutes_of=found["minutes_of"],
        money=money,
        money_of=money_of,
        currency=currency,
    )


def _mean_money(counted: QuerySet[WatchedJob]) -> tuple[Decimal | None, int, str]:
    rows = counted.filter(**{f"{_VISIT}__cost__isnull": False})
    known: dict[str, list[Decimal]] = {}
    for currency, *parts in rows.values_list(*(f"{_VISIT}__cost__{name}" for name in _COST)).iterator():
        amount = Cost(*parts).known
        if amount is not None:
            known.setdefault(currency, []).append(amount)
    if not known:
        return None, 0, ""
    currency, amounts = max(known.items(), key=lambda entry: (len(entry[1]), entry[0]))
    return round(sum(amounts, Decimal(0)) / len(amounts), 2), len(amounts), currency


def _minutes_of(codes: Iterable[str]) -> dict[str, int]:
    """How long the tests in force take, by code. [min]"""
    kinds = TestKind.objects.filter(code__in=set(codes), is_current=True)
    return dict(kinds.values_list("code", "minutes"))
