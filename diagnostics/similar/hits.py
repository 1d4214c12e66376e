"""How often an earlier job like it would have named the cause: each job left out in turn.

Only what was known when the job was opened is used: words, system, symptom, pattern, conditions and vehicle,
no readings; and only jobs of other vehicles that were handed back before. Beside it stands the plain rule:
the components that were most often the cause of that symptom.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from time import perf_counter

from diagnostics.models import Cause, KeptAudit
from diagnostics.similar.finding import rank
from diagnostics.similar.scoring import distinct, plain
from shop.models import Complaint, RepairOrder

KEY = "similar-hits"
MOST_JOBS = 300
LOOKED_AT = 5
JOBS_THAT_VOTE = 30  # Our own choice.


@dataclass(frozen=True, slots=True)
class Hits:
    """Of `jobs`, in how many the cause stood first, or among the first five components, by either way."""

    jobs: int
    first: int
    among_five: int
    plain_first: int
    plain_among_five: int


def leave_one_out(*, most: int = MOST_JOBS) -> Hits:
    """Return the hit rate over the newest jobs that have a named cause and a symptom."""
    causes = Cause.objects.filter(order__watched__isnull=False).exclude(component="")
    newest = causes.order_by("-order__returned_on", "-pk").values_list(
        "order_id", "complaint_ref", "component"
    )
    counts: Counter[str] = Counter()
    for order_pk, complaint_ref, component in list(newest[:most]):
        complaint = Complaint.objects.filter(order=order_pk, ref=complaint_ref).first()
        if complaint is None:
            continue
        order = RepairOrder.objects.select_related("vehicle").get(pk=order_pk)
        counts["jobs"] += 1
        _count(counts, "", distinct(_by_likeness(order, complaint)), component)
        _count(counts, "plain_", distinct(_most_often(order, complaint)), component)
    return Hits(
        counts["jobs"],
        counts["first"],
        counts["among_five"],
        counts["plain_first"],
        counts["plain_among_five"],
    )


def keep_hits(*, at: datetime) -> Hits:
    """Measure the hit rate and keep it for the page."""
    began = perf_counter()
    hits = leave_one_out()
    values = {"asked": {}, "body": asdict(hits), "computed_at": at, "seconds": perf_counter() - began}
    KeptAudit.objects.update_or_create(key=KEY, defaults=values)
    return hits


def kept_hits() -> Hits | None:
    """Return the hit rate as it was last measured; None before the first time."""
    kept = KeptAudit.objects.filter(key=KEY).first()
    return Hits(**kept.body) if kept else None


def _count(counts: Counter[str], way: str, named: Sequence[str], component: str) -> None:
    wanted = plain(component)
    places = [plain(one) for one in named[:LOOKED_AT]]
    counts[f"{way}first"] += places[:1] == [wanted]
    counts[f"{way}among_five"] += wanted in places


def _by_likeness(order: RepairOrder, complaint: Complaint) -> list[str]:
    """Return the causes of the likest jobs, the one with the most points together first."""
    ranked = {
        one.job.pk: one.score.points
        for one in rank(order, complaint, before=order.opened_on)[:JOBS_THAT_VOTE]
    }
    votes: dict[str, float] = defaultdict(float)
    for pk, component in Cause.objects.filter(order__in=ranked).values_list("order_id", "component"):
        votes[component] += ranked[pk]
    return [component for component, _ in sorted(votes.items(), key=lambda one: (-one[1], one[0]))]


def _most_often(order: RepairOrder, complaint: Complaint) -> list[str]:
    earlier = Cause.objects.filter(
        order__watched__system=complaint.system,
        order__watched__symptom=complaint.symptom,
        order__watched__returned_on__lt=order.opened_on,
    ).exclude(order__vehicle=order.vehicle_id)
    counts = Counter(earlier.values_list("component", flat=True))
    return [component for component, _ in sorted(counts.items(), key=lambda one: (-one[1], one[0]))]
