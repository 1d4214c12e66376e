"""The owner's numbers: the comeback rate, by system, and the steps that were skipped."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from diagnostics.comebacks import MIN_ORDERS_TO_COMPARE, Pair, Rates, is_mature, rate
from diagnostics.comebacks.rate import Reviews
from diagnostics.review.facts import Facts
from diagnostics.review.steps import StepCount, count_steps, share_of
from diagnostics.snapshot import Order
from diagnostics.statistics.proportions import Proportion


@dataclass(frozen=True, slots=True)
class SystemRate:
    """How many of the orders with a complaint of one system came back."""

    system: str
    share: Proportion

    @property
    def too_few(self) -> bool:
        """Whether only the count may be shown."""
        return self.share.of < MIN_ORDERS_TO_COMPARE


@dataclass(frozen=True, slots=True)
class Audit:
    """What a period of index orders tells.

    `too_young` counts the orders of the period whose window has not passed. `came_back` and `others` count
    orders as reviewed, by the provisional verdict where nobody has reviewed them yet.
    """

    rates: Rates
    too_young: int
    by_system: tuple[SystemRate, ...]
    steps: tuple[StepCount, ...]
    came_back: int
    others: int

    @property
    def skipped_steps(self) -> tuple[StepCount, ...]:
        """The steps that were skipped at least once."""
        return tuple(step for step in self.steps if step.skipped)

    @property
    def kept_steps(self) -> tuple[StepCount, ...]:
        """The steps that were never skipped."""
        return tuple(step for step in self.steps if not step.skipped)


def last_year(today: date, window_days: int) -> tuple[date, date]:
    """Return the newest twelve months of hand-overs whose window has passed, both days included."""
    until = today - timedelta(days=window_days + 1)
    return _year_before(until) + timedelta(days=1), until


def audit(facts: Facts, *, as_of: date, system: str = "") -> Audit:
    """Return what the facts tell on a day.

    Parameters
    ----------
    facts : Facts
        Of one period.
    as_of : date
        Orders whose window is not over on that day are left out, and counted as too young.
    system : str
        Only orders with a complaint of this system, and only steps its complaints asked for.
    """
    chosen = [o for o in facts.orders if not system or system in facts.systems.get(o.id, ())]
    mature = {order.id: order for order in chosen if is_mature(order, as_of=as_of)}
    pairs = [pair for pair in facts.pairs if pair.index_order in mature]
    came_back = _came_back(pairs, mature, as_of=as_of, reviews=facts.reviews)
    steps = [s for s in facts.steps if s.order in mature and (not system or s.system == system)]
    return Audit(
        rates=rate(pairs, mature.values(), as_of=as_of, reviews=facts.reviews),
        too_young=len(chosen) - len(mature),
        by_system=tuple(_by_system(mature, facts.systems, came_back)),
        steps=count_steps(steps, came_back),
        came_back=len(came_back),
        others=len(mature) - len(came_back),
    )


def _came_back(
    pairs: Iterable[Pair], mature: Mapping[str, Order], *, as_of: date, reviews: Reviews
) -> frozenset[str]:
    """Return the orders that the lower reviewed rate counts. The rate itself says which."""
    by_order: dict[str, list[Pair]] = defaultdict(list)
    for pair in pairs:
        by_order[pair.index_order].append(pair)
    rates = {
        number: rate(found, [mature[number]], as_of=as_of, reviews=reviews).all_orders
        for number, found in by_order.items()
    }
    return frozenset(
        number for number, one in rates.items() if one.reviewed_lower and one.reviewed_lower.count
    )


def _by_system(
    mature: Iterable[str], systems: Mapping[str, frozenset[str]], came_back: frozenset[str]
) -> Iterator[SystemRate]:
    orders: dict[str, set[str]] = defaultdict(set)
    for number in mature:
        for system in systems.get(number, ()):
            orders[system].add(number)
    for system, numbers in sorted(orders.items()):
        share = share_of(numbers, came_back)
        if share is not None:
            yield SystemRate(system, share)


def _year_before(day: date) -> date:
    is_leap_day = (day.month, day.day) == (2, 29)
    return day.replace(year=day.year - 1, day=28 if is_leap_day else day.day)
