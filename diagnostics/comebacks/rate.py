"""The comeback rate: how many of the orders whose window is over were come back from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from diagnostics.comebacks.pairs import Pair, as_it_stood, can_be_index
from diagnostics.comebacks.reviewed import ReviewState, counts_after_review
from diagnostics.comebacks.window import Window, window_has_passed, window_of
from diagnostics.snapshot import Order
from diagnostics.statistics.proportions import Proportion, proportion

MIN_ORDERS_TO_COMPARE = 30  # Policy, practice.md section 8.

Reviews = Mapping[tuple[str, str], ReviewState]

NO_REVIEWS: Reviews = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Rate:
    """Comebacks of `index_orders`; the three figures are None where there is no order.

    `reviewed_lower` leaves the undetermined out and `reviewed_upper` counts them.
    """

    index_orders: int
    provisional: Proportion | None
    reviewed_lower: Proportion | None
    reviewed_upper: Proportion | None

    @property
    def too_few_to_compare(self) -> bool:
        """Whether only the count may be shown, without a comparison."""
        return self.index_orders < MIN_ORDERS_TO_COMPARE


@dataclass(frozen=True, slots=True)
class Rates:
    """The rate of all index orders, and the row of those closed as no fault found, which are among them."""

    all_orders: Rate
    no_fault_found: Rate


def rate(
    pairs: Iterable[Pair],
    orders: Iterable[Order],
    *,
    as_of: date,
    window: Window | None = None,
    reviews: Reviews = NO_REVIEWS,
) -> Rates:
    """Return the comeback rate of the index orders whose window days have all passed.

    Parameters
    ----------
    pairs : iterable of Pair
        Of all the vehicles, from `vehicle_pairs` with the same `as_of` and `window`. Only counting pairs
        are looked at, and an index order is come back from at most once however many follow.
    orders : iterable of Order
        The orders to be counted: a whole shop's, or a selection of them as index orders.
    as_of : date
        The day of the count. An order whose window ends on that day is not counted yet.
    window : Window, optional
        Instead of the window of each order's own location.
    reviews : mapping of (index order, return order) to ReviewState
        A pair that is missing, or is still in review, stands by its provisional verdict.

    Returns
    -------
    Rates
        Each with Wilson 95 % intervals, which take orders as independent; one vehicle can supply several.

    References
    ----------
    .. [1] practice.md section 8, comeback rate, and section 9, review states.
    """
    mature = {order.id: order for order in orders if is_mature(order, as_of=as_of, window=window)}
    counting = [pair for pair in pairs if pair.counts and pair.index_order in mature]
    came_back = _ComeBack(
        provisional=frozenset(pair.index_order for pair in counting if pair.verdict == "comeback"),
        lower=frozenset(pair.index_order for pair in counting if _is_reviewed(pair, reviews, upper=False)),
        upper=frozenset(pair.index_order for pair in counting if _is_reviewed(pair, reviews, upper=True)),
    )
    not_found = frozenset(order.id for order in mature.values() if order.outcome == "no_fault_found")
    return Rates(_rate(frozenset(mature), came_back), _rate(not_found, came_back))


def is_mature(order: Order, *, as_of: date, window: Window | None = None) -> bool:
    """Say whether `order` is an index order whose window days have all passed on `as_of`."""
    known = as_it_stood(order, as_of)
    if known.returned is None or not can_be_index(known):
        return False
    return window_has_passed(known.returned.on, window or window_of(order.location), as_of)


@dataclass(frozen=True, slots=True)
class _ComeBack:
    """Ids of the index orders come back from, by each way of counting."""

    provisional: frozenset[str]
    lower: frozenset[str]
    upper: frozenset[str]


def _is_reviewed(pair: Pair, reviews: Reviews, *, upper: bool) -> bool:
    state = reviews.get((pair.index_order, pair.return_order), "unreviewed")
    return counts_after_review(pair.verdict, state, upper=upper)


def _rate(index_orders: frozenset[str], came_back: _ComeBack) -> Rate:
    def share(ids: frozenset[str]) -> Proportion | None:
        return proportion(len(ids & index_orders), len(index_orders)) if index_orders else None

    return Rate(
        len(index_orders), share(came_back.provisional), share(came_back.lower), share(came_back.upper)
    )
