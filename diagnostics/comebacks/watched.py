"""The visits of one vehicle as the audit counts them. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from decimal import Decimal
from typing import NamedTuple

from diagnostics.comebacks.carried import Carried, carried
from diagnostics.comebacks.pairs import Pair, can_be_index, vehicle_pairs
from diagnostics.comebacks.reviewed import ReviewState, counts_after_review
from diagnostics.evidence import RULES, settled
from diagnostics.evidence.asked import Check, checks_of
from diagnostics.snapshot import Complaint, Instrument, Location, Order

YEAR_DAYS = 365
NOTHING_CARRIED = Carried((), (), (), (), (), ())
# Work of these reasons asks for evidence; the other reasons are asked for nothing.
REASONS_ASKED = frozenset({"cause", "consequential", "customer_request"})
# What a chain, a check or the notice of a return is read from.
RULES_ASKED = frozenset({code for code, rule in RULES.items() if rule.link} | {"R4", "R14"})
OLDEST_VEHICLE_YEARS = 200  # More is a slip of the pen in the year.
MOST_KM = 2**31 - 1  # What the column holds.


class Job(NamedTuple):
    """One order that can be come back from: the columns of its row, in their order, but for the keys."""

    technician: str
    returned_on: date
    mature_on: date
    left_on: date | None
    outcome: str
    system: str
    symptom: str
    is_intermittent: bool | None
    difficulty: int | None
    vehicle_years: int | None
    odometer_km: int | None
    chain: str
    chain_link: str
    back_days: int | None
    low_days: int | None
    up_days: int | None
    year_days: int | None


@dataclass(frozen=True, slots=True)
class Watched:
    """What the visits of one vehicle come to. All by order id."""

    pairs: tuple[Pair, ...]  # those that are kept
    left: Mapping[str, Carried]  # of each earlier order of a kept pair
    jobs: Mapping[str, Job]
    checks: Mapping[str, tuple[Check, ...]] = field(default_factory=dict)


def watch(
    visits: Sequence[Order],
    *,
    instruments: Mapping[str, Instrument],
    reviews: Mapping[tuple[str, str], ReviewState],
) -> Watched:
    """Return the pairs, jobs and checks of one vehicle.

    Parameters
    ----------
    visits : sequence of Order
        All of one vehicle, in the order on the record, with everything that rules and comparison read.
    instruments : mapping of id to Instrument
        The shop's list.
    reviews : mapping of (index order, return order) to ReviewState
        Those that are on record; a pair that is missing is not reviewed.

    References
    ----------
    .. [1] practice.md section 8, comeback rate, and section 9.
    """
    pairs = vehicle_pairs(visits)
    kept = tuple(pair for pair in pairs if is_kept(pair))
    counting = _by_index(kept)
    year = _by_index(_year_pairs(visits, pairs))
    earlier = {pair.index_order for pair in kept}
    left, jobs, checks = {}, {}, {}
    for order in visits:
        if order.returned is None or not can_be_index(order):
            continue
        chain, link = "", ""
        if asks_the_rules(order):
            terms, findings, chains = settled(order, instruments=instruments, rules=RULES_ASKED)
            checks[order.id] = checks_of(terms, findings)
            leading = leading_complaint(order)
            if leading is not None and leading.id in chains:
                chain, link = chains[leading.id].status, chains[leading.id].link
            if order.id in earlier:
                left[order.id] = carried(order, findings)
        elif order.id in earlier:
            left[order.id] = NOTHING_CARRIED
        returns = counting.get(order.id, ())
        days = _Days(returns, reviews, _first(year.get(order.id, ())))
        jobs[order.id] = _job(order, order.returned.on, chain, link, days)
    return Watched(kept, left, jobs, checks)


def is_kept(pair: Pair) -> bool:
    """Say whether a pair is stored: every candidate, and related returns that came too late."""
    return pair.verdict != "not_candidate" or (pair.reason == "outside_window" and (pair.days or 0) >= 0)


def asks_the_rules(order: Order) -> bool:
    """Say whether an order has anything of which the rules counted here, or its chain, could speak."""
    return (
        bool(order.assumptions)
        or any(complaint.kind == "symptom" or complaint.required for complaint in order.complaints)
        or any(item.reason in REASONS_ASKED for item in order.work)
    )


def leading_complaint(order: Order) -> Complaint | None:
    """Return the first symptom complaint on the record, else the first complaint."""
    symptoms = (complaint for complaint in order.complaints if complaint.kind == "symptom")
    return next(symptoms, next(iter(order.complaints), None))


def a_year_of(location: Location) -> Location:
    """Return a location whose window is 365 days, and its distance in the same proportion."""
    days, km = location.window_days, location.window_km
    return replace(location, window_days=YEAR_DAYS, window_km=km * Decimal(YEAR_DAYS) / days if days else km)


class _Days(NamedTuple):
    """What the days to the first return are read from."""

    returns: Sequence[Pair]
    reviews: Mapping[tuple[str, str], ReviewState]
    within_a_year: int | None

    def reviewed(self, *, upper: bool) -> int | None:
        return _earliest(
            pair
            for pair in self.returns
            if counts_after_review(
                pair.verdict,
                self.reviews.get((pair.index_order, pair.return_order), "unreviewed"),
                upper=upper,
            )
        )


def _job(order: Order, returned_on: date, chain: str, link: str, days: _Days) -> Job:
    leading, gone_on = leading_complaint(order), order.vehicle.left_on
    return Job(
        technician=order.technician,
        returned_on=returned_on,
        mature_on=_days_after(returned_on, order.location.window_days + 1),
        left_on=gone_on if gone_on and gone_on >= returned_on else None,
        outcome=order.outcome or "",
        system=leading.system.strip() if leading else "",
        symptom=leading.symptom.strip() if leading else "",
        is_intermittent=leading.pattern == "intermittent" if leading and leading.pattern else None,
        difficulty=leading.difficulty if leading else None,
        vehicle_years=_age(order),
        odometer_km=_whole_km(order.odo_in_km),
        chain=chain,
        chain_link=link,
        back_days=_first(days.returns),
        low_days=days.reviewed(upper=False),
        up_days=days.reviewed(upper=True),
        year_days=days.within_a_year,
    )


def _days_after(day: date, days: int) -> date:
    return day + timedelta(days=min(days, (date.max - day).days))


def _age(order: Order) -> int | None:
    """Whole calendar years at arrival; next year's model is new."""
    if order.vehicle.year is None:
        return None
    age = order.opened.on.year - order.vehicle.year
    return max(age, 0) if -1 <= age <= OLDEST_VEHICLE_YEARS else None


