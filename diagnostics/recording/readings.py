"""Test runs: recorded once, superseded with a reason, followed up in writing."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import Q

from diagnostics.models import TestRun
from diagnostics.recording.entries import (
    comebacks_may_change,
    keep,
    moment_of,
    new_ref,
    place_after,
    take_on,
    wait_on,
    writing,
)
from shared import audit
from shared.moments import Moment, moment_at
from shop.models import RepairOrder

FROM_SIGNED = (
    "order", "position", "ref", "complaint_ref", "code", "point", "phase", "kind", "typed", "value", "unit",
    "resolution", "lo", "hi", "limit_unit", "limit_says", "result", "observation", "conditions", "info_only",
    "instrument", "instrument_ref", "done_by", "done_on", "done_at", "isolates", "repeatable", "status",
)  # fmt: skip


def record_test(
    order: RepairOrder,
    *,
    by: Any,
    at: datetime,
    done: Moment | None = None,
    done_by: str = "",
    **reading: Any,
) -> TestRun:
    """Keep one test as it was done, signed by the person who enters it.

    `reading` holds fields of the test run: code, phase, kind, value, unit, limits, observation and the rest.
    """
    with writing(order) as order:
        runs = TestRun.objects.filter(order=order)
        run = TestRun(
            order=order,
            position=place_after(runs),
            ref=new_ref(runs, "T"),
            done_by=done_by or by.signs_as,
            signed_at=at,
            **_with_instrument_name(reading),
        )
        run.done = moment_of(done, at, order)
        run.entered = moment_at(at, order.location.zone)
        take_on(order, by)
        wait_on(order, RepairOrder.WaitingOn.TECHNICIAN, at=at, only_from=("",))
        return keep(run, order, by=by, action="record test")


def supersede_test(run: TestRun, *, by: Any, at: datetime, reason: str, **changes: Any) -> TestRun:
    """Put a corrected reading in the place of a signed one, which stays on record with the reason.

    The new row takes over the id, the place, and the day the test was done. It is entered now, so a
    correction on a later day shows as entered late.
    """
    if not reason.strip():
        raise ValidationError("Write why the reading is superseded.", code="reason_missing")
    with writing(run.order, even_closed=True) as order:
        old = TestRun.objects.select_for_update().get(pk=run.pk)
        if old.superseded_by_id:
            raise ValidationError(
                "This reading was superseded already. Supersede the newer one.", code="superseded_already"
            )
        kept = {name: getattr(old, name) for name in FROM_SIGNED}
        new = TestRun(**{**kept, **_with_instrument_name(changes), "signed_at": at})
        new.entered = moment_at(at, order.location.zone)
        new = _swap(old, new, reason)
        audit.record(
            "supersede test",
            new,
            by=by,
            before=audit.values(old),
            after=audit.values(new),
            order_number=order.number,
            reason=reason,
        )
        comebacks_may_change(order, at)
        return new


def dispose_of_reading(run: TestRun, *, by: Any, at: datetime, reason: str) -> TestRun:
    """Write down why a failing reading is left as it is (R9)."""
    if not reason.strip():
        raise ValidationError("Write what was decided about this reading.", code="reason_missing")
    with writing(run.order, even_closed=True) as order:
        run = TestRun.objects.get(pk=run.pk)
        before = audit.values(run, ["is_disposed", "disposition_reason", "disposition_by"])
        run.is_disposed, run.disposition_reason, run.disposition_by = True, reason, by.signs_as
        run.save(update_fields=["is_disposed", "disposition_reason", "disposition_by"])
        after = audit.values(run, list(before))
        audit.record(
            "dispose of reading",
            run,
            by=by,
            before=before,
            after=after,
            order_number=order.number,
            reason=reason,
        )
        comebacks_may_change(order, at)
    return run


def _swap(old: TestRun, new: TestRun, reason: str) -> TestRun:
    """Save both rows so that at no moment two live rows have one id, and return the new one."""
    new.full_clean(exclude=["superseded_by", "ref"], validate_constraints=False)
    constraints_but_the_id = [c for c in TestRun._meta.constraints if c.name != "test_run_ref_once"]
    for constraint in constraints_but_the_id:
        constraint.validate(TestRun, new)
    # The old row points at the new one, so the new one comes first, for two statements under another id.
    new.ref, ref = f"superseding {old.pk}", new.ref
    new.save()
    old.superseded_by, old.superseded_reason = new, reason
    old.save(update_fields=["superseded_by", "superseded_reason"])
    TestRun.objects.filter(pk=new.pk).update(ref=ref)
    return TestRun.objects.get(pk=new.pk)


def _with_instrument_name(reading: dict[str, Any]) -> dict[str, Any]:
    """The instrument's own code stands on the reading, so that it can be read without the list."""
    instrument = reading.get("instrument")
    if instrument is not None and not reading.get("instrument_ref"):
        return {**reading, "instrument_ref": instrument.code}
    return reading


def live(order: RepairOrder):
    """The tests of an order that nothing supersedes."""
    return TestRun.objects.filter(Q(order=order), superseded_by__isnull=True)
