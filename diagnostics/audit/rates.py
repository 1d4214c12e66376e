"""The comeback rate of a scope: counted in the database, with what is uncertain about it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal

from django.db.models import Count, Q, QuerySet, Sum

from diagnostics.audit import policy
from diagnostics.audit.scope import DEFAULT_LEVELS, Counted, Scope
from diagnostics.statistics.proportions import Proportion, proportion
from shop.models import Location

FEWEST_OF_ONE_VEHICLE = 3
MOST_FROM_ONE_VEHICLE = 0.2  # Jobs of such vehicles among all. statistics.md section 2.


@dataclass(frozen=True, slots=True)
class Window:
    """Jobs that came back within so many days, of those watched that long.

    days : 30, the window of the policy (0 where the shops differ), or 365.
    km : the distance limit, whichever ends first; None where the shops differ.
    """

    days: int
    km: Decimal | None
    share: Proportion | None
    is_policy: bool = False


@dataclass(frozen=True, slots=True)
class Headline:
    """How many of the jobs whose window has fully run came back; None where there is no such job.

    The two reviewed figures leave the undetermined out, and count them. `no_fault_found` is the provisional
    share of the jobs closed so, which are among the others; `naive` is comebacks so far over all jobs handed
    back, which is too low whenever some are young, and `too_young` says how many are.
    """

    jobs: int
    too_young: int
    provisional: Proportion | None
    reviewed_low: Proportion | None
    reviewed_high: Proportion | None
    no_fault_found: Proportion | None
    naive: Proportion | None
    windows: tuple[Window, ...]
    fewest: int
    left: int
    watched_from_one_vehicle: float

    def share(self, counted: Counted) -> Proportion | None:
        """Return the share by one way to count."""
        return {
            "provisional": self.provisional,
            "reviewed_low": self.reviewed_low,
            "reviewed_high": self.reviewed_high,
        }[counted]

    @property
    def too_few_to_compare(self) -> bool:
        """Whether only the count may be shown."""
        return self.provisional is None or self.provisional.of < self.fewest

    @property
    def is_narrow(self) -> bool:
        """Whether the intervals are too narrow, because many jobs are of the same vehicles."""
        return self.watched_from_one_vehicle > MOST_FROM_ONE_VEHICLE


def headline(scope: Scope) -> Headline:
    """Return the rate of a scope, every way it is published. Nine queries, whatever there is."""
    ways: tuple[Counted, ...] = ("provisional", "reviewed_low", "reviewed_high")
    ripe = _ripe_counts(scope, ways)
    ever = scope.jobs().aggregate(jobs=Count("pk"), left=Count("left_on", filter=Q(left_on__lte=scope.as_of)))
    of = ripe["jobs"]
    return Headline(
        jobs=ever["jobs"],
        too_young=ever["jobs"] - of,
        provisional=_share(ripe["provisional"], of),
        reviewed_low=_share(ripe["reviewed_low"], of),
        reviewed_high=_share(ripe["reviewed_high"], of),
        no_fault_found=_share(ripe["nff_back"], ripe["nff"]),
        naive=_share(ripe["provisional"] + _back_so_far(scope), ever["jobs"]),
        windows=_windows(scope, ripe["provisional"], of),
        fewest=fewest_to_compare(scope),
        left=ever["left"],
        watched_from_one_vehicle=_from_one_vehicle(scope, of),
    )


def _ripe_counts(scope: Scope, ways: tuple[Counted, ...]) -> dict[str, int]:
    """Count the ripe jobs once, and their events by each way."""
    jobs = scope.as_counted("provisional").ripe()
    not_found = Q(outcome="no_fault_found")
    counts = {
        "jobs": Count("pk"),
        "provisional": Count("event"),
        "nff": Count("pk", filter=not_found),
        "nff_back": Count("event", filter=not_found),
    }
    if scope.levels == DEFAULT_LEVELS:
        counts |= {"reviewed_low": Count("low_days"), "reviewed_high": Count("up_days")}
        return jobs.aggregate(**counts)
    found: dict[str, int] = jobs.aggregate(**counts)
    for way in ways[1:]:
        found |= scope.as_counted(way).ripe().aggregate(**{way: Count("event")})
    return found


def _back_so_far(scope: Scope) -> int:
    """Count the jobs whose window has not run and that had come back by the day of the count."""
    young = scope.as_counted("provisional").jobs().filter(mature_on__gt=scope.as_of, event__isnull=False)
    days = young.values_list("returned_on", "event").annotate(n=Count("pk"))
    return sum(n for returned_on, event, n in days if (scope.as_of - returned_on).days >= event)


def _windows(scope: Scope, back: int, of: int) -> tuple[Window, ...]:
    """Return the rate at 30 days, at the window of the policy, and at 365 days.

    Only the verdict counts here, whatever levels are named: the returns of a year are matched for it alone.
    """
    jobs = scope.as_counted("provisional").jobs()
    short = jobs.filter(returned_on__lt=scope.as_of - timedelta(days=policy.SHORT_DAYS))
    long = jobs.filter(returned_on__lt=scope.as_of - timedelta(days=policy.LONG_DAYS))
    soon = short.aggregate(jobs=Count("pk"), back=Count("pk", filter=Q(back_days__lte=policy.SHORT_DAYS)))
    late = long.aggregate(jobs=Count("pk"), back=Count("year_days"))
    policies = set(_locations(scope).values_list("window_days", "window_km").distinct())
    days, km = policies.pop() if len(policies) == 1 else (0, None)
    year_km = (km * policy.LONG_DAYS / days).quantize(Decimal(1)) if days and km is not None else None
    return (
        Window(policy.SHORT_DAYS, km, _share(soon["back"], soon["jobs"])),
        Window(days, km, _share(back, of), is_policy=True),
        Window(policy.LONG_DAYS, year_km, _share(late["back"], late["jobs"])),
    )


def fewest_to_compare(scope: Scope) -> int:
    """Return the policy number of the shops asked about: the largest where they differ."""
    numbers = _locations(scope).values_list("fewest_to_compare", flat=True)
    return max(numbers, default=policy.FEWEST_TO_COMPARE)


def _locations(scope: Scope) -> QuerySet[Location]:
    shops = Location.objects.order_by()
    return shops.filter(code=scope.location) if scope.location else shops


def _from_one_vehicle(scope: Scope, jobs: int) -> float:
    """Return the share of ripe jobs that are of a vehicle with three or more of them."""
    of_vehicle = scope.as_counted("provisional").ripe().values("vehicle").annotate(n=Count("pk"))
    many = of_vehicle.filter(n__gte=FEWEST_OF_ONE_VEHICLE).aggregate(jobs=Sum("n"))["jobs"]
    return (many or 0) / jobs if jobs else 0.0


def _share(count: int, of: int) -> Proportion | None:
    return proportion(count, of) if of else None
