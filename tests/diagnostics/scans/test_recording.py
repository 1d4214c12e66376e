"""Scans are kept as pasted, are never changed, and are superseded with a reason."""

from datetime import UTC, datetime
from hashlib import sha256

import pytest
from django.core.exceptions import ValidationError

from diagnostics import recording
from diagnostics.codes.scan_text import read_scan
from diagnostics.codes.shop_table import Row
from diagnostics.evidence.evaluate import evaluate
from diagnostics.models import Assumption, CodeMeaning, Scan, TestRun
from diagnostics.reading import read_order
from shared.models import AuditEntry

pytestmark = pytest.mark.django_db

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
TEXT = "Engine:\n  P0171-11 mixture – pending\nABS: no response\nwhatever this is\n"


@pytest.fixture
def keep(order, tobin):
    def keep(text=TEXT, **about):
        found = read_scan(text)
        return recording.keep_scan(order, found, by=tobin, at=NOON, text=text, **{"phase": "before", **about})

    return keep


def test_a_scan_keeps_the_text_and_what_was_understood(keep):
    scan = Scan.objects.get(pk=keep().pk)

    assert scan.text == TEXT
    assert scan.text_sha256 == sha256(TEXT.encode()).hexdigest()
    assert [(row.name, row.answered) for row in scan.modules.all()] == [("Engine", True), ("ABS", False)]
    (code,) = scan.modules.first().codes.all()
    assert (code.code, code.failure_type, code.states, code.line) == ("P0171", "11", ["pending"], 2)
    assert (scan.not_understood, scan.unread) == (1, [{"line": 4, "text": "whatever this is", "why": ""}])
    assert (scan.done_by, str(scan.done_on)) == ("Tobin Marl", "2026-03-02")


def test_a_scan_leaves_one_entry_without_the_text(keep):
    scan = keep()

    entry = AuditEntry.objects.get(action="keep scan")
    assert entry.after["text_sha256"] == scan.text_sha256
    assert "text" not in entry.after


def test_a_scan_may_stand_among_the_tests_once(keep, order):
    scan = keep(record_as="network_codes", complaint_ref="C1")

    run = TestRun.objects.get(order=order, ref=scan.test_ref)
    assert (run.kind, run.code, run.complaint_ref, run.value, run.result) == (
        "code",
        "network_codes",
        "C1",
        None,
        "",
    )
    assert run.observation == "Engine: P0171-11 (pending). ABS: did not answer."


def test_a_code_read_has_no_outcome_and_is_no_claim(keep, order):
    keep(record_as="network_codes")

    snapshot = read_order(order.pk)
    assert not [row for row in evaluate(snapshot, instruments={}) if row.subject == "T1"]


def test_a_scan_that_is_no_test_leaves_none(keep, order):
    assert keep().test_ref == ""
    assert not TestRun.objects.filter(order=order).exists()


def test_a_closed_job_takes_no_scan(keep, order):
    order.returned_on = NOON.date()
    order.save()

    with pytest.raises(recording.OrderIsClosed, match="was handed back"):
        keep()
    assert not Scan.objects.exists()


def test_a_superseded_scan_stays_with_the_reason(keep, tobin):
    wrong, right = keep(), keep("P0300")

    recording.supersede_scan(wrong, right, by=tobin, at=NOON, reason="Other car.")

    wrong.refresh_from_db()
    assert (wrong.superseded_by, wrong.superseded_reason) == (right, "Other car.")
    assert AuditEntry.objects.get(action="supersede scan").reason == "Other car."


@pytest.mark.parametrize(("reason", "said"), [(" ", "Write why"), ("Again.", "superseded already")])
def test_a_scan_is_superseded_once_and_with_a_reason(keep, tobin, reason, said):
    wrong, right = keep(), keep("P0300")
    if reason.strip():
        recording.supersede_scan(wrong, right, by=tobin, at=NOON, reason="Other car.")

    with pytest.raises(ValidationError, match=said):
        recording.supersede_scan(wrong, right, by=tobin, at=NOON, reason=reason)


def test_a_scan_does_not_supersede_itself(keep, tobin):
    scan = keep()

    with pytest.raises(ValidationError, match="Choose another scan of the same job"):
        recording.supersede_scan(scan, scan, by=tobin, at=NOON, reason="Wrong.")


def test_a_scan_cannot_be_deleted(keep):
    from django.db.models import ProtectedError

    with pytest.raises(ProtectedError, match="protected foreign keys"):
        keep().delete()


def test_not_fitted_is_an_open_assumption_and_written_once(keep, tobin, order):
    scan = keep()
    about = {"by": tobin, "at": NOON, "name": "ABS", "key": "brakes", "why": "the report names it as silent"}

    first = recording.assume_not_fitted(scan, **about)
    again = recording.assume_not_fitted(scan, **about)

    assert first == again == Assumption.objects.get(order=order)
    assert (first.status, first.bears_on) == ("open", "unit: brakes")
    assert "ABS is not fitted" in first.text


def test_imported_meanings_are_added_and_changed(tobin):
    rows = [Row("P0171", "lean", 1), Row("U0100-00", "engine silent", 2)]

    assert recording.import_meanings(rows, by=tobin) == (2, 0)
    assert recording.import_meanings([Row("P0171", "too lean", 1), rows[1]], by=tobin) == (0, 1)
    assert CodeMeaning.objects.get(code="P0171").meaning == "too lean"
    assert AuditEntry.objects.filter(record="diagnostics.CodeMeaning").count() == 3
