"""Proof after the repair: trials of the complaint itself, and the check by somebody else."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError

from diagnostics.models import CustomerTrial, IndependentCheck, TrialSeries
from diagnostics.recording.entries import keep, moment_of, place_after, writing
from shared.moments import Moment
from shop.models import RepairOrder, WorkItem


def record_trials(
    order: RepairOrder,
    *,
    by: Any,
    at: datetime,
    complaint_ref: str,
    n: int,
    recurrences: int = 0,
    done: Moment | None = None,
    done_by: str = "",
    **series: Any,
) -> TrialSeries:
    """Keep n tries of the complaint after the repair, and how often it came back."""
    if recurrences > n:
        raise ValidationError(
            f"It cannot come back {recurrences} times in {n} tries. Count each try once.",
            code="more_than_tries",
        )
    with writing(order) as order:
        record = TrialSeries(
            order=order,
            position=place_after(TrialSeries.objects.filter(order=order)),
            complaint_ref=complaint_ref,
            n=n,
            recurrences=recurrences,
            done_by=done_by or by.signs_as,
            **series,
        )
        record.done = moment_of(done, at, order)
        return keep(record, order, by=by, action="record trials")


def record_customer_trial(
    order: RepairOrder,
    *,
    by: Any,
    at: datetime,
    complaint_ref: str,
    told_by: str,
    told: Moment | None = None,
    **trial: Any,
) -> CustomerTrial:
    """Keep what the customer tells of driving it since the repair; on a job handed back, too."""
    with writing(order, even_closed=True) as order:
        record = CustomerTrial(
            order=order,
            position=place_after(CustomerTrial.objects.filter(order=order)),
            complaint_ref=complaint_ref,
            told_by=told_by,
            taken_by=by.signs_as,
            distance_unit=order.odo_unit,
            **trial,
        )
        record.told = moment_of(told, at, order)
        return keep(record, order, by=by, action="record customer's trial")


def record_check(
    item: WorkItem, *, by: Any, at: datetime, checked_by: str, done: Moment | None = None, note: str = ""
) -> IndependentCheck:
    """Keep the check of one work item by a person who did not do the work."""
    if checked_by == item.done_by:
        raise ValidationError(
            f"{checked_by} did this work. The check counts when somebody else does it.", code="own_work"
        )
    with writing(item.order) as order:
        record = IndependentCheck(
            order=order,
            position=place_after(IndependentCheck.objects.filter(order=order)),
            work_ref=item.ref,
            checked_by=checked_by,
            note=note,
        )
        record.done = moment_of(done, at, order)
        return keep(record, order, by=by, action="record check")
