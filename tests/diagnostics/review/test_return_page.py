import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from diagnostics import returns, watching
from diagnostics.models import Assumption, Cause, RequiredStep, ReturnVisit, TrialSeries
from diagnostics.review.forms import ReviewForm
from shared.models import AuditEntry
from tests.diagnostics.test_returns import MONDAY
from tests.diagnostics.visits import first_visit, later_visit, on
from tests.factories import (
    AdvisorFactory,
    LocationFactory,
    OwnerFactory,
    TechnicianFactory,
    TestRunFactory,
    WorkItemFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit():
    first = first_visit(number="1042", technician="Isa Renk", closed_by="Maud Tarrant")
    later = later_visit(first, number="1057", technician="Corin Hesk")
    watching.refresh([first.vehicle_id], at=MONDAY)
    return ReturnVisit.objects.select_related("index_order", "return_order").get(return_order=later)


@pytest.fixture
def owner(client):
    person = OwnerFactory(signs_as="Gwen Aldrake", location=LocationFactory(distance_unit="km"))
    client.force_login(person)
    return person


def shown(client, visit):
    response = client.get(visit.get_absolute_url())
    assert response.status_code == 200
    return response.content.decode()


@pytest.mark.usefixtures("owner")
def test_both_jobs_stand_side_by_side(client, visit):
    text = shown(client, visit)

    assert "Overheats, again" in text
    assert "10\u00a0days, 500\u00a0km" in text
    assert "Provisional verdict: comeback" in text
    assert "S, same complaint" in text
    assert "10 of 90, inside" in text
    assert "500 of 6,000\u00a0km, inside" in text
    assert "Then: job 1042" in text
    assert "Now: job 1057" in text
    for link in ("Reported", "Seen", "Measured", "Cause", "Repair", "Proved", "Papers"):
        assert f">{link}</h3>" in text


@pytest.mark.usefixtures("owner")
def test_the_main_facts_of_each_link_are_shown(client, visit):
    first = visit.index_order
    RequiredStep.objects.create(complaint=first.complaint_set.get(), code="pressure_hold", critical=True)
    TestRunFactory(
        order=first, ref="T1", code="coolant_temp", value="118", unit="°C", hi="105", done_on=on(0)
    )
    Cause.objects.create(order=first, ref="K1", complaint_ref="C1", component="thermostat", mode="stuck")
    WorkItemFactory(order=first, ref="W1", complaint_ref="C1", component="thermostat", done_on=on(0))
    Assumption.objects.create(order=first, ref="A1", text="The fan is in order.", status="open")
    TrialSeries.objects.create(order=first, complaint_ref="C1", done_on=on(0), n=2, recurrences=0)

    text = shown(client, visit)

    assert "It will not start." in text
    assert "Not tried: no attempt is on record." in text
    assert "Not done: pressure hold, a critical step" in text
    assert "<b>118</b> °C" in text
    assert "outside, above" in text
    assert "Thermostat, stuck" in text
    assert "No failing reading isolates it." in text
    assert "Assumed, not tested: The fan is in order." in text
    assert "Thermostat replaced." in text
    assert "No failing reading called for it." in text
    assert "2 trials, all clean." in text
    assert "No findings sheet was issued." in text


@pytest.mark.usefixtures("owner")
def test_what_was_asked_for_and_not_done_stands_beside_what_was_read_this_time(client, visit):
    first, later = visit.index_order, visit.return_order
    RequiredStep.objects.create(complaint=first.complaint_set.get(), code="pressure_hold")
    TestRunFactory(order=later, code="pressure_hold", value="40", unit="kPa", lo="90", done_on=on(10))
    TestRunFactory(
        order=first, ref="T1", code="coolant_temp", value="118", unit="°C", hi="105", done_on=on(0)
    )
    WorkItemFactory(
        order=first, ref="W1", complaint_ref="C1", component="fan", evidence=["T1"], done_on=on(0)
    )
    WorkItemFactory(order=first, ref="W2", complaint_ref="C1", component="thermostat", done_on=on(0))
    Assumption.objects.create(order=first, ref="A1", text="The hose is new.", status="")

    left = client.get(visit.get_absolute_url()).context["both"].undone

    (step,) = left.steps
    assert (step.name, step.state, step.minutes) == ("pressure hold", "open", None)
    assert (str(step.now.value), step.now.unit, step.now.verdict) == ("40", "kPa", "below")
    assert left.parts == ("Thermostat replaced",)
    assert left.assumptions == ("The hose is new.",)
    assert [line.text for line in left.not_reread] == ["coolant temp"]
    assert left.trials == ("0 clean trials of 3 needed",)


@pytest.mark.usefixtures("owner")
def test_a_waived_step_is_shown_with_its_reason(client, visit):
    RequiredStep.objects.create(
        complaint=visit.index_order.complaint_set.get(),
        code="pressure_hold",
        is_waived=True,
        waiver_reason="The cap was off.",
        waiver_by="Isa Renk",
    )

    (step,) = client.get(visit.get_absolute_url()).context["both"].undone.steps

    assert (step.state, step.waived) == ("explained", "The cap was off.")


@pytest.mark.usefixtures("owner")
def test_no_person_of_the_two_jobs_is_named(client, visit):
    first = visit.index_order
    TestRunFactory(order=first, ref="T1", done_by="Tobin Marl", done_on=on(0))
    WorkItemFactory(order=first, ref="W1", done_by="Tobin Marl", done_on=on(0))
    RequiredStep.objects.create(
        complaint=first.complaint_set.get(),
        code="pressure_hold",
        is_waived=True,
        waiver_reason="-",
        waiver_by="Tobin Marl",
    )
    returns.review(visit, state="in_review", by=OwnerFactory(signs_as="Edda Voss"), at=MONDAY)

    text = re.sub(r"(?s)<select name=.change_owner.*?</select>", "", shown(client, visit))

    for name in ("Isa Renk", "Maud Tarrant", "Corin Hesk", "Tobin Marl", "Edda Voss"):
        assert name not in text


def test_a_review_has_no_field_for_a_person(visit):
    fields = {name.rpartition("_")[0] or name for name in ReviewForm(visit=visit).fields}

    assert fields == {
        "state", "exclusion", "note", "primary", "second", "third", "escape", "known", "change", "check"
    }  # fmt: skip


# --- who may --------------------------------------------------------------------------------------


def test_an_advisor_may_not_open_a_review(client, visit):
    client.force_login(AdvisorFactory())

    assert client.get(visit.get_absolute_url()).status_code == 403


def test_a_technician_may_read_a_review_and_not_write_one(client, visit):
    client.force_login(TechnicianFactory())

    text = shown(client, visit)
    response = client.post(visit.get_absolute_url(), {"state": "confirmed"})

    assert "Nobody has reviewed it yet" in text
    assert 'name="state"' not in text
    assert response.status_code == 302
    visit.refresh_from_db()
    assert visit.state == "unreviewed"
    assert not AuditEntry.objects.exists()


def test_a_return_that_is_not_there_is_not_found(client, owner):
    assert client.get(reverse("return", args=[99])).status_code == 404


# --- reviewing ------------------------------------------------------------------------------------


def test_the_owner_keeps_a_review(client, owner, visit):
    response = client.post(visit.get_absolute_url(), {"state": "confirmed", "note": "Leak test first."})

    assert response.status_code == 302
    visit.refresh_from_db()
    assert (visit.state, visit.review_note, visit.reviewed_by) == (
        "confirmed",
        "Leak test first.",
        "Gwen Aldrake",
    )
    assert AuditEntry.objects.get().action == "review"


@pytest.mark.usefixtures("owner")
def test_an_exclusion_must_be_chosen(client, visit):
    response = client.post(visit.get_absolute_url(), {"state": "excluded", "note": "A tow truck did it."})

    assert response.status_code == 200
    text = response.content.decode()
    assert "Choose which exclusion holds, X1 to X4" in text
    assert "A tow truck did it." in text
    visit.refresh_from_db()
    assert visit.state == "unreviewed"


@pytest.mark.usefixtures("owner")
def test_a_state_must_be_chosen(client, visit):
    response = client.post(visit.get_absolute_url(), {"note": "x"})

    assert "Choose what this return is." in response.content.decode()


@pytest.mark.usefixtures("owner")
@pytest.mark.parametrize("exclusion", ["X1", "X2", "X3", "X4"])
def test_each_exclusion_can_be_chosen(client, visit, exclusion):
    client.post(visit.get_absolute_url(), {"state": "excluded", "exclusion": exclusion})

    visit.refresh_from_db()
    assert (visit.state, visit.review_exclusion) == ("excluded", exclusion)


@pytest.mark.usefixtures("owner")
def test_an_exclusion_without_that_state_is_not_kept(client, visit):
    client.post(visit.get_absolute_url(), {"state": "unrelated", "exclusion": "X1"})

    visit.refresh_from_db()
    assert (visit.state, visit.review_exclusion) == ("unrelated", "")


@pytest.mark.usefixtures("owner")
def test_a_review_can_be_opened_again_and_its_history_stays(client, visit):
    for state, note in (("in_review", ""), ("confirmed", "It leaked."), ("in_review", "New photo.")):
        client.post(visit.get_absolute_url(), {"state": state, "note": note})

    said = client.get(visit.get_absolute_url()).context["page"].history

    assert [(one.text, one.note) for one in said] == [
        ("From “confirmed” to “in review”", "New photo."),
        ("From “in review” to “confirmed”", "It leaked."),
        ("From “not reviewed” to “in review”", ""),
    ]


@pytest.mark.usefixtures("owner")
def test_the_same_review_again_leaves_no_entry(client, visit):
    for _ in range(2):
        client.post(visit.get_absolute_url(), {"state": "confirmed", "note": "It leaked."})

    assert AuditEntry.objects.count() == 1


@pytest.mark.usefixtures("owner")
def test_a_late_return_is_shown_in_its_own_words(client):
    first = first_visit()
    later_visit(first, day=91)
    watching.refresh([first.vehicle_id], at=MONDAY)

    text = shown(client, ReturnVisit.objects.get())

    assert "A late return, in no rate" in text
    assert "91 of 90, outside" in text
    assert "notice came-back" not in text


@pytest.mark.usefixtures("owner")
def test_an_unknown_distance_is_said(client):
    first = first_visit(odo_out=None)
    later_visit(first)
    watching.refresh([first.vehicle_id], at=MONDAY)

    text = shown(client, ReturnVisit.objects.get())

    assert "not known of 6,000\u00a0km, a person decides" in text
    assert "10\u00a0days, distance not known" in text


@pytest.mark.usefixtures("owner")
def test_the_queries_of_the_page_do_not_grow_with_the_past_of_the_vehicle(client, visit):
    def queries():
        with CaptureQueriesContext(connection) as captured:
            shown(client, visit)
        return len(captured)

    few = queries()
    for day in range(-90, -10, 8):
        earlier = first_visit(visit.index_order.vehicle, day=day)
        TestRunFactory(order=earlier, done_on=on(day))
        WorkItemFactory(order=earlier, done_on=on(day))

    assert queries() == few <= 45
