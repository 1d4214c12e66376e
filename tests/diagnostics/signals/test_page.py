"""The page of a recorded signal, and what is handed out beside it."""

import json
import struct
from xml.etree import ElementTree

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from diagnostics import recording
from diagnostics.captures.digest import FRAMES
from diagnostics.recording.captures import shelf
from shared.models import OutboxRow
from tests.diagnostics.signals.recorded import ready_capture
from tests.diagnostics.signals.test_recording import NOON
from tests.factories import CaptureFactory, OrderFactory, VehicleFactory

pytestmark = pytest.mark.django_db

SQUARE = np.tile([0.0] * 10 + [5.0] * 10, 40)


def page_of(client, capture, rest=""):
    answer = client.get(f"/captures/{capture.pk}/{rest}")
    assert answer.status_code == 200
    return answer.content.decode()


def test_a_page_shows_what_was_computed(technician, order):
    said = page_of(technician, ready_capture(SQUARE, order=order, points=["connector 14 pin 3"]))

    assert "connector 14 pin 3" in said
    assert "A connector 14 pin 3: active." in said
    assert "50 Hz" in said  # 20 samples of 1 ms a period: computed.
    assert "Pulses of A connector 14 pin 3: the first 50 of" in said


def test_a_page_has_its_picture_without_a_script(technician, order):
    said = page_of(technician, ready_capture(SQUARE, order=order))

    assert 'role="img" aria-label="Crank sensor: 800 ms of A, 0 V to 5 V."' in said


def test_a_recording_that_waits_says_so(technician):
    capture = CaptureFactory()
    OutboxRow.objects.create(
        kind="read_capture", key=f"capture:{capture.pk}:1", asked_at=NOON, not_before=NOON
    )

    said = page_of(technician, capture)

    assert "This recording is being read" in said
    assert f'data-waiting="/captures/{capture.pk}/state/"' in said


def test_the_state_of_a_recording_that_waits(technician):
    capture = CaptureFactory()
    row = OutboxRow.objects.create(
        kind="read_capture", key=f"capture:{capture.pk}:1", asked_at=NOON, not_before=NOON
    )
    folder = shelf().coming / f"reading-{capture.pk}-x"
    folder.mkdir()
    (folder / "progress").write_text("0.250")

    state = f"/captures/{capture.pk}/state/"
    assert technician.get(state).json() == {"status": "waiting", "share": 0.25, "failed": False}

    OutboxRow.objects.filter(pk=row.pk).update(failed_at=NOON)
    assert technician.get(state).json()["failed"]
    assert "Reading this recording failed" in page_of(technician, capture)


def test_a_refused_file_says_why_and_what_is_allowed(technician):
    capture = CaptureFactory(status="refused", refusal="line 3: two <b>numbers</b>", allowed="one number")

    said = page_of(technician, capture)

    assert "line 3: two &lt;b&gt;numbers&lt;/b&gt;" in said
    assert "Allowed: one number." in said
    assert technician.get(f"/captures/{capture.pk}/file/").status_code == 404


def test_names_from_a_file_are_text(technician, order):
    hostile = '<img src=x onerror="alert(1)">'

    said = page_of(technician, ready_capture(order=order, points=[hostile], title=hostile, note=hostile))

    assert "<img" not in said
    assert json.loads(said.split('id="signal-data"')[1].split(">", 1)[1].split("</script>")[0])["lanes"]


def test_a_recording_set_aside_names_what_took_its_place(technician, order, isa):
    old, new = ready_capture(order=order), ready_capture([[1.0, 2.0]], order=order, title="The right pin")
    recording.set_aside_capture(old, by=isa, at=NOON, reason="Wrong pin.", superseded_by=new)

    said = page_of(technician, old)

    assert "“Wrong pin.”" in said
    assert f'<a href="/captures/{new.pk}/">The right pin</a>' in said
    assert "Show it on the findings sheet" not in said


def test_frames_are_paged(technician, order):
    traffic = {"words": "120 sound VPW frames.", "bit_rate": 10400.0, "busy_share": 0.25, "cut": 0}
    traffic |= {"channels": ["A"], "offenders": [], "notes": []}
    capture = ready_capture(order=order, analysis={"traffic": [traffic]})
    frame = {"kind": "data", "name": "10", "bytes": "68 6A 10", "faults": [], "note": ""}
    lines = [json.dumps({**frame, "start": n / 100, "seconds": 0.004}) for n in range(120)]
    (shelf().drawn(capture.sha256, capture.pk) / FRAMES).write_text("\n".join(lines) + "\n")

    first, last = page_of(technician, capture), page_of(technician, capture, "?page=3")

    assert first.count("68 6A 10") == 50
    assert last.count("68 6A 10") == 20
    assert "1.19 s" in last
    assert "Busy 25.0 % of the time" in first


# --- windows ----------------------------------------------------------------------------------------


def test_a_window_is_handed_out_as_bytes(technician, order):
    capture = ready_capture(np.arange(1000.0), order=order)

    answer = technician.get(f"/captures/{capture.pk}/window/?from=0&to=1&width=10")

    assert answer.headers["Content-Type"] == "application/octet-stream"
    assert struct.unpack("<6d", answer.content[:48]) == (0, 1, 10, 0, 1, 0)
    assert struct.unpack("<4f", answer.content[48:64]) == (0, 99, 100, 199)


