"""What each of the four people comes for, through the pages."""

from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics.models import TestRun
from shop import closing, intake
from shop.models import Customer, Location, RepairOrder, StaffMember, Vehicle
from tests.browser.garage import make_papers
from tests.browser.pages import BUS, FLAT
from tests.browser.people import PHONE, TABLET

DAYS_SINCE = 16


@pytest.fixture
def sold_a_battery(places):
    """A vehicle that was handed back sixteen days ago, with a battery that nobody had tested."""
    advisor = StaffMember.objects.get(username="maud")
    back_at = timezone.now() - timedelta(days=DAYS_SINCE)
    order = intake.open_order(
        location=Location.objects.get(code="QRG"),
        vehicle=intake.keep_vehicle(Vehicle(plate="KD 2208", make="Tolmer", model="Fell"), by=advisor),
        customer=intake.keep_customer(Customer(name="Wenna Trewhit"), by=advisor),
        complaints=[
            intake.ComplaintEntry("Flat after the weekend.", system="battery", symptom="flat_after_standing")
        ],
        by=advisor,
        at=back_at - timedelta(days=1),
    )
    return closing.hand_back(order, by=advisor, at=back_at, outcome="repaired", reason="In a hurry.")


def test_the_advisor_sees_that_a_vehicle_came_back_before_any_work(windows, sold_a_battery):
    page = windows.open("maud")
    page.goto("/")

    page.get_by_label("Find or open").fill("kd 2208")
    page.get_by_role("button", name="Find").click()
    page.get_by_role("link", name="Open a job on KD 2208").click()
    assert page.get_by_role("heading", name="It was here before").is_visible()
    assert "Flat after the weekend." in page.get_by_role("table", name="Earlier jobs").inner_text()
    page.get_by_label("In your words, what happens?").fill("Flat again, the same as before.")
    page.get_by_role("radio", name="No", exact=True).check()
    page.get_by_label("Symptom").select_option("flat_after_standing")
    page.get_by_role("button", name="Open the job").click()

    first = page.locator("main > section").first
    assert "came-back" in first.get_attribute("class")
    assert f"{DAYS_SINCE} days" in first.inner_text()
    assert f"Job {sold_a_battery.number}" in first.inner_text()
    assert page.get_by_text("No reading yet.").is_visible()


def test_the_front_page_says_which_open_job_came_back(windows, places):
    page = windows.open("maud")
    page.goto("/")

    line = page.locator(".job", has_text=places.order(FLAT).number).first
    assert "came back" in line.inner_text().lower()


def test_the_technician_keeps_a_reading_with_one_line_in_the_bay(windows, places):
    page = windows.open("tobin", width=TABLET)
    page.goto(f"/orders/{places.order(FLAT).pk}/bay/")
    test = page.locator(".next h2").inner_text()

    line = page.locator(".next form[data-reading]")
    line.get_by_label("Reading").fill("12.61 V")
    page.locator(".heard").wait_for()
    line.get_by_role("button", name="Keep it").click()

    assert f"Kept: {test}" in page.locator(".messages").inner_text()
    assert "12.61" in page.locator(".kept").inner_text()


def test_a_colleague_takes_a_hand_off_over(windows, places):
    path = f"/orders/{places.order('open.half_measured').pk}/"
    giver, taker, other = windows.open("tobin"), windows.open("isa"), windows.open("corin")

    giver.goto(path)
    giver.get_by_role("link", name="Hand over to a colleague").click()
    giver.get_by_label("Who takes over").select_option("Isa Renk")
    giver.get_by_label("What is known").fill("It draws 0.4 A an hour after locking.")
    giver.get_by_label("What to do next").fill("Voltage drop over every fuse of the rear box.")
    giver.get_by_role("button", name="Hand it over").click()
    other.goto(path)
    taker.goto(path)

    assert "Not acknowledged yet." in giver.locator("main").inner_text()
    assert other.get_by_role("link", name="Take it over").count() == 0
    taker.get_by_role("link", name="Take it over").last.click()
    assert "0.4 A" in taker.locator("main").inner_text()
    taker.get_by_role("button", name="I have read it and take over").click()
    assert "Taken over by Isa Renk." in taker.locator("main").inner_text()


def test_the_owner_reviews_a_return(windows, places):
    visit = places.return_visit("charge_cable.return")
    page = windows.open("gwen")
    page.goto("/returns/")

    page.get_by_role("link", name=visit.return_order.number, exact=True).click()
    page.get_by_role("radio", name="A comeback").check()
    page.get_by_label("What we learn from it").fill("The drop in the cable is measured first from now on.")
    page.get_by_role("button", name="Keep the review").click()

    assert "The review is kept." in page.locator(".messages").inner_text()
    visit.refresh_from_db()
    assert (visit.state, visit.reviewed_by) == ("confirmed", "Gwen Aldrake")


def test_the_customer_reads_the_findings_and_takes_the_pdf_without_signing_in(windows, places):
    order = places.order(FLAT)
    page = windows.open("maud")
    page.goto(f"/orders/{order.pk}/")

    page.get_by_role("link", name="Look at the findings sheet").click()
    assert order.complaint_set.get().text in page.locator("main").inner_text()
    page.get_by_role("button", name="Issue it").click()
    make_papers()
    page.get_by_role("button", name="Make a link").click()
    address = page.get_by_label("Send this to the customer").input_value()

    phone = windows.open(width=PHONE)
    phone.goto(address)
    assert order.complaint_set.get().text in phone.locator("main").inner_text()
    file = phone.get_by_role("link", name="Findings sheet").get_attribute("href")
    answer = phone.request.get(file)
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.body().startswith(b"%PDF-")


