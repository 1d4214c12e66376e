"""Scan reports kept as pasted, with what was understood of them; the shop's own meanings of codes."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from hashlib import sha256
from itertools import islice
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from diagnostics.codes.found import Remark, ScanText
from diagnostics.codes.shop_table import Row
from diagnostics.codes.wording import scan_in_words
from diagnostics.models import Assumption, CodeMeaning, Scan, ScanCode, ScanModule
from diagnostics.recording.assumptions import add_assumption
from diagnostics.recording.entries import check, moment_of, new_ref, place_after, writing
from diagnostics.recording.readings import record_test
from shared import audit
from shared.moments import Moment
from shop.models import RepairOrder

MOST_REMARKS = 200  # The text is kept whole; this many lines are listed.

# The text itself may have two million characters; the trail names it by its hash.
IN_THE_TRAIL = [
    "order", "ref", "phase", "done_by", "done_on", "done_at", "instrument", "text_sha256", "file_name", "vin",
    "supported", "incomplete", "says_no_codes", "test_ref",
]  # fmt: skip


def keep_scan(
    order: RepairOrder,
    found: ScanText,
    *,
    by: Any,
    at: datetime,
    text: str,
    phase: str,
    done: Moment | None = None,
    done_by: str = "",
    instrument: Any = None,
    file_name: str = "",
    record_as: str = "",
    complaint_ref: str = "",
) -> Scan:
    """Keep a scan report as it is, with the rows of what was understood.

    `record_as` is the code of a test of kind "code": the scan then stands among the tests too, once.
    """
    with writing(order) as order:
        scans = Scan.objects.filter(order=order)
        scan = Scan(
            order=order,
            position=place_after(scans),
            ref=new_ref(scans, "S"),
            phase=phase,
            done_by=done_by or by.signs_as,
            kept_at=at,
            instrument=instrument,
            text=text,
            text_sha256=sha256(text.encode()).hexdigest(),
            file_name=file_name[:200],
            vin=found.vin,
            supported=list(found.supported),
            incomplete=list(found.incomplete),
            has_monitors=found.has_monitors,
            says_no_codes=found.says_no_codes,
            not_understood=len(found.unread),
            doubts=_remarks(found.doubts),
            unread=_remarks(found.unread),
        )
        scan.done = moment_of(done, at, order)
        if record_as:
            scan.test_ref = _as_test(scan, found, record_as, complaint_ref, by=by, at=at).ref
        check(scan)
        scan.save()
        _keep_rows(scan, found)
        after = audit.values(scan, IN_THE_TRAIL)
        audit.record("keep scan", scan, by=by, after=after, order_number=order.number)
    return scan


def supersede_scan(scan: Scan, newer: Scan, *, by: Any, at: datetime, reason: str) -> Scan:
    """Put a newer scan of the same order in the place of one that was kept wrongly; both stay on record."""
    if not reason.strip():
        raise ValidationError("Write why the scan is superseded.", code="reason_missing")
    with writing(scan.order, even_closed=True) as order:
        scan = Scan.objects.select_for_update().get(pk=scan.pk)
        if scan.superseded_by_id:
            raise ValidationError(
                "This scan was superseded already. Supersede the newer one.", code="superseded"
            )
        if newer.order_id != scan.order_id or newer.pk == scan.pk or newer.superseded_by_id:
            raise ValidationError("Choose another scan of the same job that stands.", code="not_of_this_job")
        scan.superseded_by, scan.superseded_reason = newer, reason
        check(scan)
        scan.save(update_fields=["superseded_by", "superseded_reason"])
        audit.record(
            "supersede scan",
            scan,
            by=by,
            before={"superseded_by": ""},
            after={"superseded_by": newer.ref},
            order_number=order.number,
            reason=reason,
        )
    return scan


def assume_not_fitted(scan: Scan, *, by: Any, at: datetime, name: str, key: str, why: str) -> Assumption:
    """Write down that a unit which did not answer is taken for not fitted, until somebody settles it."""
    bears_on = bears_on_unit(key)
    known = Assumption.objects.filter(order=scan.order, bears_on=bears_on).first()
    if known:
        return known
    text = f"{name} is not fitted to this vehicle. It did not answer in scan {scan.ref}; {why}."
    return add_assumption(scan.order, by=by, at=at, text=text, bears_on=bears_on)


def bears_on_unit(key: str) -> str:
    """What an assumption about a unit bears on: the words under which reports mean the same unit."""
    return f"unit: {key}"[:64]


@transaction.atomic
def import_meanings(rows: Iterable[Row], *, by: Any) -> tuple[int, int]:
    """Add and change the shop's own meanings, each with its entry; return how many of both."""
    known = {row.code: row for row in CodeMeaning.objects.all()}
    added = changed = 0
    for row in rows:
        meaning = known.get(row.code) or CodeMeaning(code=row.code)
        if meaning.pk and meaning.meaning == row.meaning:
            continue
        added, changed = (added, changed + 1) if meaning.pk else (added + 1, changed)
        meaning.meaning = row.meaning
        check(meaning)
        audit.keep(meaning, by=by)
    return added, changed


def _as_test(scan: Scan, found: ScanText, code: str, complaint_ref: str, *, by: Any, at: datetime):
    """The scan among the tests: of kind code, so it has no level, no outcome and proves nothing."""
    return record_test(
        scan.order,
        by=by,
        at=at,
        done=scan.done,
        done_by=scan.done_by,
        code=code,
        phase=scan.phase,
        kind="code",
        complaint_ref=complaint_ref,
        instrument=scan.instrument,
        observation=scan_in_words(found.modules, says_no_codes=found.says_no_codes),
        conditions=f"scan {scan.ref}",
    )


def _remarks(remarks: Iterable[Remark]) -> list[dict[str, Any]]:
    return [{"line": row.line, "text": row.text, "why": row.why} for row in islice(remarks, MOST_REMARKS)]


def _keep_rows(scan: Scan, found: ScanText) -> None:
    modules = [
        ScanModule(
            scan=scan,
            position=position,
            name=module.name,
            address=module.address,
            answered=module.answered,
            says_no_codes=module.says_no_codes,
            line=module.line,
        )
        for position, module in enumerate(found.modules)
    ]
    ScanModule.objects.bulk_create(modules)
    ScanCode.objects.bulk_create(
        ScanCode(
            module=row,
            position=position,
            code=code.code.base,
            failure_type=code.code.failure_type,
            states=list(code.states),
            text=code.text,
            typed=code.typed,
            form=code.form,
            line=code.line,
        )
        for row, module in zip(modules, found.modules, strict=True)
        for position, code in enumerate(module.codes)
    )
