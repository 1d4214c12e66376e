"""The instrument register: ranges, calibrations as found, and the readings that leaned on an instrument."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from diagnostics.metrology.look_back import LookBack, look_back
from diagnostics.models import Calibration, InstrumentRange, TestRun
from diagnostics.snapshot import Instrument as InstrumentSnapshot
from diagnostics.snapshot import Test
from shared import audit


@transaction.atomic
def keep_calibration(calibration: Calibration, *, by: Any, at: datetime) -> Calibration:
    """Keep what a calibration found; where it says when the next is due, the instrument is due then."""
    calibration.kept_by, calibration.kept_at = by.signs_as, at
    instrument = calibration.instrument
    before = audit.values(instrument, ["cal_due"])
    calibration.save()
    if calibration.due_next is not None:
        instrument.cal_due = calibration.due_next
        instrument.save(update_fields=["cal_due"])
    after = audit.values(instrument, ["cal_due"]) | audit.values(
        calibration, ["done_on", "in_tolerance", "found_error", "error_unit", "error_of", "note"]
    )
    audit.record("calibrate", instrument, by=by, before=before, after=after, reason=calibration.note)
    return calibration


@transaction.atomic
def remove_range(found: InstrumentRange, *, by: Any) -> None:
    """Take a range off the list; what it was stays in the trail of its instrument."""
    names = ["unit", "low", "high", "resolution", "accuracy_text"]
    audit.record("remove range", found.instrument, by=by, before=audit.values(found, names), after={})
    found.delete()


@transaction.atomic
def keep_range(found: InstrumentRange, *, by: Any) -> None:
    """Keep a new or changed range, with an entry in the trail of its instrument."""
    names = ["unit", "low", "high", "resolution", "accuracy_text"]
    old = InstrumentRange.objects.filter(pk=found.pk).first() if found.pk else None
    before = audit.values(old, names) if old else None
    found.save()
    after = audit.values(found, names)
    if before != after:
        action = "change range" if old else "add range"
        audit.record(action, found.instrument, by=by, before=before, after=after)


def last_good_before(calibration: Calibration) -> date | None:
    """Return the day of the last calibration before this one that found the instrument good."""
    earlier = Calibration.objects.filter(
        instrument=calibration.instrument_id, in_tolerance=True, done_on__lte=calibration.done_on
    ).exclude(pk=calibration.pk)
    earlier = earlier.exclude(done_on=calibration.done_on, pk__gt=calibration.pk)
    return earlier.order_by("-done_on", "-pk").values_list("done_on", flat=True).first()


def leaned_on(calibration: Calibration) -> QuerySet[TestRun]:
    """Return the live readings by the instrument since its last good calibration, up to the day of this one.

    Both days are included: on the day itself nobody knows which came first.
    """
    since = last_good_before(calibration)
    readings = TestRun.objects.filter(
        instrument=calibration.instrument_id, superseded_by=None, done_on__lte=calibration.done_on
    )
    readings = readings.filter(done_on__gte=since) if since else readings
    return readings.select_related("order__vehicle")


def looked_back(
    run: TestRun, calibration: Calibration, instruments: Mapping[str, InstrumentSnapshot]
) -> LookBack:
    """Return what one reading says with the error that the calibration found taken out."""
    return look_back(
        as_test(run),
        instruments,
        calibration.found_error,
        calibration.error_unit,
        of_unit=calibration.error_of,
    )


def as_test(run: TestRun) -> Test:
    """Return what judging reads of one row."""
    return Test(
        id=run.ref,
        code=run.code,
        phase=run.phase,
        kind=run.kind,
        on=run.done,
        value=run.value,
        unit=run.unit,
        lo=run.lo,
        hi=run.hi,
        limit_unit=run.limit_unit,
        result=run.result or None,
        observation=run.observation,
        info_only=run.info_only,
        instrument=run.instrument_ref,
        status=run.status,
    )
