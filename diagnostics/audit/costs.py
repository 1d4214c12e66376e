"""What the comebacks of a scope cost, per component, cause and code; currencies are never added."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet

from diagnostics.audit.costing import Cost, CostSum, cost_sum, time_cost
from diagnostics.audit.scope import Scope
from diagnostics.models import ReturnReview, ReturnVisit, TestKind
from diagnostics.review.codes import CODES, GROUPS

NOT_CODED = "none"
AMOUNTS = ("minutes", "loaded_rate", "parts", "transport", "goodwill", "credit")
COLUMNS = {  # The stored columns without which a component is not known.
    "labour": ("minutes", "loaded_rate"),
    "parts": ("parts",),
    "transport": ("transport",),
    "goodwill": ("goodwill",),
    "credit": ("credit",),
}


@dataclass(frozen=True, slots=True)
class CauseCost:
    """The returns of one cause group or one code. `key` is "none" for those that nobody has coded yet.

    `query` are the URL parameters that open its returns.
    """

    key: str
    label: str
    sum: CostSum
    query: dict[str, str]


@dataclass(frozen=True, slots=True)
class Prevention:
    """What the skipped steps would have cost, on the returns where both sides are known.

    `returns` of `with_skipped` returns whose earlier job skipped a required step: their skipped steps take
    `minutes`, which cost `steps_cost`; the returns cost `returns_cost` as far as it is known. Whether the
    steps would have shown the fault, no sum can say.
    """

    with_skipped: int
    returns: int
    minutes: int
    steps_cost: Decimal
    returns_cost: Decimal


@dataclass(frozen=True, slots=True)
class CurrencyCosts:
    """All that was written down in one currency."""

    currency: str
    total: CostSum
    by_group: tuple[CauseCost, ...]
    by_code: tuple[CauseCost, ...]
    prevention: Prevention


@dataclass(frozen=True, slots=True)
class Costs:
    """The costs of the comebacks of a scope: `returns` in all, `unpriced` of them with nothing written down.

    One entry a currency, the one with most returns first; empty while nothing is written down.
    """

    as_of: date
    returns: int
    unpriced: int
    currencies: tuple[CurrencyCosts, ...]

    @property
    def sums(self) -> tuple[tuple[str, Decimal], ...]:
        """What is known of each currency, for a line on another page."""
        return tuple((each.currency, each.total.known) for each in self.currencies)


@dataclass(frozen=True, slots=True)
class _Priced:
    """One return with a cost on record."""

    code: str
    cost: Cost
    skipped: tuple[str, ...]
    rate: Decimal | None  # an hour, of this return or of the shop of the earlier job


def costs(scope: Scope) -> Costs:
    """Return what the returns to the jobs of `scope` cost, as far as it was written down. Four queries.

    Every return that counts is in it, also a second one to the same job; jobs whose window still runs too,
    since what was spent is spent.

    References
    ----------
    .. [1] practice.md section 8, cost of a comeback.
    """
    returns = scope.returns()
    priced = _priced(returns)
    minutes = _minutes({code for each in priced.values() for one in each for code in one.skipped})
    currencies = [_of_currency(name, each, minutes) for name, each in priced.items()]
    currencies.sort(key=lambda each: (-each.total.of, each.currency))
    number = returns.count()
    return Costs(scope.as_of, number, number - sum(each.total.of for each in currencies), tuple(currencies))


def returns_behind(scope: Scope, params: Mapping[str, str]) -> QuerySet[ReturnVisit]:
    """Return the returns behind one sum of the page.

    Parameters
    ----------
    scope : Scope
    params : mapping
        Any of `currency`, `group`, `code` ("none": not coded), `known` (component that is known),
        `unknown` (component that is not), `priced` ("no": nothing written down).
    """
    returns = scope.returns()
    if params.get("priced") == "no":
        returns = returns.filter(cost=None)
    if currency := params.get("currency"):
        returns = returns.filter(cost__currency=currency)
    firsts = ReturnReview.objects.filter(is_second=False)
    if NOT_CODED in (params.get("group"), params.get("code")):
        returns = returns.exclude(pk__in=firsts.values("visit"))
    elif group := params.get("group"):
        returns = returns.filter(pk__in=firsts.filter(primary__startswith=group).values("visit"))
    elif code := params.get("code"):
        returns = returns.filter(pk__in=firsts.filter(primary=code).values("visit"))
    if columns := COLUMNS.get(params.get("known", "")):
        returns = _knowing(returns, columns)
    if columns := COLUMNS.get(params.get("unknown", "")):
        returns = returns.filter(cost__isnull=False).exclude(pk__in=_knowing(returns, columns).values("pk"))
    return returns


def _knowing(returns: QuerySet[ReturnVisit], columns: Sequence[str]) -> QuerySet[ReturnVisit]:
    """Those that know a component; no minutes cost nothing at any rate."""
    known = returns.filter(**{f"cost__{column}__isnull": False for column in columns})
    return known | returns.filter(cost__minutes=0) if "minutes" in columns else known


def _priced(returns: QuerySet[ReturnVisit]) -> dict[str, list[_Priced]]:
    firsts = ReturnReview.objects.filter(is_second=False, visit__in=returns.values("pk"))
    codes = dict(firsts.order_by().values_list("visit", "primary"))
    found: dict[str, list[_Priced]] = defaultdict(list)
    rows = (
        returns.filter(cost__isnull=False)
        .order_by()
        .values_list(
            "pk",
            "skipped",
            "index_order__location__currency",
            "index_order__location__loaded_rate",
            "cost__currency",
            *(f"cost__{name}" for name in AMOUNTS),
        )
    )
    for pk, skipped, shop_currency, shop_rate, currency, *amounts in rows:
        cost = Cost(*amounts)
        rate = cost.rate if cost.rate is not None else shop_rate if shop_currency == currency else None
        found[currency].append(_Priced(codes.get(pk, ""), cost, tuple(skipped), rate))
    return found


def _of_currency(currency: str, priced: Sequence[_Priced], minutes: Mapping[str, int]) -> CurrencyCosts:
    return CurrencyCosts(
        currency=currency,
        total=cost_sum(each.cost for each in priced),
        by_group=_by(priced, "group", currency),
        by_code=_by(priced, "code", currency),
        prevention=_prevention(priced, minutes),
    )


def _by(priced: Iterable[_Priced], what: str, currency: str) -> tuple[CauseCost, ...]:
    """The sums by cause group or by code, in the order of the table of codes; those not coded last."""
    names = dict(GROUPS) if what == "group" else {code: each.label for code, each in CODES.items()}
    found: dict[str, list[Cost]] = defaultdict(list)
    for each in priced:
        found[each.code[:1] if what == "group" else each.code].append(each.cost)
    rows = [
        CauseCost(key, name, cost_sum(found[key]), {"currency": currency, what: key})
        for key, name in names.items()
        if key in found
    ]
    if "" in found:
        label, query = "not coded yet", {"currency": currency, what: NOT_CODED}
        rows.append(CauseCost(NOT_CODED, label, cost_sum(found[""]), query))
    return tuple(rows)


def _prevention(priced: Iterable[_Priced], minutes: Mapping[str, int]) -> Prevention:
    with_skipped = [each for each in priced if each.skipped]
    both = [
        (sum(minutes[code] for code in each.skipped), each.rate, each.cost.known)
        for each in with_skipped
        if each.rate is not None and each.cost.known is not None and minutes.keys() >= set(each.skipped)
    ]
    return Prevention(
        with_skipped=len(with_skipped),
        returns=len(both),
        minutes=sum(taken for taken, _, _ in both),
        steps_cost=sum((time_cost(taken, rate) or Decimal(0) for taken, rate, _ in both), Decimal(0)),
        returns_cost=sum((known for _, _, known in both if known is not None), Decimal(0)),
    )


def _minutes(codes: set[str]) -> dict[str, int]:
    """Return how long each test takes, by code; a code that the shop does not know is left out."""
    kinds = TestKind.objects.filter(code__in=codes, is_current=True)
    return dict(kinds.values_list("code", "minutes"))
