"""Everything is done without a mouse."""

from tests.browser.keys import MOST_TABS, Keys
from tests.browser.pages import PAGES, each

FORMS = [
    shown
    for shown in PAGES
    # Else the cursor is in the page already.
    if shown.first is None
    and shown.name != "circuit-add"
    and shown.name.startswith(("job", "record", "complaint", "bay", "test-edit", "protocol-edit", "circuit"))
]


@each(FORMS)
def test_tab_visits_a_page_in_its_order_and_comes_out_again(shown, windows, places):
    page = windows.open(shown.who)
    shown.open(page, places)
    keys, stops = Keys(page), []

    keys.press("Tab")
    while (stop := keys.focused) and len(stops) < MOST_TABS:
        # Day, month and year of a date are stops of one field.
        if not stops or stop["place"] != stops[-1]["place"]:
            stops.append(stop)
        keys.press("Tab")

    assert stops[0]["name"] == "Skip to the page"
    assert len(stops) < MOST_TABS, f"no way out of {stops[-1]}"
    assert [stop["place"] for stop in stops] == sorted({stop["place"] for stop in stops})
    assert [stop["name"] for stop in stops if not stop["seen"]] == []


def test_the_skip_link_passes_over_the_bar(windows):
    page = windows.open("maud")
    page.goto("/vehicles/")
    keys = Keys(page)

    keys.press("Tab", "Enter")
    assert page.evaluate("document.activeElement.id") == "main"

    keys.press("Tab")
    assert page.evaluate("document.activeElement.closest('main') !== null")


def test_a_refused_form_puts_the_focus_on_what_to_put_right(windows, places):
    page = windows.open("maud")
    page.goto("/orders/new/")
    keys = Keys(page)

    keys.to("Open the job")
    keys.enter()

    assert page.evaluate("document.activeElement.getAttribute('role')") == "alert"
    keys.press("Tab")
    keys.press("Enter")
    keys.press("Tab")
    assert page.evaluate("document.activeElement.closest('form[method=post]') !== null")


def test_a_job_goes_from_sign_in_to_hand_back_by_keyboard_alone(windows, places):
    page = windows.open()
    page.goto("/")
    keys = Keys(page)

    sign_in(keys)
    open_a_job(keys)
    number = page.locator("h1").inner_text()
    record(keys)
    name_the_cause(keys)
    repair_and_prove(keys)
    explain_a_gap(keys)
    hand_back(keys)

    assert f"Job {number} is handed back" in page.locator(".messages").inner_text()


def sign_in(keys):
    keys.type_into("Name you sign in with", "gwen")
    keys.type_into("Password", "quarry-road")
    keys.enter()


def open_a_job(keys):
    keys.follow("Open a job")
    keys.type_into("Plate", "LV 7703")
    keys.type_into("Make", "Haldmark")
    keys.type_into("Customer's name", "Idony Ullock")
    keys.type_into("In your words", "It is flat after two nights.")
    keys.pick("Did it stall", "No")
    keys.type_into("Symptom", "Flat after standing")
    keys.type_into("Odometer now", "40210")
    keys.follow("Open the job")


def record(keys):
    keys.follow("Record an attempt")
    keys.pick("What happened", "seen")
    keys.type_into("Conditions", "Two nights locked, 6 degrees")
    keys.follow("Keep it")
    keys.type_into("Reading", "12.05 V")
    keys.enter()


def name_the_cause(keys):
    keys.follow("Add a suspect")
    keys.type_into("Component", "battery")
    keys.follow("Keep it")
    keys.follow("Name the cause")
    keys.type_into("Component", "battery")
    keys.type_into("How it failed", "does not hold its charge")
    keys.tick("T1")
    keys.follow("Keep it")


def repair_and_prove(keys):
    keys.follow("Record work")
    keys.pick("What was done", "replace")
    keys.type_into("To which component", "battery")
    keys.pick("Why", "")
    keys.follow("Keep it")
    keys.follow("Record trials")
    keys.type_into("Tries", "3")
    keys.follow("Keep it")


def explain_a_gap(keys):
    keys.follow("Explain it")
    keys.type_into("Why it is left out", "The customer needed the car the same evening.")
    keys.follow("Sign the waiver")


def hand_back(keys):
    keys.pick("Outcome", "repaired")
    keys.type_into("Odometer at hand-over", "40212")
    keys.type_into("Reason for leaving gaps open", "The customer knows and comes back on Monday.")
    keys.follow("Close with")


def test_a_fault_is_found_and_named_by_keyboard_alone(windows, places):
    page = windows.open("isa")
    page.goto(places.search("isolated").get_absolute_url())
    keys = Keys(page)

    keys.follow("It shows the fault")
    keys.follow("Name this as the cause")
    keys.follow("Name this as the cause")

    assert "Cause named: " in page.locator(".messages").inner_text()
