"""Read a report, look at what was understood, keep it, compare two, and say who is missing."""

from hashlib import sha256

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext

from diagnostics import recording
from diagnostics.codes.scan_text import read_scan
from diagnostics.models import Assumption, CodeMeaning, Scan, TestRun
from tests.factories import OrderFactory, TestKindFactory, VehicleFactory

pytestmark = pytest.mark.django_db

TEXT = "Engine:\n P0171-11 pending\nBrakes: no response\nnobody knows\n"


def words(response):
    return response.content.decode().replace("\xa0", " ")


def form(**typed):
    return {
        "text": TEXT,
        "phase": "before",
        "done_by": "Tobin Marl",
        "done_on": "2026-03-02",
        "act": "read",
    } | typed


def pressed_twice(**typed):
    """The form as it is sent with the second press: the text was shown."""
    text = typed.get("text", TEXT).replace("\r\n", "\n")
    return form(act="keep", shown=sha256(text.encode()).hexdigest()[:16], **typed)


@pytest.fixture
def keep(tobin, now):
    def keep(order, text, **about):
        return recording.keep_scan(
            order, read_scan(text), by=tobin, at=now, text=text, phase="before", **about
        )

    return keep


def test_a_report_is_shown_before_it_is_kept(technician, order):
    shown = words(technician.post(f"/orders/{order.pk}/scans/new/", form()))

    assert "Not kept yet" in shown
    assert "P0171-11" in shown
    assert "mixture too lean, bank 1, short to ground" in shown
    assert "Line 4: nobody knows" in shown
    assert TEXT in shown
    assert not Scan.objects.exists()


def test_a_report_is_kept_with_the_second_press(technician, order):
    response = technician.post(
        f"/orders/{order.pk}/scans/new/", pressed_twice(text=TEXT.replace("\n", "\r\n"))
    )

    scan = Scan.objects.get(order=order)
    assert response["Location"] == f"/scans/{scan.pk}/"
    assert scan.text == TEXT


def test_a_text_that_was_changed_since_is_shown_again(technician, order):
    data = pressed_twice() | {"text": TEXT + "P0300\n"}

    shown = words(technician.post(f"/orders/{order.pk}/scans/new/", data))

    assert "Not kept yet" in shown
    assert "P0300" in shown
    assert not Scan.objects.exists()


def test_a_file_is_shown_first_and_its_text_stands_in_the_form(technician, order):
    file = SimpleUploadedFile("report.csv", "Module;Code\nTürsteuerung;B1342\n".encode("utf-16"))

    shown = words(technician.post(f"/orders/{order.pk}/scans/new/", form(text="", file=file, act="keep")))

    assert "Not kept yet" in shown
    assert "Türsteuerung;B1342" in shown
    assert not Scan.objects.exists()


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"text": " \n"}, "Paste the report, or choose its file."),
        ({"file": SimpleUploadedFile("a.txt", bytes(range(256)) * 9)}, "not a text file"),
        ({"file": SimpleUploadedFile("a.txt", b"x" * 2_100_000)}, "more than 2 MB"),
        ({"text": "x\n" * 70_000}, "60000 are the most"),
        ({"done_on": "2999-01-01"}, "still to come"),
    ],
)
def test_what_cannot_be_read_is_refused_and_stays_in_the_form(technician, order, typed, said):
    if "file" in typed:
        typed["file"].seek(0)

    response = technician.post(f"/orders/{order.pk}/scans/new/", form(**typed))

    assert response.status_code == 200
    assert said in words(response)
    assert typed.get("text", TEXT)[:20] in words(response)
    assert not Scan.objects.exists()


def test_the_text_of_a_file_survives_a_mistake_elsewhere(technician, order):
    file = SimpleUploadedFile("a.txt", b"Engine:\nP0171\n")

    assert "Engine:\nP0171" in words(
        technician.post(f"/orders/{order.pk}/scans/new/", form(text="", file=file, done_on=""))
    )


