"""Acts on recorded signals, and reading them in the background by a child of its own."""

import io
from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError

from diagnostics import recording
from diagnostics.captures import digest
from diagnostics.models import Capture
from diagnostics.recording.captures import is_asked_for, shelf
from diagnostics.signals.reading import read_signal, sweep
from shared import outbox
from shared.models import AuditEntry, OutboxRow
from shared.shelf import FileIsDamaged
from shop.models import RepairOrder
from tests.diagnostics.signals.recorded import csv_text, ready_capture, wav_bytes

pytestmark = pytest.mark.django_db

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


@pytest.fixture
def upload(order, isa):
    def add(content=None, name="crank.csv", **about):
        file = io.BytesIO(csv_text() if content is None else content)
        given = {"title": "Crank sensor", "phase": "before"} | about
        return recording.add_capture(order, by=isa, at=NOON, file=file, name=name, **given)

    return add


def kept_files():
    return [path for path in shelf().root.rglob("*") if path.is_file()]


def actions():
    return [entry.action for entry in AuditEntry.objects.order_by("pk")]


def test_a_recording_is_kept_and_asked_for(upload):
    capture = upload(name="C:\\scope\\bay 2.csv", points=["pin 3"])

    assert (capture.ref, capture.status, capture.original_name) == ("S1", "waiting", "bay 2.csv")
    assert capture.done.instant == NOON
    assert shelf().checked(capture.sha256).read_bytes() == csv_text()
    assert is_asked_for(capture)
    assert actions() == ["add capture"]


def test_an_empty_file_is_refused_and_leaves_nothing(upload):
    with pytest.raises(ValidationError, match="The file is empty"):
        upload(b"")

    assert kept_files() == []
    assert not Capture.objects.exists()
    assert not OutboxRow.objects.exists()


def test_a_record_that_is_refused_takes_its_file_along(upload):
    with pytest.raises(ValidationError):
        upload(title="")

    assert kept_files() == []


def test_a_record_that_is_refused_leaves_the_file_of_another(upload):
    first = upload()

    with pytest.raises(ValidationError):
        upload(title="")

    assert shelf().checked(first.sha256)


def test_nothing_is_added_to_a_job_that_was_handed_back(upload, order):
    RepairOrder.objects.filter(pk=order.pk).update(returned_on=date(2026, 3, 3), outcome="repaired")

    with pytest.raises(recording.OrderIsClosed):
        upload()

    assert kept_files() == []


def test_a_recording_is_read_in_the_background(upload):
    capture = upload()

    assert outbox.drain() == 1

    capture.refresh_from_db()
    assert capture.status == "ready"
    assert [channel["name"] for channel in capture.overview["channels"]] == ["A", "B"]
    assert capture.overview["samples"] == 200
    assert actions() == ["add capture", "read capture"]
    assert not list(shelf().coming.iterdir())


def test_the_frames_of_a_bus_are_kept_beside_it(upload):
    capture = upload(csv_text(), bus="lin", battery_v="12.6")

    outbox.drain()

    capture.refresh_from_db()
    assert {one["protocol"] for one in capture.analysis["traffic"]} == {"LIN"}
    assert (shelf().drawn(capture.sha256, capture.pk) / digest.FRAMES).exists()


def test_reading_twice_changes_nothing(upload):
    capture = upload()
    read_signal(capture.pk, at=NOON)
    before = Capture.objects.values().get(pk=capture.pk)

    read_signal(capture.pk, at=NOON + timedelta(hours=1))

    assert Capture.objects.values().get(pk=capture.pk) == before


def test_one_file_may_be_read_in_two_ways(upload):
    first = upload(wav_bytes(), "a.wav")
    second = upload(wav_bytes(), "a.wav", volts_per_count="0.001")

    outbox.drain()

    units = [Capture.objects.get(pk=one.pk).overview["channels"][0]["unit"] for one in (first, second)]
    assert units == ["FS", "V"]
    assert shelf().drawn(first.sha256, first.pk) != shelf().drawn(second.sha256, second.pk)


def test_a_file_that_cannot_be_read_says_why_and_is_let_go(upload):
    capture = upload(b"time,V\nx,y\n")

    outbox.drain()

    capture.refresh_from_db()
    assert capture.status == "refused"
    assert "no rows of numbers" in capture.refusal
    assert "lines of numbers" in capture.allowed
    assert kept_files() == []


