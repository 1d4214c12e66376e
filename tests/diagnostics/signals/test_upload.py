"""Files that come in through the page: good ones kept, bad ones refused in words, nothing half-written."""

import gzip
import io
import random
import struct
import zipfile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from diagnostics.models import Capture
from diagnostics.recording.captures import shelf
from shared import outbox, uploads
from tests.diagnostics.signals.recorded import csv_text, wav_bytes, zip_of

pytestmark = pytest.mark.django_db

NOTHING = 100_000_000
TYPED = {"shows": "Crank sensor", "phase": "before", "done_on": "2026-03-02", "done_by": "Isa Renk"}


@pytest.fixture
def send(technician, order):
    def post(content, name="crank.csv", **typed):
        file = SimpleUploadedFile(name, content) if isinstance(content, bytes) else content
        return technician.post(f"/orders/{order.pk}/record/capture/", {**TYPED, "file": file, **typed})

    return post


def kept_files():
    return [path for path in shelf().root.rglob("*") if path.is_file()]


@pytest.fixture(autouse=True)
def uploads_of_this_test(settings, tmp_path):
    """Other tests upload at the same time; what they leave is theirs."""
    settings.FILE_UPLOAD_TEMP_DIR = tmp_path / "uploads"
    settings.FILE_UPLOAD_TEMP_DIR.mkdir()


def temporary_files(settings):
    return list(settings.FILE_UPLOAD_TEMP_DIR.iterdir())


def test_a_recording_is_uploaded_and_its_page_opens(send, order, technician):
    answer = send(csv_text(), point_1="connector 14 pin 3", battery_v="12.6", test="")

    capture = Capture.objects.get()
    assert answer.url == f"/captures/{capture.pk}/"
    assert (capture.title, capture.points, str(capture.battery_v)) == (
        "Crank sensor",
        ["connector 14 pin 3"],
        "12.6",
    )
    assert "It is being read" in technician.get(answer.url).content.decode()


@pytest.mark.parametrize(
    ("content", "name"),
    [(csv_text(), "a.csv"), (wav_bytes(), "a.wav"), (b"\xef\xbb\xbf" + csv_text(), "A.TXT")],
)
def test_a_recording_of_each_kind_is_read(send, content, name):
    send(content, name)
    outbox.drain()

    assert Capture.objects.get().status == "ready"


@pytest.mark.parametrize(
    ("content", "name", "says"),
    [
        (b"", "a.csv", "This file is empty"),
        (csv_text(), "a.exe", "A file of this ending is not read"),
        (csv_text(), "a", "A file of this ending is not read"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "a.svg", "A file of this ending is not read"),
        (b"\x89PNG\r\n\x1a\n", "a.csv", "is not what .csv says"),
        (zip_of(a="0,1"), "a.csv", "is not what .csv says"),
        (gzip.compress(csv_text()), "a.csv", "is not what .csv says"),
        (b"0,1\n\x00\x00\x00", "a.csv", "is not what .csv says"),
        (csv_text(), "a.wav", "is not what .wav says"),
        (csv_text(), "a.sr", "is not what .sr says"),
    ],
)
def test_what_is_no_recording_is_refused_at_once(send, settings, content, name, says):
    answer = send(content, name)

    assert answer.status_code == 200
    assert says in answer.content.decode()
    assert not Capture.objects.exists()
    assert kept_files() == []
    assert temporary_files(settings) == []