def test_a_scan_may_count_as_the_step_that_was_asked_for(technician, order, complaint):
    TestKindFactory(code="unit_codes", kind="code", unit="", name="Codes of every unit")

    technician.post(f"/orders/{order.pk}/scans/new/", pressed_twice(record_as="unit_codes", complaint="C1"))

    run = TestRun.objects.get(order=order)
    assert (run.code, run.kind, run.complaint_ref) == ("unit_codes", "code", "C1")


def test_a_job_that_was_handed_back_takes_no_scan(technician, order):
    order.returned_on = order.opened_on
    order.save()

    response = technician.post(f"/orders/{order.pk}/scans/new/", pressed_twice())

    assert response["Location"] == f"/orders/{order.pk}/"
    assert not Scan.objects.exists()


def test_a_scan_names_its_codes_and_the_units_that_are_missing(technician, order, keep):
    keep(order, "Engine: no codes\nRadio: no codes\n")
    scan = keep(order, TEXT)

    shown = words(technician.get(f"/scans/{scan.pk}/"))

    assert "mixture too lean, bank 1, short to ground" in shown
    assert "the report names it as silent" in shown
    assert "answered in the scan of" in shown
    assert "not a reading" in shown


def test_a_scan_of_another_vehicle_by_its_vin_says_so(technician, order, keep):
    order.vehicle.vin = "1M8GDM9AXKP042788"
    order.vehicle.save()
    scan = keep(order, f"VIN: 2Z9BC34D8EF567890\n{TEXT}")

    assert "not the VIN of this vehicle" in words(technician.get(f"/scans/{scan.pk}/"))


def test_units_of_other_vehicles_of_the_model_are_expected(technician, shop, keep):
    model = {"make": "Norvane", "model": "Tarn"}
    order, near, far = (
        OrderFactory(location=shop, vehicle=VehicleFactory(**model, year=year)) for year in (2017, 2019, 2024)
    )
    keep(near, "Engine: no codes\nTrailer: no codes\n")
    keep(far, "Engine: no codes\nCamera: no codes\n")
    scan = keep(order, "Engine: no codes\n")

    shown = words(technician.get(f"/scans/{scan.pk}/"))

    assert "answered in 1 of 1 other vehicle of this model" in shown
    assert "Trailer" in shown
    assert "Camera" not in shown


def test_not_fitted_is_written_down_as_an_assumption(technician, order, keep):
    scan = keep(order, TEXT)

    technician.post(f"/scans/{scan.pk}/assume/", {"unit": "brakes"})

    assert Assumption.objects.get(order=order).status == "open"
    assert "Assumed not fitted on job 1057: open" in words(technician.get(f"/scans/{scan.pk}/"))


def test_a_unit_that_is_not_missing_is_not_assumed_away(technician, order, keep):
    scan = keep(order, TEXT)

    response = technician.post(f"/scans/{scan.pk}/assume/", {"unit": "engine"}, follow=True)

    assert "Choose one of the control units" in words(response)
    assert not Assumption.objects.exists()


def test_a_scan_kept_wrongly_is_superseded(technician, order, keep):
    wrong, right = keep(order, TEXT), keep(order, "P0300")

    technician.post(f"/scans/{wrong.pk}/supersede/", {"newer": right.pk, "reason": "Other car."})

    assert "Other car." in words(technician.get(f"/scans/{wrong.pk}/"))
    assert [scan.ref for scan in Scan.objects.filter(superseded_by=None)] == [right.ref]


def test_superseding_without_a_reason_is_refused_on_the_page(technician, order, keep):
    wrong, right = keep(order, TEXT), keep(order, "P0300")

    response = technician.post(f"/scans/{wrong.pk}/supersede/", {"newer": right.pk, "reason": ""})

    assert "1 thing to put right" in words(response)
    assert not Scan.objects.filter(superseded_by=right).exists()


