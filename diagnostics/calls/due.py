"""Which customers to call: chosen in SQL, oldest due first.

A call is due some days after hand-over (`Location.follow_up_days`) where a repair was not proved, where
trials are left to the customer, or where a safety item was declined. A visit since then, or the vehicle's
leaving, takes it off; a call that was made takes it off until the day on which to call again.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.db.models import (
    CharField,
    DateField,
    DateTimeField,
    DurationField,
    Exists,
    ExpressionWrapper,
    F,
    IntegerField,
    Max,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
)
from django.db.models.functions import Cast, Coalesce

from diagnostics.models import CustomerTrial, FollowUp, TrialSeries, WatchedCheck, WatchedJob
from shop.models import Complaint, DeclinedItem, Location, RepairOrder, WorkItem

Kind = FollowUp.Kind
ROW = ("order", "about", "subject", "due")
DECLINED_FOR_DAYS = 365
"""A declined safety item is asked about for so long after it was due. Policy of this product."""
MOST_COUNTED = 100
"""Where only the number is shown, counting stops here."""


def calls_due(as_of: date, location: Location | None = None, *, order: int | None = None) -> QuerySet:
    """Return the calls that are due on a day, oldest first.

    The rows are dicts of `order`, `about` (the kind of call), `subject` and `due`; the query set may be
    sliced, paged and counted, not filtered. `order` is the key of the one order that is asked about.
    """
    window = Location.objects.aggregate(most=Max("window_days"))["most"] or 0
    oldest = as_of - timedelta(days=window + 1)
    found = _unproved(as_of, oldest), _with_a_plan(as_of, oldest), _declined(as_of)
    parts = [_rows(_open(query, as_of), as_of, location, order) for query in found]
    return parts[0].union(*parts[1:], all=True).order_by("due", "order", "about", "subject")


def count_due(as_of: date, location: Location | None = None) -> int:
    """Return how many calls are due on a day, at most `MOST_COUNTED`."""
    return calls_due(as_of, location)[:MOST_COUNTED].count()


def _unproved(as_of: date, oldest: date) -> QuerySet:
    """Jobs with work on the cause whose chain was not complete, or whose trials were left out."""
    skipped = WatchedCheck.objects.filter(job=OuterRef("pk"), code="R19", state=WatchedCheck.State.SKIPPED)
    cause_work = WorkItem.objects.filter(order=OuterRef("pk"), reason="cause")
    first = Complaint.objects.filter(order=OuterRef("pk"), kind="symptom").order_by("position", "pk")
    not_complete = Q(chain__in=["broken", "explained"]) & Exists(cause_work)
    return (
        _recent(as_of, oldest)
        .filter(Exists(skipped) | not_complete, outcome=RepairOrder.Outcome.REPAIRED)
        .annotate(
            about=_text(Kind.UNPROVED),
            subject=Coalesce(
                Subquery(skipped.order_by("complaint_ref").values("complaint_ref")[:1]),
                Subquery(first.values("ref")[:1]),
                _text(""),
            ),
            base_due=_days_after("returned_on"),
        )
        .exclude(subject="")
    )


def _with_a_plan(as_of: date, oldest: date) -> QuerySet:
    """Complaints of jobs that are being watched, with trials agreed and none of them clean yet."""
    clean = TrialSeries.objects.filter(
        order=OuterRef("order"), complaint_ref=OuterRef("ref"), recurrences=0, n__gt=0
    )
    return (
        _inside(Complaint.objects.filter(order__watched__in=_recent(as_of, oldest), plan_n__isnull=False))
        .filter(order__outcome=RepairOrder.Outcome.MONITOR)
        .annotate(
            about=_text(Kind.TRIAL_PLAN), base_due=_days_after("order__returned_on", "order__location__")
        )
        .exclude(Exists(clean))
    )


def _recent(as_of: date, oldest: date) -> QuerySet:
    """Jobs whose window still runs: later an answer tells little."""
    return WatchedJob.objects.filter(
        returned_on__gte=oldest, returned_on__lte=as_of, mature_on__gt=as_of, vehicle__left_on__isnull=True
    ).order_by()


def _declined(as_of: date) -> QuerySet:
    items = DeclinedItem.objects.filter(
        risk=DeclinedItem.Risk.SAFETY,
        order__returned_on__lte=as_of,
        order__vehicle__left_on__isnull=True,
    )
    agreed_or_usual = Coalesce(F("follow_up_on"), _days_after("order__returned_on", "order__location__"))
    return (
        _inside(items)
        .annotate(about=_text(Kind.DECLINED), base_due=agreed_or_usual)
        .filter(base_due__gte=as_of - timedelta(days=DECLINED_FOR_DAYS))
    )


def _inside(records: QuerySet) -> QuerySet:
    """Give records inside an order the columns that a watched job has."""
    return records.order_by().annotate(
        subject=F("ref"),
        vehicle=F("order__vehicle"),
        returned_on=F("order__returned_on"),
        location=F("order__location"),
    )


def _open(query: QuerySet, as_of: date) -> QuerySet:
    """Leave out what a later visit, the customer or a call has settled."""
    since = RepairOrder.objects.filter(
        vehicle=OuterRef("vehicle"), opened_on__gte=OuterRef("returned_on"), opened_on__lte=as_of
    ).exclude(pk=OuterRef("order"))
    told = CustomerTrial.objects.filter(
        order=OuterRef("order"), complaint_ref=OuterRef("subject"), until_on__gt=OuterRef("returned_on")
    )
    calls = FollowUp.objects.filter(
        order=OuterRef("order"), kind=OuterRef("about"), subject=OuterRef("subject")
    ).order_by("-called_on", "-pk")
    last_on, again_on = (Subquery(calls.values(name)[:1]) for name in ("called_on", "again_on"))
    return (
        query.exclude(Exists(since))
        .exclude(Exists(told))
        .annotate(last_on=last_on, again_on=again_on, due=Coalesce("again_on", "base_due"))
    )


def _rows(query: QuerySet, as_of: date, location: Location | None, order: int | None) -> QuerySet:
    due = query.filter(Q(last_on__isnull=True) | Q(again_on__isnull=False), due__lte=as_of)
    if location is not None:
        due = due.filter(location=location.pk)
    if order is not None:
        due = due.filter(order=order)
    return due.values(*ROW)


def _text(value: str) -> Value:
    return Value(str(value), output_field=CharField())


def _days_after(day: str, place: str = "location__") -> Any:
    """The shop's number of days after a day, as a date."""
    stretch = ExpressionWrapper(
        Value(timedelta(days=1)) * Cast(f"{place}follow_up_days", IntegerField()),
        output_field=DurationField(),
    )
    return Cast(ExpressionWrapper(F(day) + stretch, output_field=DateTimeField()), DateField())
