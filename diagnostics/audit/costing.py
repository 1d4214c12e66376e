"""What one return cost, and what several did: sums of money in one currency (practice.md section 8).

Cost of a comeback = unbilled minutes x loaded rate + parts and consumables not recovered + loan vehicle and
transport + goodwill given - supplier credit. What is not known stays unknown and is named; it is never zero.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

CENT = Decimal("0.01")
MINUTES_AN_HOUR = 60

COMPONENTS: Mapping[str, str] = {
    "labour": "minutes nobody can bill",
    "parts": "parts and consumables not recovered",
    "transport": "loan vehicle and transport",
    "goodwill": "goodwill given",
    "credit": "supplier credit",
}
"""Each component of the formula by its key, in its order; the credit is taken off."""


@dataclass(frozen=True, slots=True)
class Cost:
    """What one return cost, each component as it was written; None is not known.

    Amounts are in one currency, `rate` is an amount an hour.
    """

    minutes: int | None = None
    rate: Decimal | None = None
    parts: Decimal | None = None
    transport: Decimal | None = None
    goodwill: Decimal | None = None
    credit: Decimal | None = None

    @property
    def labour(self) -> Decimal | None:
        """Unbilled minutes at the loaded rate, to the cent; zero minutes cost nothing at any rate."""
        if self.minutes is None:
            return None
        return time_cost(self.minutes, self.rate)

    @property
    def amounts(self) -> dict[str, Decimal | None]:
        """Each component by its key, the credit as it was written."""
        return {name: getattr(self, name) for name in COMPONENTS}

    @property
    def unknown(self) -> tuple[str, ...]:
        """The components that are not known, by key."""
        return tuple(name for name, amount in self.amounts.items() if amount is None)

    @property
    def is_complete(self) -> bool:
        """Whether every component is known."""
        return not self.unknown

    @property
    def known(self) -> Decimal | None:
        """The sum of what is known, the credit taken off; None where nothing is."""
        amounts = [
            -amount if name == "credit" else amount
            for name, amount in self.amounts.items()
            if amount is not None
        ]
        return sum(amounts, Decimal(0)) if amounts else None


@dataclass(frozen=True, slots=True)
class ComponentSum:
    """One component summed over the returns that know it: `known` of `of`."""

    key: str
    amount: Decimal
    known: int
    of: int

    @property
    def label(self) -> str:
        """Its words."""
        return COMPONENTS[self.key]

    @property
    def unknown(self) -> int:
        """How many of the returns do not know it."""
        return self.of - self.known


@dataclass(frozen=True, slots=True)
class CostSum:
    """Several returns in one currency.

    `of` returns, `priced` of them with at least one component known, `complete` with all of them. `known` is
    the sum of what is known, the credit taken off.
    """

    known: Decimal
    of: int
    priced: int
    complete: int
    components: tuple[ComponentSum, ...]


def time_cost(minutes: int, rate: Decimal | None) -> Decimal | None:
    """Return what these minutes cost at a rate an hour, to the cent; no minutes cost nothing at any rate."""
    if minutes == 0:
        return Decimal("0.00")
    if rate is None:
        return None
    return (minutes * rate / MINUTES_AN_HOUR).quantize(CENT, ROUND_HALF_UP)


def cost_sum(costs: Iterable[Cost]) -> CostSum:
    """Return the sum of several returns' costs, all in one currency, with how many know each component."""
    every = list(costs)
    components = []
    for key in COMPONENTS:
        known = [amount for cost in every if (amount := cost.amounts[key]) is not None]
        components.append(ComponentSum(key, sum(known, Decimal(0)), len(known), len(every)))
    return CostSum(
        known=sum((cost.known for cost in every if cost.known is not None), Decimal(0)),
        of=len(every),
        priced=sum(cost.known is not None for cost in every),
        complete=sum(cost.is_complete for cost in every),
        components=tuple(components),
    )
