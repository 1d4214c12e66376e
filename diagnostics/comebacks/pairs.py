"""Earlier and later orders of one vehicle, each pair with its provisional verdict."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence, Set
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from itertools import groupby
from typing import Literal

from diagnostics.comebacks.exclusions import Exclusion, exclusions
from diagnostics.comebacks.relation import (
    LEVELS,
    Level,
    Relation,
    Report,
    Traces,
    relation,
    reports_of,
    traces_of,
)
from diagnostics.comebacks.window import InWindow, Window, days_between, distance_km, in_window, window_of
from diagnostics.comebacks.wording import sentence
from diagnostics.snapshot import Order, Work

Verdict = Literal["comeback", "needs_review", "not_candidate", "excluded"]

# Handed back with one of these, an order can be come back from. practice.md section 9.
INDEX_OUTCOMES = frozenset({"repaired", "no_fault_found", "monitor"})

EXCLUSION_REASONS: dict[Exclusion, str] = {
    "X1": "declined_work",
    "X2": "planned_return",
    "X3": "outside_damage",
    "X4": "other_work",
}
LEVEL_REASONS: dict[Level, str] = {
    "S": "same_complaint",
    "W": "same_work",
    "Y": "same_system",
    "P": "possibly_related",
}


@dataclass(frozen=True, slots=True)
class Pair:
    """One earlier and one later order of a vehicle, and what section 9 says of the two.

    `days` and `km` are given where they are known, below zero too. `counts` marks the one
    pair that a return is counted in; the other pairs of that return are for reading only.
    """

    index_order: str
    return_order: str
    level: Level
    level_complaint: str
    days: int | None
    km: Decimal | None
    in_window: InWindow
    verdict: Verdict
    reason: str
    exclusion: Exclusion | Literal[""] = ""
    counts: bool = False

    @property
    def why(self) -> str:
        """The reason as a plain sentence."""
        return sentence(self.reason, self.days)


@dataclass(frozen=True, slots=True)
class _Visit:
    """One order with what its pairs ask of it again and again."""

    order: Order
    traces: Traces
    reports: tuple[Report, ...]
    can_be_index: bool


def vehicle_pairs(
    orders: Sequence[Order], *, as_of: date | None = None, window: Window | None = None
) -> tuple[Pair, ...]:
    """Return every pair of an earlier and a later order of one vehicle.

    Parameters
    ----------
    orders : sequence of n Order
        All of one vehicle, in the order on the record.
    as_of : date, optional
        Leave out what was opened after that day, and hold what was handed back after it for still open.
        Causes carry no date and are read as they are now.
    window : Window, optional
        Instead of the window of each earlier order's own location.

    Returns
    -------
    tuple of up to n (n - 1) / 2 Pair
        By return, then by earlier order, both in the order of opening. At most one pair of a return counts.

    References
    ----------
    .. [1] practice.md section 9.
    """
    visits = [_visit(order) for order in in_opening_order(_known_by(orders, as_of))]
    taken_over: set[str] = set()
    found: list[Pair] = []
    for at, later in enumerate(visits):
        pairs = [_judge(earlier, later, window) for earlier in visits[:at]]
        counting = _counting(pairs, taken_over)
        found.extend(replace(pair, counts=True) if pair is counting else pair for pair in pairs)
        taken_over.update(pair.index_order for pair in pairs if _takes_over(pair, later.order))
    return tuple(found)


def pairs_by_vehicle(
    orders: Iterable[Order], *, as_of: date | None = None, window: Window | None = None
) -> Iterator[Pair]:
    """Yield the pairs of every vehicle among `orders`; each vehicle as in `vehicle_pairs`."""
    for group in by_vehicle(orders):
        yield from vehicle_pairs(group, as_of=as_of, window=window)


def by_vehicle(orders: Iterable[Order]) -> tuple[tuple[Order, ...], ...]:
    """Return the orders of each vehicle together, in the order on the record.

    The same vehicle is the same id, or the same VIN whatever the ids.
    """
    recorded = tuple(orders)
    alias: dict[str, str] = {}
    for order in recorded:
        key = _root(alias, f"id {order.vehicle.id}")
        if vin := order.vehicle.vin.strip().upper():
            alias[key] = _root(alias, f"VIN {vin}")
    groups: dict[str, list[Order]] = {}
    for order in recorded:
        groups.setdefault(_root(alias, f"id {order.vehicle.id}"), []).append(order)
    return tuple(tuple(group) for group in groups.values())


def in_opening_order(orders: Iterable[Order]) -> tuple[Order, ...]:
    """Return orders by date of opening, on one date by time where two have one, else as recorded.

    An order without a time of day keeps its place on the record among those of its date; the ones
    with a time share out the other places by time. So the result never depends on the sorting method,
    as it could where an untimed order stands between two timed ones recorded the wrong way round.
    """
    by_date = groupby(sorted(orders, key=_opened_on), key=_opened_on)
    return tuple(order for _, same_date in by_date for order in _by_time(list(same_date)))


def can_be_index(order: Order) -> bool:
    """Say whether an order can be come back from: handed back, and not with everything declined."""
    return order.returned is not None and order.outcome in INDEX_OUTCOMES


def as_it_stood(order: Order, as_of: date | None) -> Order:
    """Return `order` with a hand-over after `as_of` taken back: its date, outcome and odometer out."""
    if as_of is None or order.returned is None or order.returned.on <= as_of:
        return order
    return replace(order, returned=None, outcome=None, odo_out=None)


def _known_by(orders: Iterable[Order], as_of: date | None) -> Iterator[Order]:
    return (as_it_stood(order, as_of) for order in orders if as_of is None or order.opened.on <= as_of)


def _visit(order: Order) -> _Visit:
    return _Visit(order, traces_of(order), reports_of(order), can_be_index(order))


def _judge(earlier: _Visit, later: _Visit, window: Window | None) -> Pair:
    index = earlier.order
    days, km = days_between(index, later.order), distance_km(index, later.order)
    inside = in_window(days, km, window or window_of(index.location))
    related = relation(earlier.traces, later.reports, since_repair=later.order.since_repair)
    verdict, reason, exclusion = _verdict(earlier, later, related, inside)
    return Pair(
        index_order=index.id,
        return_order=later.order.id,
        level=related.level,
        level_complaint=related.report.complaint if related.report else "",
        days=days,
        km=km,
        in_window=inside,
        verdict=verdict,
        reason=reason,
        exclusion=exclusion,
    )


def _verdict(
    earlier: _Visit, later: _Visit, related: Relation, inside: InWindow
) -> tuple[Verdict, str, Exclusion | Literal[""]]:
    """The provisional verdict: the first match wins, in the order of section 9."""
    if not earlier.can_be_index:
        return "not_candidate", "index_not_eligible", ""
    if not later.reports:
        return "not_candidate", "no_symptom_complaint", ""
    if related.report is None:
        return "not_candidate", "unrelated", ""
    if inside == "false":
        return "not_candidate", "outside_window", ""
    on_file, claimed = exclusions(earlier.order, later.order, related.report)
    if on_file:
        return "excluded", EXCLUSION_REASONS[on_file], on_file
    if claimed:
        return "needs_review", f"exclusion_without_evidence:{claimed}", ""
    if inside != "true":
        return "needs_review", "distance_unknown" if inside == "unknown" else "odometer_conflict", ""
    return "comeback" if related.level in ("S", "W") else "needs_review", LEVEL_REASONS[related.level], ""


def _counting(pairs: Sequence[Pair], taken_over: Set[str]) -> Pair | None:
    """The pair a return counts in: the strongest level, and of two alike the latest index order.

    A pair that is no candidate (index order not eligible, unrelated, outside the window) never
    counts. An excluded pair can: the return is matched before the exclusion is looked at, so a
    weaker pair does not step in for it.
    """
    counting: Pair | None = None
    for pair in pairs:
        if pair.verdict == "not_candidate" or pair.index_order in taken_over:
            continue
        if counting is None or LEVELS.index(pair.level) <= LEVELS.index(counting.level):
            counting = pair
    return counting


def _takes_over(pair: Pair, later: Order) -> bool:
    """Whether this planned return stands in for its index order from now on.

    Section 9 asks two things, X2 on file and a work item on the complaint that gave the level, and
    sets no other: the planned return stands in for every later return, related to it or not, and
    whether or not that return was counted with another index order.
    """
    return pair.exclusion == "X2" and any(
        complaint_of(item, later) == pair.level_complaint for item in later.work
    )


def complaint_of(item: Work, order: Order) -> str:
    """Return the id of the complaint a work item belongs to: its own, else that of its linked cause.

    An id that names no complaint of the order is none, and where both are none the result is empty.
    """
    complaints = {complaint.id for complaint in order.complaints}
    linked = (cause.complaint for cause in order.causes if cause.id == item.cause)
    return next((named for named in (item.complaint, *linked) if named in complaints), "")


def _opened_on(order: Order) -> date:
    return order.opened.on


def _by_time(same_date: list[Order]) -> list[Order]:
    timed = [(order.opened.instant, place) for place, order in enumerate(same_date) if order.opened.instant]
    in_time = [same_date[place] for _, place in sorted(timed)]
    ordered = list(same_date)
    for (_, place), order in zip(timed, in_time, strict=True):
        ordered[place] = order
    return ordered


def _root(alias: dict[str, str], key: str) -> str:
    while (parent := alias.setdefault(key, key)) != key:
        alias[key] = alias[parent]
        key = parent
    return key