def _whole_km(value: Decimal | None) -> int | None:
    if value is None or not -MOST_KM <= value <= MOST_KM:
        return None
    return round(value)


def _year_pairs(visits: Sequence[Order], pairs: Sequence[Pair]) -> Sequence[Pair]:
    """The pairs within a year. They are the same ones while no related return lies outside its window."""
    if not any(_could_change_in_a_year(pair) for pair in pairs) and not any(
        visit.location.window_days > YEAR_DAYS for visit in visits
    ):
        return pairs
    years = {visit.location: a_year_of(visit.location) for visit in visits}
    return vehicle_pairs([replace(visit, location=years[visit.location]) for visit in visits])


def _could_change_in_a_year(pair: Pair) -> bool:
    return pair.reason == "outside_window" and pair.days is not None and 0 <= pair.days <= YEAR_DAYS


def _by_index(pairs: Iterable[Pair]) -> dict[str, list[Pair]]:
    found: dict[str, list[Pair]] = defaultdict(list)
    for pair in pairs:
        if pair.counts:
            found[pair.index_order].append(pair)
    return found


def _first(pairs: Iterable[Pair]) -> int | None:
    return _earliest(pair for pair in pairs if pair.verdict == "comeback")


def _earliest(pairs: Iterable[Pair]) -> int | None:
    return min((pair.days for pair in pairs if pair.days is not None), default=None)
