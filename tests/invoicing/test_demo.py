"""What the demo puts beside the readings of its open jobs."""

from datetime import UTC, datetime
from types import SimpleNamespace

import pytest

from diagnostics.captures.analyse import analyse
from diagnostics.captures.recording import open_recording
from diagnostics.demo import evidence
from diagnostics.models import Capture, CircuitMap, FaultSearch, ScanCode, ScanModule
from invoicing import demo
from shared import outbox
from tests.factories import ComplaintFactory, LocationFactory, OrderFactory, TechnicianFactory

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


def test_the_recorded_cable_carries_four_times_and_then_drops_most_of_the_battery(tmp_path):
    path = tmp_path / "cable.csv"
    path.write_bytes(evidence.starter_cable())

    drop, battery = analyse(open_recording(path), battery_v=12.6).channels

    assert drop.summary.greatest == pytest.approx(9.6, abs=0.05)
    assert battery.summary.least == pytest.approx(10.65, abs=0.05)
    assert drop.summary.count == 10_000


@pytest.mark.django_db
def test_the_open_jobs_get_a_recording_that_is_read_and_a_scan(settings, tmp_path):
    settings.CAPTURES_DIR = tmp_path / "captures"
    location = LocationFactory()
    tobin = TechnicianFactory(location=location)
    stories = {}
    for story in ("open.cable_ordered", "open.half_measured"):
        stories[story] = OrderFactory(location=location, technician=tobin.signs_as).number

    demo.add_evidence(SimpleNamespace(story_orders=stories), NOON)
    outbox.drain()

    assert Capture.objects.get().status == "ready"
    assert list(ScanCode.objects.values_list("code", flat=True)) == ["P0480"]
    assert ScanModule.objects.filter(answered=False).get().name == "Radio"


@pytest.mark.django_db
def test_the_shop_has_circuits_and_a_search_under_way():
    location = LocationFactory()
    tobin = TechnicianFactory(location=location)
    order = OrderFactory(location=location, technician=tobin.signs_as)
    ComplaintFactory(order=order, kind="symptom")

    demo.draw_circuits(SimpleNamespace(story_orders={"open.half_measured": order.number}), NOON)

    assert CircuitMap.objects.count() == 4
    assert FaultSearch.objects.get(order=order).is_running
