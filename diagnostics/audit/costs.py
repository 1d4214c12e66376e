"""What the comebacks of a scope cost, per component, cause and code; currencies are never added."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from diagnostics.audit.costing import CostSum
from diagnostics.audit.scope import Scope


@dataclass(frozen=True, slots=True)
class CauseCost:
    """The returns of one cause group or one code. `key` is empty for those that nobody has coded yet."""

    key: str
    label: str
    sum: CostSum
    query: dict[str, str]  # URL parameters that open its returns


@dataclass(frozen=True, slots=True)
class Prevention:
    """What the skipped steps would have cost, on the returns where both sides are known.

    `returns` of `with_skipped` returns whose earlier job skipped a required step: their skipped steps take
    `minutes`, which cost `steps_cost`; the returns cost `returns_cost` as far as known.
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


def costs(scope: Scope) -> Costs:
    """Return what the returns to the jobs of `scope` cost, as far as it was written down."""
    return Costs(scope.as_of, 0, 0, ())
