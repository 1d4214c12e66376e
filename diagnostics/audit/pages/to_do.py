"""What waits for the owner, read from the records: a few queries, whatever there is."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from django.urls import reverse

from diagnostics.audit.instruments import Leaning, leaning_on
from diagnostics.audit.pages.this_week import Thing
from diagnostics.audit.scope import Scope
from diagnostics.calls.due import calls_due
from diagnostics.learning.changes import Change, changes
from diagnostics.models import ReturnVisit
from diagnostics.review.filters import waiting_for_review
from diagnostics.review.names import symptom_names, words
from shared.wording import count_text, days_text
from shop.models import Location

SOON_DAYS = 14  # An instrument that runs out within two weeks can still be sent away in time.
DAY = "{0:%a} {0.day} {0:%b} {0.year}"


def to_do(scope: Scope, calling_since: date | None) -> Iterator[Thing]:
    """Yield what waits, in no order.

    Parameters
    ----------
    scope : Scope
        Its day and its shop; what waits is not bound to a period.
    calling_since : date or None
        Since when the running sum has stood above its threshold.
    """
    if calling_since is not None:
        yield _signal(calling_since, scope.as_of)
    yield from _review(scope)
    yield from (
        _instrument(one, scope.as_of) for one in leaning_on(scope.as_of, soon_days=SOON_DAYS) if one.open_jobs
    )
    yield from _calls(scope)
    yield from (_change(one, scope.as_of) for one in changes(scope.as_of) if one.is_due and one.is_open)


def _signal(since: date, as_of: date) -> Thing:
    return Thing(
        "signal",
        "The running sum calls",
        f"It has stood above its threshold since the job handed back on {DAY.format(since)}. It may be "
        "chance; read the last jobs that came back before changing anything.",
        reverse("audit-signals"),
        "See the running sum",
        (as_of - since).days,
    )


def _review(scope: Scope) -> Iterator[Thing]:
    waiting = waiting_for_review(ReturnVisit.objects.select_related("index_order", "return_order"))
    if scope.location:
        waiting = waiting.filter(index_order__location__code=scope.location)
    visit = waiting.order_by("return_order__opened_on", "pk").first()
    if visit is None:
        return
    said = symptom_names().get(visit.symptom) or words(visit.symptom) or "Related complaint"
    skipped = count_text(len(visit.skipped), "required step")
    was = "was" if len(visit.skipped) == 1 else "were"
    waits = (scope.as_of - visit.return_order.opened_on).days
    yield Thing(
        "review",
        f"Review the return of job {visit.index_order.number}",
        f"{said[:1].upper()}{said[1:]}, back after {days_text(visit.days)}. "
        + (f"{skipped[:1].upper()}{skipped[1:]} {was} skipped then. " if visit.skipped else "")
        + f"Nobody has decided on it yet, {days_text(waits)} after it came back.",
        visit.get_absolute_url(),
        "Lay both jobs side by side",
        waits,
    )


def _instrument(one: Leaning, as_of: date) -> Thing:
    jobs = count_text(one.open_jobs, "open job")
    rest = f"{jobs[:1].upper()}{jobs[1:]} {'rests' if one.open_jobs == 1 else 'rest'} on its readings."
    name = f"{one.kind} {one.code}"
    if one.state == "due_soon" and one.since is not None:
        what = f"{name} runs out on {DAY.format(one.since)}"
        why = f"{rest} After that day new ones count with a remark."
    else:
        what = f"{name} does not count"
        why = f"{rest} Take them again with another one, or have it calibrated."
    late = (as_of - one.since).days if one.since else 0
    return Thing("instrument", what, why, reverse("instrument", args=[one.pk]), "See the instrument", late)


def _calls(scope: Scope) -> Iterator[Thing]:
    shop = Location.objects.filter(code=scope.location).first() if scope.location else None
    due = calls_due(scope.as_of, shop)
    count = due.count()
    if not count:
        return
    late = (scope.as_of - due[0]["due"]).days
    why = "Their repair was not proved when it was handed back, or they declined something that matters."
    yield Thing(
        "calls",
        f"{count_text(count, 'customer')} to call",
        f"{why} The oldest call was due {days_text(late)} ago." if late else why,
        reverse("calls"),
        "See the calls",
        late,
    )


def _change(one: Change, as_of: date) -> Thing:
    about = one.step_name or one.symptom_name or one.system_name
    return Thing(
        "change",
        f"The change of “{about}”: {one.verdict_words}",
        f"In force since {DAY.format(one.aim.starts_on)}; {count_text(one.jobs_so_far, 'job')} so far. "
        f"It was to be looked at by {DAY.format(one.by_on)}. Keep it or withdraw it on reason, and write "
        "down why.",
        reverse("learning-change", args=[one.pk]),
        "Read the change",
        (as_of - one.by_on).days,
    )
