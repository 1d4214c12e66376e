"""Recorded signals: kept as uploaded, read in the background, set aside with a reason; never deleted."""

from __future__ import annotations

from datetime import datetime
from typing import Any, BinaryIO

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction

from diagnostics.captures.keeping import RecordingShelf, clean_name
from diagnostics.models import Capture
from diagnostics.recording.entries import (
    amend,
    keep,
    moment_of,
    new_ref,
    place_after,
    take_on,
    writing,
)
from shared import audit, outbox
from shared.models import OutboxRow
from shared.moments import Moment
from shared.shelf import Kept
from shop.models import RepairOrder

READ_CAPTURE = "read_capture"
THE_SITE = "the site"
# What an analysis depends on besides the file.
ANALYSED_WITH = ("battery_v", "bus", "volts_per_count", "sample_rate_hz")


def shelf() -> RecordingShelf:
    """Return where the files are kept."""
    return RecordingShelf(settings.CAPTURES_DIR)


def add_capture(
    order: RepairOrder,
    *,
    by: Any,
    at: datetime,
    file: BinaryIO,
    name: str,
    done: Moment | None = None,
    done_by: str = "",
    **about: Any,
) -> Capture:
    """Keep a recording as uploaded, and ask for it to be read.

    The file is on the disk before the row is written; where the row is refused, the file goes again.
    """
    kept = shelf().take_in(file)
    try:
        return _add(order, kept, by=by, at=at, name=name, done=done, done_by=done_by, **about)
    except BaseException:
        _drop_if_unused(kept)
        raise


def amend_capture(capture: Capture, *, by: Any, at: datetime, why: str, **changes: Any) -> Capture:
    """Correct what is written about a recording; it is read again where the reading depends on that."""
    with writing(capture.order, even_closed=True) as order:
        capture = _fresh(capture)
        again = any(name in changes and changes[name] != getattr(capture, name) for name in ANALYSED_WITH)
        if again and capture.is_ready:
            # Not through `amend`: the trail needs the reason, not a copy of the whole analysis.
            Capture.objects.filter(pk=capture.pk).update(**_UNREAD)
            capture = _fresh(capture)
            _ask(capture)
        return amend(capture, order, changes, by=by, action="amend capture", reason=why)


def put_on_sheet(capture: Capture, *, by: Any, at: datetime, on_sheet: bool) -> Capture:
    """Choose a recording for the findings sheet, or take it off."""
    with writing(capture.order, even_closed=True) as order:
        capture = _fresh(capture)
        if on_sheet and not (capture.is_ready and capture.stands):
            raise ValidationError(
                "Only a recording that is read and not set aside goes on the sheet.", code="not_for_the_sheet"
            )
        return amend(capture, order, {"on_sheet": on_sheet}, by=by, action="capture on sheet")


def set_aside_capture(
    capture: Capture, *, by: Any, at: datetime, reason: str, superseded_by: Capture | None = None
) -> Capture:
    """Say that a recording is not used, why, and which one takes its place. It stays on record."""
    if not reason.strip():
        raise ValidationError("Write why the recording is not used.", code="reason_missing")
    with writing(capture.order, even_closed=True) as order:
        capture = _fresh(capture)
        if not capture.stands:
            raise ValidationError(f"{capture} is set aside already.", code="set_aside_already")
        if superseded_by and (superseded_by.pk == capture.pk or superseded_by.order_id != order.pk):
            raise ValidationError("Choose another recording of the same job.", code="not_of_this_job")
        changes = {
            "set_aside_reason": reason,
            "set_aside_by": by.signs_as,
            "set_aside_at": at,
            "superseded_by": superseded_by,
            "on_sheet": False,
        }
        return amend(capture, order, changes, by=by, action="set capture aside", reason=reason)


def read_again(capture: Capture, *, by: Any) -> None:
    """Ask once more for a recording whose reading failed; nothing if it is read or being read."""
    with transaction.atomic():
        capture = _fresh(capture)
        if capture.status != Capture.Status.WAITING or is_asked_for(capture):
            return
        _ask(capture)
        audit.record("read capture again", capture, by=by, order_number=capture.order.number)


def is_asked_for(capture: Capture) -> bool:
    """Whether its reading waits or is being done; false where it failed for good."""
    rows = _asked(capture).filter(done_at__isnull=True, failed_at__isnull=True)
    return rows.exists()


def finish_capture(capture: Capture, *, at: datetime, analysis: dict, overview: dict) -> None:
    """Keep what was computed from a recording; nothing if somebody was quicker."""
    _end(capture, {"status": "ready", "analysis": analysis, "overview": overview, "computed_at": at})


def refuse_capture(capture: Capture, *, at: datetime, why: str, allowed: str) -> None:
    """Keep why a recording cannot be read, and let go of its file where nothing else rests on it."""
    changes = {"status": "refused", "refusal": why, "allowed": allowed, "computed_at": at, "on_sheet": False}
    if _end(capture, changes):
        _drop_if_unused(Kept(capture.sha256, capture.size, was_there=False))


_UNREAD = {"status": "waiting", "analysis": None, "overview": None, "computed_at": None, "on_sheet": False}


def _add(
    order: RepairOrder,
    kept: Kept,
    *,
    by: Any,
    at: datetime,
    name: str,
    done: Moment | None,
    done_by: str,
    **about: Any,
) -> Capture:
    with writing(order) as order:
        captures = Capture.objects.filter(order=order)
        capture = Capture(
            order=order,
            position=place_after(captures),
            ref=new_ref(captures, "S"),
            sha256=kept.sha256,
            size=kept.size,
            original_name=clean_name(name),
            entered_by=by.signs_as,
            entered_at=at,
            done_by=done_by or by.signs_as,
            **about,
        )
        capture.done = moment_of(done, at, order)
        take_on(order, by)
        keep(capture, order, by=by, action="add capture")
        _ask(capture)
        return capture


def _fresh(capture: Capture) -> Capture:
    return Capture.objects.select_for_update(of=("self",)).select_related("order").get(pk=capture.pk)


def _asked(capture: Capture):
    return OutboxRow.objects.filter(key__startswith=f"capture:{capture.pk}:")


def _ask(capture: Capture) -> None:
    key = f"capture:{capture.pk}:{_asked(capture).count() + 1}"
    outbox.ask(READ_CAPTURE, key=key, payload={"capture_pk": capture.pk})


@transaction.atomic
def _end(capture: Capture, changes: dict[str, Any]) -> bool:
    capture = _fresh(capture)
    if capture.status != Capture.Status.WAITING:
        return False
    for name, value in changes.items():
        setattr(capture, name, value)
    capture.save(update_fields=list(changes))
    said = {name: changes[name] for name in ("status", "refusal") if name in changes}
    audit.record("read capture", capture, by=THE_SITE, after=said, order_number=capture.order.number)
    return True


def _drop_if_unused(kept: Kept) -> None:
    """Take a file away that no recording rests on."""
    used = Capture.objects.filter(sha256=kept.sha256).exclude(status=Capture.Status.REFUSED)
    if not kept.was_there and not used.exists():
        shelf().remove(kept.sha256)