def test_two_scans_are_compared_with_what_cannot_be_said(technician, order, keep):
    before, after = (
        keep(order, "Engine:\nP0171\nP0300\n"),
        keep(order, "Engine:\nP0171\nCatalyst: not ready\n"),
    )

    shown = words(technician.get(f"/scans/{before.pk}/compare/?with={after.pk}"))

    assert "Still there: 1" in shown
    assert "Not reported any more: 1" in shown
    assert "Not finished: catalyst" in shown


@pytest.mark.parametrize("wanted", ["", "x", "9" * 30, "²", "0"])
def test_a_comparison_with_nothing_is_not_found(technician, order, keep, wanted):
    assert technician.get(f"/scans/{keep(order, TEXT).pk}/compare/?with={wanted}").status_code == 404


def test_a_scan_of_another_vehicle_is_not_compared(technician, order, keep, shop):
    other = keep(OrderFactory(location=shop), TEXT)

    assert technician.get(f"/scans/{keep(order, TEXT).pk}/compare/?with={other.pk}").status_code == 404


def test_the_text_comes_back_as_it_was_kept(technician, order, keep):
    response = technician.get(f"/scans/{keep(order, TEXT).pk}/text/")

    assert response.content.decode() == TEXT
    assert response["Content-Type"].startswith("text/plain")


def test_the_job_names_its_scans(technician, order, keep):
    keep(order, TEXT)

    shown = words(technician.get(f"/orders/{order.pk}/"))

    assert "Scan S1</a>, before the repair, 1 code, 1 control unit without an answer" in shown
    assert f"/orders/{order.pk}/scans/new/" in shown


def test_the_shop_s_words_are_imported_and_shown(technician):
    technician.post("/codes/import/", {"text": "code,meaning\nP0171,thin mixture\n"})

    assert CodeMeaning.objects.get().meaning == "thin mixture"
    assert "thin mixture" in words(technician.get("/codes/?code=p01"))


def test_a_table_with_a_fault_is_not_taken_and_stays_in_the_form(technician):
    shown = words(technician.post("/codes/import/", {"text": "P0171,thin\nP9,x\n"}))

    assert "Line 2:" in shown
    assert "P0171,thin\nP9,x" in shown
    assert not CodeMeaning.objects.exists()


@pytest.mark.parametrize(
    ("query", "found"), [("code=p01", 1), ("code=P03", 0), ("meaning=MIX", 1), ("meaning=x1", 0)]
)
def test_the_list_of_codes_is_filtered(technician, query, found):
    CodeMeaning.objects.create(code="P0171", meaning="thin mixture")

    assert words(technician.get(f"/codes/?{query}")).count("thin mixture") == found


def queries(client, address):
    client.get(address)
    with CaptureQueriesContext(connection) as captured:
        assert client.get(address).status_code == 200
    return len(captured)


def filled(shop, keep, count):
    order = OrderFactory(location=shop, vehicle=VehicleFactory(make=f"Norvane {count}", model="Tarn"))
    for number in range(count):
        other = OrderFactory(location=shop, vehicle=VehicleFactory(make=f"Norvane {count}", model="Tarn"))
        keep(other, f"Engine: no codes\nDoor {number}: no codes\n")
        keep(order, "".join(f"Unit {n}:\nP0{n:03d}\nB1{n:03d}-11\n" for n in range(number + 1)))
    return keep(order, "Engine:\nP0171\nBrakes: no response\n" * (count + 1))


@pytest.mark.parametrize(
    "address", ["/scans/{scan}/", "/scans/{scan}/compare/?with={other}", "/orders/{order}/"]
)
def test_the_queries_of_a_page_do_not_grow_with_the_scans(technician, shop, keep, address):
    asked = []
    for count in (1, 12):
        scan = filled(shop, keep, count)
        other = Scan.objects.filter(order=scan.order_id).first().pk
        asked.append(queries(technician, address.format(scan=scan.pk, other=other, order=scan.order_id)))

    assert asked[0] == asked[1]
    assert asked[0] <= 60
