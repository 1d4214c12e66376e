"""Instruments that do not count, and the readings that lean on them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Literal

from django.db.models import Count, F, Q

from diagnostics.models import Calibration, Instrument, TestRun

State = Literal["withdrawn", "found_out", "overdue", "no_due_date", "due_soon"]

STATE_WORDS: dict[State, str] = {
    "withdrawn": "withdrawn",
    "found_out": "found out of tolerance",
    "overdue": "out of calibration",
    "no_due_date": "needs calibration, has no due date",
    "due_soon": "runs out soon",
}


@dataclass(frozen=True, slots=True)
class Leaning:
    """One instrument and the readings that lean on it.

    Of one withdrawn or out of calibration these are the readings taken from that day on; of one found out of
    tolerance, those since its last good calibration; of one that runs out soon, those on open jobs.

    since : from which day its readings do not count, or the day on which it falls due; None if not known.
    open_readings, open_jobs : on jobs that are still here.
    maturing_readings : on jobs handed back whose window still runs, and on those that no window watches.
    ripe_readings, ripe_jobs, ripe_back : on jobs whose window has run, and how many of these came back.
    """

    pk: int
    code: str
    kind: str
    state: State
    since: date | None
    open_readings: int
    open_jobs: int
    maturing_readings: int
    ripe_readings: int
    ripe_jobs: int
    ripe_back: int

    @property
    def state_words(self) -> str:
        """Its state in words."""
        return STATE_WORDS[self.state]

    @property
    def readings(self) -> int:
        """All readings that lean on it."""
        return self.open_readings + self.maturing_readings + self.ripe_readings


def leaning_on(as_of: date, *, soon_days: int = 30) -> tuple[Leaning, ...]:
    """Return the instruments that do not count on a day, or soon will not, with what leans on them.

    An instrument on which nothing leans is left out, however late it is. Three queries.
    """
    found_out = _found_out(as_of)
    states = {
        one.pk: (one, *state)
        for one in Instrument.objects.all()
        if (state := _state_of(one, found_out, as_of, soon_days))
    }
    soon = [pk for pk, (_, state, _) in states.items() if state == "due_soon"]
    found = []
    for row in _counted(states, found_out, soon, as_of):
        one, state, since = states[row["instrument"]]
        del row["instrument"]
        found.append(Leaning(pk=one.pk, code=one.code, kind=one.kind, state=state, since=since, **row))
    return tuple(sorted(found, key=lambda one: (-one.open_readings, -one.ripe_readings, one.code)))


def _state_of(
    one: Instrument, found_out: Mapping[int, _Window], as_of: date, soon_days: int
) -> tuple[State, date | None] | None:
    """The gravest state of an instrument and since when; None where it counts and will go on to."""
    if one.withdrawn_on and one.withdrawn_on <= as_of:
        return "withdrawn", one.withdrawn_on
    if one.pk in found_out:
        return "found_out", found_out[one.pk].until
    if not one.cal_required:
        return None
    if one.cal_due is None:
        return "no_due_date", None
    if one.cal_due < as_of:
        return "overdue", one.cal_due
    return ("due_soon", one.cal_due) if one.cal_due <= as_of + timedelta(days=soon_days) else None


def _found_out(as_of: date) -> dict[int, _Window]:
    """The instruments that their last calibration found out of tolerance, and since when nobody knew."""
    calibrations = Calibration.objects.filter(done_on__lte=as_of).order_by("done_on", "pk")
    good: dict[int, date] = {}
    windows: dict[int, _Window] = {}
    for instrument, done_on, in_tolerance in calibrations.values_list(
        "instrument", "done_on", "in_tolerance"
    ):
        if in_tolerance:
            good[instrument] = done_on
            windows.pop(instrument, None)
        else:
            windows[instrument] = _Window(good.get(instrument), done_on)
    return windows


def _counted(
    instruments: Iterable[int], found_out: Mapping[int, _Window], soon: Iterable[int], as_of: date
) -> Iterable[dict[str, Any]]:
    """The readings that lean on these instruments, by instrument."""
    is_open = Q(order__returned_on__isnull=True) | Q(order__returned_on__gt=as_of)
    is_ripe = ~is_open & Q(order__watched__mature_on__lte=as_of)
    leans = (
        Q(instrument__withdrawn_on__lte=F("done_on"))
        | Q(instrument__cal_required=True, instrument__cal_due__isnull=True)
        | Q(instrument__cal_required=True, instrument__cal_due__lt=F("done_on"))
        | (Q(instrument__in=soon) & is_open)
    )
    for pk, window in found_out.items():
        since = Q(done_on__gte=window.since) if window.since else Q()
        leans |= Q(instrument=pk, done_on__lte=window.until) & since
    readings = TestRun.objects.filter(
        leans, instrument__in=list(instruments), superseded_by__isnull=True, done_on__lte=as_of
    )
    return (
        readings.order_by()
        .values("instrument")
        .annotate(
            open_readings=Count("pk", filter=is_open),
            open_jobs=Count("order", filter=is_open, distinct=True),
            ripe_readings=Count("pk", filter=is_ripe),
            ripe_jobs=Count("order", filter=is_ripe, distinct=True),
            ripe_back=Count(
                "order", filter=is_ripe & Q(order__watched__back_days__isnull=False), distinct=True
            ),
            maturing_readings=Count("pk") - F("open_readings") - F("ripe_readings"),
        )
    )


@dataclass(frozen=True, slots=True)
class _Window:
    """From which day to which the readings of an instrument found out of tolerance lean on it."""

    since: date | None
    until: date