def test_a_link_that_is_ended_shows_nothing_more(windows, places):
    page, phone = windows.open("maud"), windows.open(width=PHONE)
    page.goto(f"/orders/{places.order(BUS).pk}/papers/findings/")
    page.get_by_role("button", name="Make a link").click()
    address = page.get_by_label("Send this to the customer").input_value()

    page.get_by_role("button", name="End this link").first.click()

    assert phone.goto(address).status == 404


def test_what_was_refused_comes_back_as_it_was_typed(windows, places):
    page = windows.open("tobin")
    page.goto(f"/orders/{places.order(FLAT).pk}/record/trials/")

    page.get_by_label("Tries").fill("2")
    page.get_by_label("It came back").fill("5")
    page.get_by_label("Conditions", exact=False).first.fill("Two nights locked")
    page.get_by_role("button", name="Keep it").click()

    assert "It cannot come back 5 times in 2 tries." in page.get_by_role("alert").inner_text()
    assert page.get_by_label("Tries").input_value() == "2"
    assert page.get_by_label("It came back").input_value() == "5"
    assert page.get_by_label("Conditions", exact=False).first.input_value() == "Two nights locked"


def test_a_refused_new_job_keeps_every_field(windows, places):
    page = windows.open("maud")
    page.goto("/orders/new/")
    typed = {"Plate": "ZZ 1", "Customer's name": "Ivo Kirrin", "In your words": "It squeals."}

    for label, text in typed.items():
        page.get_by_label(label).fill(text)
    page.get_by_role("button", name="Open the job").click()

    assert page.get_by_role("alert").is_visible()
    assert {label: page.get_by_label(label).input_value() for label in typed} == typed
    assert not RepairOrder.objects.filter(vehicle__plate="ZZ 1").exists()


def test_a_draft_outlives_a_lost_connection(windows, places):
    page = windows.open("tobin")
    address = f"/orders/{places.order(FLAT).pk}/record/note/"
    text = "The trailer was on in the week before."
    page.goto(address)

    page.get_by_label("What to add").fill(text)
    page.context.set_offline(True)
    page.get_by_role("button", name="Add it").click()
    assert "No connection." in page.locator(".typed").inner_text()
    assert page.get_by_label("What to add").input_value() == text
    page.context.set_offline(False)

    later = page.context.new_page()
    later.goto(address)
    later.get_by_role("button", name="Put it back").click()
    assert later.get_by_label("What to add").input_value() == text
    later.get_by_role("button", name="Add it").click()
    assert text in later.locator("main").inner_text()

    later.goto(address)
    assert later.locator(".typed").count() == 0


def readings_of(order):
    return list(TestRun.objects.filter(order=order).values_list("value", flat=True))


def reading_line(page, order):
    page.goto(f"/orders/{order.pk}/record/reading/?code=rest_voltage&phase=before")
    return page.get_by_label("Reading", exact=True)


def loses_connection(page):
    page.wait_for_load_state("networkidle")
    page.context.set_offline(True)


def test_a_reading_typed_without_a_connection_is_sent_once_when_it_is_back(windows, places):
    page, order = windows.open("tobin", width=TABLET), places.order(FLAT)
    before = len(readings_of(order))
    line = reading_line(page, order)

    loses_connection(page)
    line.fill("11.87 V")
    line.press("Enter")
    waiting = page.get_by_role("status", name="Kept on this device")
    assert "11.87 V" in waiting.inner_text()
    assert line.input_value() == ""
    page.context.set_offline(False)

    page.get_by_text("Sent now and kept:").wait_for()
    page.reload()
    assert page.locator(".waiting").count() == 0
    assert len(readings_of(order)) == before + 1


def press_enter_into_a_dead_line(page, order, text, *, reached):
    """Type a reading; its request is lost on the way, or reaches the server and the answer is lost."""

    def lose(route):
        if reached:
            route.fetch(max_redirects=0)
        route.abort()

    line = reading_line(page, order)
    page.route("**/record/reading/**", lose, times=1)
    line.fill(text)
    line.press("Enter")
    page.wait_for_url("chrome-error://**")


def test_a_reading_that_was_lost_on_its_way_is_sent_again(windows, places):
    page, order = windows.open("tobin", width=TABLET), places.order(FLAT)
    before = len(readings_of(order))

    press_enter_into_a_dead_line(page, order, "12.44 V", reached=False)
    assert len(readings_of(order)) == before
    page.goto("/")

    page.get_by_text("Sent now and kept:").wait_for()
    assert len(readings_of(order)) == before + 1


def test_a_reading_whose_answer_was_lost_is_not_kept_twice(windows, places):
    page, order = windows.open("tobin", width=TABLET), places.order(FLAT)
    before = len(readings_of(order))

    press_enter_into_a_dead_line(page, order, "12.45 V", reached=True)
    page.goto("/")

    page.get_by_text("kept: ").or_(page.get_by_text("Kept: ")).first.wait_for()
    page.goto("/")
    assert page.locator(".waiting").count() == 0
    assert len(readings_of(order)) == before + 1


def test_a_question_about_a_reading_sent_late_is_answered_in_its_form(windows, places):
    page, order = windows.open("tobin", width=TABLET), places.order(FLAT)
    before = len(readings_of(order))
    line = reading_line(page, order)

    loses_connection(page)
    line.fill("12 bananas")
    line.press("Enter")
    page.context.set_offline(False)
    page.get_by_role("link", name="Open it and answer").click()

    assert page.get_by_label("Reading", exact=True).input_value() == "12 bananas"
    assert len(readings_of(order)) == before