def test_a_damaged_file_waits_for_its_backup(upload):
    capture = upload()
    path = shelf().path(capture.sha256)
    path.write_bytes(b"0,0\n" * 10)

    with pytest.raises(FileIsDamaged, match="is not the one that was uploaded"):
        read_signal(capture.pk, at=NOON)

    capture.refresh_from_db()
    assert capture.status == "waiting"
    assert path.exists()


def test_a_recording_that_takes_too_long_is_refused(upload, monkeypatch):
    monkeypatch.setattr(digest, "MOST_SECONDS", 0.01)
    capture = upload()

    read_signal(capture.pk, at=NOON)

    capture.refresh_from_db()
    assert capture.status == "refused"
    assert capture.allowed == digest.SHORTER


def test_a_child_that_fails_is_tried_again(upload, monkeypatch):
    monkeypatch.setattr(digest.sys, "executable", "/bin/false")
    upload()

    outbox.drain()

    row = OutboxRow.objects.get()
    assert "Reading a recording ended with 1" in row.error
    assert row.failed_at is None


def test_a_reading_that_failed_for_good_may_be_asked_for_again(upload, isa):
    capture = upload()
    OutboxRow.objects.update(failed_at=NOON)
    assert not is_asked_for(capture)

    recording.read_again(capture, by=isa)
    recording.read_again(capture, by=isa)

    assert OutboxRow.objects.filter(failed_at__isnull=True).count() == 1


def test_another_battery_voltage_has_it_read_again(order, isa):
    capture = ready_capture(order=order)

    recording.amend_capture(capture, by=isa, at=NOON, why="The battery was read late.", battery_v="12.6")

    capture.refresh_from_db()
    assert (capture.status, capture.analysis) == ("waiting", None)
    assert is_asked_for(capture)
    entry = AuditEntry.objects.get(action="amend capture")
    assert entry.reason == "The battery was read late."
    assert set(entry.after) == {"battery_v"}


def test_another_title_leaves_the_reading(order, isa):
    capture = ready_capture(order=order)

    recording.amend_capture(capture, by=isa, at=NOON, why="Misspelt.", title="Cam sensor")

    capture.refresh_from_db()
    assert (capture.status, capture.title) == ("ready", "Cam sensor")


def test_a_recording_is_set_aside_with_a_reason_and_a_follower(order, isa):
    old, new = ready_capture(order=order, on_sheet=False), ready_capture(order=order, values=[[1.0, 2.0]])
    recording.put_on_sheet(old, by=isa, at=NOON, on_sheet=True)

    recording.set_aside_capture(old, by=isa, at=NOON, reason="Wrong pin.", superseded_by=new)

    old.refresh_from_db()
    assert (old.stands, old.on_sheet, old.superseded_by) == (False, False, new)
    assert AuditEntry.objects.get(action="set capture aside").reason == "Wrong pin."


def test_setting_aside_needs_a_reason(order, isa):
    with pytest.raises(ValidationError, match="Write why the recording is not used"):
        recording.set_aside_capture(ready_capture(order=order), by=isa, at=NOON, reason=" ")


def test_a_recording_is_set_aside_once(order, isa):
    capture = ready_capture(order=order)
    recording.set_aside_capture(capture, by=isa, at=NOON, reason="Wrong pin.")

    with pytest.raises(ValidationError, match="set aside already"):
        recording.set_aside_capture(capture, by=isa, at=NOON, reason="Wrong pin.")


def test_a_recording_is_not_followed_by_one_of_another_job(order, isa):
    with pytest.raises(ValidationError, match="another recording of the same job"):
        recording.set_aside_capture(
            ready_capture(order=order), by=isa, at=NOON, reason="Old.", superseded_by=ready_capture([[3.0]])
        )


def test_only_a_recording_that_is_read_goes_on_the_sheet(upload, isa):
    with pytest.raises(ValidationError, match="read and not set aside"):
        recording.put_on_sheet(upload(), by=isa, at=NOON, on_sheet=True)


def test_files_of_no_record_are_swept_after_a_day(upload):
    kept = upload()
    stray = shelf().take_in(io.BytesIO(b"stray"))
    (shelf().coming / "reading-9-x").mkdir()

    sweep(at=datetime.now(UTC))
    assert shelf().path(stray.sha256).exists()

    sweep(at=datetime.now(UTC) + timedelta(days=2))
    assert kept_files() == [shelf().path(kept.sha256)]
    assert not list(shelf().coming.iterdir())


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_what_a_database_cannot_keep_is_left_out(value):
    assert digest.plain({"a": [value, "x\x00y"], 1: (1.5, None, True)}) == {
        "a": [None, "xy"],
        "1": [1.5, None, True],
    }