@pytest.mark.parametrize(
    "query",
    [
        "", "from=0&to=1", "from=a&to=1&width=10", "from=1&to=1&width=10", "from=2&to=1&width=10",
        "from=0&to=1&width=0", "from=0&to=1&width=5000", "from=0&to=1&width=1_0", "from=0&to=1&width=１０",
        "from=nan&to=1&width=10", "from=0&to=inf&width=10", "from=0&to=1e999&width=10",
        "from=0&to=1e13&width=10", "from=1_0&to=20&width=10", "from=0&to=1&width=-1",
        "from=0&to=1&width=99999999999999999999",
    ],
)  # fmt: skip
def test_a_window_that_cannot_be_drawn_is_refused_in_words(technician, order, query):
    answer = technician.get(f"/captures/{ready_capture(order=order).pk}/window/?{query}")

    assert answer.status_code == 400
    assert answer.headers["Content-Type"].startswith("text/plain")


@pytest.mark.parametrize(
    "query",
    ["from=-1e12&to=1e12&width=10", "from=5e11&to=6e11&width=4096", "from=0&to=1e-12&width=7"],
)
def test_a_window_far_out_is_drawn(technician, order, query):
    assert technician.get(f"/captures/{ready_capture(order=order).pk}/window/?{query}").status_code == 200


def test_a_recording_that_is_not_read_has_no_window(technician):
    assert technician.get(f"/captures/{CaptureFactory().pk}/window/?from=0&to=1&width=9").status_code == 404


# --- what is handed out ------------------------------------------------------------------------------


def test_the_file_is_handed_out_as_it_was_uploaded(technician, order):
    capture = ready_capture(order=order, original_name='bay "2"; Zündung.csv')

    answer = technician.get(f"/captures/{capture.pk}/file/")

    assert b"".join(answer.streaming_content) == np.arange(1000.0).tobytes()
    assert answer.headers["Content-Disposition"].startswith("attachment; filename")
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Content-Type"] == "application/octet-stream"
    assert "sandbox" in answer.headers["Content-Security-Policy"]


def test_a_damaged_file_is_not_handed_out(technician, order):
    capture = ready_capture(order=order)
    shelf().path(capture.sha256).write_bytes(b"other")

    answer = technician.get(f"/captures/{capture.pk}/file/")

    assert answer.status_code == 409
    assert "is not the one that was uploaded" in answer.content.decode()


def test_the_picture_is_handed_out_as_svg(technician, order):
    answer = technician.get(f"/captures/{ready_capture(order=order).pk}/drawing.svg")

    assert answer.headers["Content-Type"] == "image/svg+xml"
    assert answer.headers["Content-Disposition"].startswith("attachment")
    assert ElementTree.fromstring(answer.content).get("viewBox")


# --- two on one time line ----------------------------------------------------------------------------


def test_two_recordings_share_a_lane_where_their_units_agree(technician, order):
    one, two = ready_capture(SQUARE, order=order), ready_capture(SQUARE * 0.5, order=order, phase="after")

    said = page_of(technician, one, f"against/{two.pk}/")

    data = json.loads(said.split('id="signal-data"')[1].split(">", 1)[1].split("</script>")[0])
    (lane,) = data["lanes"]
    assert [trace["source"] for trace in lane["traces"]] == [0, 1]
    assert lane["start"] < 0 < 5 < lane["end"]


def test_the_first_edges_of_two_recordings_meet(technician, order):
    late = np.concatenate([np.zeros(37), SQUARE])

    said = page_of(
        technician, ready_capture(SQUARE, order=order), f"against/{ready_capture(late, order=order).pk}/"
    )

    data = json.loads(said.split('id="signal-data"')[1].split(">", 1)[1].split("</script>")[0])
    assert data["sources"][1]["shift"] == pytest.approx(-0.037)
    assert "with its first edge on that of the first" in said


def test_recordings_without_edges_begin_together(technician, order):
    one, two = ready_capture([[12.0] * 50], order=order), ready_capture([[11.0] * 50], order=order)

    said = page_of(technician, one, f"against/{two.pk}/")

    assert "the second at 0 s too" in said
    assert "Computed values of A in both recordings" in said


def test_recordings_of_two_vehicles_are_marked(technician, order):
    other = ready_capture(SQUARE, order=OrderFactory(location=order.location, vehicle=VehicleFactory()))

    said = page_of(technician, ready_capture(order=order), f"against/{other.pk}/")

    assert "These are two vehicles" in said


def test_a_choice_leads_to_the_pair(technician, order):
    one, two = ready_capture(order=order), ready_capture([[1.0, 2.0]], order=order)

    answer = technician.get(f"/captures/{one.pk}/against/?other={two.pk}")

    assert answer.url == f"/captures/{one.pk}/against/{two.pk}/"


@pytest.mark.parametrize("other", ["", "x", "²", "9" * 30, "-1"])
def test_a_choice_of_nothing_leads_back(technician, order, other):
    one = ready_capture(order=order)

    assert technician.get(f"/captures/{one.pk}/against/", {"other": other}).url == f"/captures/{one.pk}/"


# --- cost --------------------------------------------------------------------------------------------


def queries(client, address):
    client.get(address)
    with CaptureQueriesContext(connection) as captured:
        assert client.get(address).status_code == 200
    return len(captured)


def test_the_queries_of_a_job_do_not_grow_with_its_recordings(technician, order):
    ready_capture(order=order)
    one = queries(technician, f"/orders/{order.pk}/")
    for n in range(5):
        ready_capture([[float(n), 1.0]], order=order, phase="after")

    assert queries(technician, f"/orders/{order.pk}/") == one


def test_a_window_asks_for_who_asks_and_for_its_recording(technician, order):
    capture = ready_capture(order=order)

    assert queries(technician, f"/captures/{capture.pk}/window/?from=0&to=1&width=10") <= 4


def test_a_page_of_a_recording_asks_little(technician, order):
    assert queries(technician, f"/captures/{ready_capture(order=order).pk}/") <= 6
