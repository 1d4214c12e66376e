"""The comeback rate of a scope: counted in the database, with what is uncertain about it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal

from django.db.models import Count, Q, QuerySet, Sum

from diagnostics.audit import policy
from diagnostics.audit.scope import COLUMNS, DEFAULT_LEVELS, Counted, Scope
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
    """Return the rate of a scope, every way it is published. Six queries, eight with levels of one's own."""
    n = _counts(scope)
    ripe = n["ripe"]
    return Headline(
        jobs=n["jobs"],
        too_young=n["jobs"] - ripe,
        provisional=_share(n["provisional"], ripe),
        reviewed_low=_share(n["reviewed_low"], ripe),
        reviewed_high=_share(n["reviewed_high"], ripe),
        no_fault_found=_share(n["not_found_back"], n["not_found"]),
        naive=_share(n["provisional"] + _back_so_far(scope), n["jobs"]),
        windows=_windows(scope, n),
        fewest=fewest_to_compare(scope),
        left=n["left"],
        watched_from_one_vehicle=_from_one_vehicle(scope, ripe),
    )


def _counts(scope: Scope) -> dict[str, int]:
    """Count the jobs and their events by each way, in one pass over them."""
    ripe = Q(mature_on__lte=scope.as_of)
    not_found = ripe & Q(outcome="no_fault_found")
    short = Q(returned_on__lt=scope.as_of - timedelta(days=policy.SHORT_DAYS))
    long = Q(returned_on__lt=scope.as_of - timedelta(days=policy.LONG_DAYS))
    # Of the windows only the verdict counts: the returns of a year are matched for it alone.
    counts = {
        "jobs": Count("pk"),
        "left": Count("left_on", filter=Q(left_on__lte=scope.as_of)),
        "ripe": Count("pk", filter=ripe),
        "provisional": Count("event", filter=ripe),
        "not_found": Count("pk", filter=not_found),
        "not_found_back": Count("event", filter=not_found),
        "by_verdict": Count("back_days", filter=ripe),
        "short": Count("pk", filter=short),
        "short_back": Count("pk", filter=short & Q(back_days__lte=policy.SHORT_DAYS)),
        "long": Count("pk", filter=long),
        "long_back": Count("year_days", filter=long),
    }
    jobs = scope.as_counted("provisional").jobs()
    reviewed: tuple[Counted, ...] = ("reviewed_low", "reviewed_high")
    if scope.levels == DEFAULT_LEVELS:
        return jobs.aggregate(**counts, **{way: Count(COLUMNS[way], filter=ripe) for way in reviewed})
    found: dict[str, int] = jobs.aggregate(**counts)
    for way in reviewed:
        found |= scope.as_counted(way).ripe().aggregate(**{way: Count("event")})
    return found


def _back_so_far(scope: Scope) -> int:
    """Count the jobs whose window has not run and that had come back by the day of the count."""
    young = scope.as_counted("provisional").jobs().filter(mature_on__gt=scope.as_of, event__isnull=False)
    days = young.values_list("returned_on", "event").annotate(n=Count("pk"))
    return sum(n for returned_on, event, n in days if (scope.as_of - returned_on).days >= event)


def _windows(scope: Scope, n: dict[str, int]) -> tuple[Window, ...]:
    """Return the rate at 30 days, at the window of the policy, and at 365 days, by the verdict."""
    policies = set(_locations(scope).values_list("window_days", "window_km").distinct())
    days, km = policies.pop() if len(policies) == 1 else (0, None)
    year_km = (km * policy.LONG_DAYS / days).quantize(Decimal(1)) if days and km is not None else None
    return (
        Window(policy.SHORT_DAYS, km, _share(n["short_back"], n["short"])),
        Window(days, km, _share(n["by_verdict"], n["ripe"]), is_policy=True),
        Window(policy.LONG_DAYS, year_km, _share(n["long_back"], n["long"])),
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