def bomb():
    """A session whose signal unpacks to a thousand times its size."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("version", "2")
        archive.writestr(
            "metadata",
            "[device 1]\nsamplerate=1 MHz\ntotal probes=1\nunitsize=1\nprobe1=D0\ncapturefile=logic-1\n",
        )
        with archive.open("logic-1-1", "w") as member:
            for _ in range(NOTHING // 1_000_000):
                member.write(bytes(1_000_000))
    return made.getvalue()


BROKEN = {
    "words": (b"This is not a recording.\n" * 50, "a.csv"),
    "one line": (b"1", "a.csv"),
    "times that fall": (b"time (s),V\n0,1\n2,1\n1,1\n0.5,2\n", "a.csv"),
    "a wave that lies about its size": (b"RIFF\xff\xff\xff\xffWAVEfmt " + struct.pack("<I", 2**31), "a.wav"),
    "a wave cut short": (wav_bytes()[:30], "a.wav"),
    "a session that is no archive": (b"PK\x03\x04" + b"\x00" * 100, "a.sr"),
    "a session with paths": (zip_of(**{"../../evil": "x", "version": "2", "metadata": "x"}), "a.sr"),
    "a session in a session": (zip_of(metadata=zip_of(a="x"), version="2"), "a.sr"),
    "a dump of nonsense": (b"$timescale 1 parsecs $end\n#1\nb2x !\n", "a.vcd"),
    "noise": (bytes(random.Random(5).choices(range(1, 256), k=4000)), "a.txt"),
    "two-byte signs": ("Zeit;V\n".encode("utf-16") + b"\xd8\x00\xd8", "a.txt"),
}


@pytest.mark.parametrize("name", BROKEN)
def test_what_turns_out_to_be_broken_says_why_and_leaves_nothing(send, technician, settings, name):
    answer = send(*BROKEN[name])
    assert answer.status_code in (200, 302)

    outbox.drain()

    for capture in Capture.objects.all():
        assert capture.status == "refused", capture.refusal
        assert capture.refusal
        assert capture.refusal[:40] in technician.get(f"/captures/{capture.pk}/").content.decode().replace(
            "&#x27;", "'"
        )
    assert kept_files() == []
    assert temporary_files(settings) == []


def test_a_bomb_is_not_unpacked(send):
    send(bomb(), "a.sr")

    outbox.drain()

    capture = Capture.objects.get()
    assert capture.status == "refused"
    assert "unpack to more than 100 times its size" in capture.refusal
    assert kept_files() == []


@pytest.mark.parametrize(
    ("sent", "kept"),
    [
        ("../../etc/passwd.csv", "passwd.csv"),
        ("C:\\scope\\bay 2.csv", "bay 2.csv"),
        ("a\u202ecsv.csv", "acsv.csv"),
        ("x" * 240 + ".csv", "x" * 116 + ".csv"),
    ],
)
def test_the_name_of_a_file_is_only_a_name(send, sent, kept):
    send(csv_text(), sent)

    assert Capture.objects.get().original_name == kept
    assert {path.parent.parent for path in kept_files()} == {shelf().root}


def test_a_file_beyond_the_limit_is_refused_in_words(send, settings):
    settings.UPLOAD_LIMIT = 5000

    answer = send(csv_text(rows=2000))

    assert "The file is larger than 0 MB" in answer.content.decode()
    assert not Capture.objects.exists()
    assert kept_files() == []
    assert temporary_files(settings) == []


def test_what_was_typed_is_kept_when_the_file_is_too_large(send, settings):
    settings.UPLOAD_LIMIT = 5000

    answer = send(csv_text(rows=2000), note="It stalls warm.")

    assert "It stalls warm." in answer.content.decode()


def test_a_request_that_announces_too_much_is_not_kept(technician, order, settings):
    settings.UPLOAD_LIMIT = 1
    body = (
        b'--x\r\nContent-Disposition: form-data; name="file"; filename="a.csv"\r\n\r\n'
        + b"1" * 2_000_000
        + b"\r\n--x--\r\n"
    )

    answer = technician.generic(
        "POST", f"/orders/{order.pk}/record/capture/", body, content_type="multipart/form-data; boundary=x"
    )

    assert "The file is larger than" in answer.content.decode()
    assert temporary_files(settings) == []


def test_a_stranger_s_file_is_not_written(order, settings, monkeypatch):
    written = []
    handler = "django.core.files.uploadhandler.TemporaryFileUploadHandler.receive_data_chunk"
    monkeypatch.setattr(handler, lambda *given: written.append(given))
    client = Client(enforce_csrf_checks=True)

    answer = client.post(
        f"/orders/{order.pk}/record/capture/", {"file": SimpleUploadedFile("a.csv", csv_text())}
    )

    assert answer.status_code == 403
    assert written == []


def test_a_full_disk_is_said(send, monkeypatch):
    monkeypatch.setattr(uploads, "has_room_for", lambda size: False)

    answer = send(csv_text())

    assert "has no room for this file" in answer.content.decode()
    assert kept_files() == []


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"battery_v": "125"}, "less than or equal to 60"),
        ({"battery_v": "nan"}, "Enter a number"),
        ({"battery_v": "1e999"}, "Ensure"),
        ({"volts_per_count": "0"}, "greater than or equal to"),
        ({"sample_rate_hz": "-5"}, "greater than or equal to"),
        ({"bus": "smoke"}, "Select a valid choice"),
        ({"shows": "a\x00b"}, "Null characters"),
        ({"complaint": "C99"}, "Select a valid choice"),
    ],
)
def test_what_is_typed_beside_it_is_looked_at(send, typed, says):
    answer = send(csv_text(), **typed)

    assert answer.status_code == 200
    assert says in answer.content.decode()
    assert kept_files() == []


def test_an_advisor_does_not_upload(client, maud, order):
    client.force_login(maud)

    assert client.post(f"/orders/{order.pk}/record/capture/", {**TYPED}).status_code == 403
