"""A review from the page: codes with evidence, a change and its look, a second coding, the cost."""

from datetime import date
from decimal import Decimal

import pytest
import time_machine

from diagnostics.models import ReturnCost, ReturnReview, ReturnVisit
from diagnostics.review.forms import ReviewForm
from diagnostics.watching import refresh
from shared.models import AuditEntry
from tests.diagnostics.test_returns import MONDAY
from tests.diagnostics.visits import first_visit, later_visit
from tests.factories import LocationFactory, OwnerFactory, TechnicianFactory, TimeEntryFactory

pytestmark = pytest.mark.django_db

TODAY = date(2026, 6, 1)
CODED = {
    "state": "confirmed",
    "primary": "D1",
    "primary_says": "The draw was never measured.",
    "escape_point": "test choice",
}
CHANGE = {
    "change_kind": "protocol",
    "change": "The draw test comes first.",
    "change_owner": "Gwen Aldrake",
    "change_due": "2026-04-01",
    "check_on": "2026-05-20",
}


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel(TODAY, tick=False):
        yield


@pytest.fixture
def shop():
    return LocationFactory(currency="GBP", loaded_rate=Decimal("62.00"), distance_unit="km")


@pytest.fixture
def visit(shop):
    first = first_visit(technician="Isa Renk", location=shop)
    later = later_visit(first, technician="Corin Hesk", unbilled_minutes=95)
    refresh([first.vehicle_id], at=MONDAY)
    return ReturnVisit.objects.get(return_order=later)


@pytest.fixture
def owner(client, shop):
    person = OwnerFactory(signs_as="Gwen Aldrake", location=shop)
    client.force_login(person)
    return person


def post(client, visit, rest="", **said):
    return client.post(f"{visit.get_absolute_url()}{rest}", said, follow=True)


def said(response):
    return [str(message) for message in response.context["messages"]]


@pytest.mark.usefixtures("owner")
def test_a_review_is_kept_with_its_evidence_and_its_history(client, visit):
    page = client.get(visit.get_absolute_url()).context["page"]
    fact = next(fact for fact in page.facts if fact.code == "D7")
    more = {"second": "D7", "second_facts": [fact.key], "known_seen": "Nobody had a day to wait."}

    post(client, visit, **CODED, **more, **CHANGE)
    post(client, visit, **CODED | {"primary": "D5"}, **CHANGE)

    review = ReturnReview.objects.get()
    visit.refresh_from_db()
    assert (visit.state, review.primary, review.contributing) == ("confirmed", "D5", [])
    entries = AuditEntry.objects.filter(record="diagnostics.ReturnReview").order_by("pk")
    assert [entry.action for entry in entries] == ["code", "code"]
    assert entries[0].after["evidence"]["D7"] == {"facts": [[fact.key, fact.text]], "says": ""}
    assert entries[0].after["known_then"] == {"seen": "Nobody had a day to wait."}
    texts = [one.text for one in client.get(visit.get_absolute_url()).context["page"].history]
    assert texts[0].startswith("Primary code D5")
    assert {"From “not reviewed” to “confirmed”"} < set(texts)


MISSING = [
    ({"primary_says": ""}, "Say what D1 rests on"),
    ({"escape_point": ""}, "Choose the step that could have caught it first."),
    ({"second": "D1", "second_says": "Again."}, "D1 is chosen already"),
    ({"primary": "", "escape_point": "trial"}, "Choose the primary code as well"),
    ({"third_says": "Also the trim."}, "There is evidence without a code."),
    ({"change": "Draw first."}, "Choose what the change is to."),
    (CHANGE | {"change": ""}, "Write the change in a sentence."),
    (CHANGE | {"check_on": "2026-03-30"}, "Look at the effect on a day after the change is made."),
    ({"change_kind": "nothing"}, "Write why nothing is changed."),
    (CHANGE | {"primary": "", "primary_says": "", "escape_point": ""}, "A change is kept with the codes."),
    ({"state": "excluded"}, "Choose which exclusion holds"),
]


@pytest.mark.usefixtures("owner")
def test_what_is_missing_is_said_and_nothing_typed_is_lost(client, visit):
    for change, text in MISSING:
        form = ReviewForm(CODED | change, visit=visit)
        errors = [error for errors in form.errors.values() for error in errors]
        assert any(error.startswith(text) for error in errors), (text, errors)

    page = post(client, visit, **CODED | {"note": "It hid in the trim.", "escape_point": ""}).content.decode()

    assert "Choose the step that could have caught it first." in page
    assert "It hid in the trim." in page
    assert not ReturnReview.objects.exists()
    assert ReturnVisit.objects.get().state == "unreviewed"


@pytest.mark.usefixtures("owner")
def test_a_form_sent_twice_is_kept_once(client, visit):
    for _ in range(2):
        assert said(post(client, visit, **CODED, sent="a" * 12)) == [
            "The review is kept. It can be opened again at any time."
        ]

    assert AuditEntry.objects.filter(action="code").count() == 1


@pytest.mark.usefixtures("owner")
def test_the_effect_of_a_change_is_looked_at_when_its_day_has_come(client, visit):
    assert said(post(client, visit, "look/", check_said="Nothing yet.", checked_on="2026-06-01")) == [
        "No change of this return is to be looked at."
    ]
    post(client, visit, **CODED, **CHANGE)
    queue = client.get("/audit/reviews/?show=look").context["rows"]

    refused = post(client, visit, "look/", check_said="Good.", checked_on="2026-07-01")
    post(client, visit, "look/", check_said="3 jobs since, too few to tell.", checked_on="2026-06-01")

    review = ReturnReview.objects.get()
    assert [row.pk for row in queue] == [visit.pk]
    assert "still to come" in refused.content.decode()
    assert (review.check_said, review.checked_by) == ("3 jobs since, too few to tell.", "Gwen Aldrake")
    assert client.get("/audit/reviews/?show=look").context["rows"] == []


def test_a_second_reader_codes_without_sight_of_the_first(client, owner, visit):
    post(client, visit, **CODED, note="What Gwen saw.")
    client.force_login(TechnicianFactory(signs_as="Tobin Marl"))
    before = client.get(visit.get_absolute_url()).content.decode()
    queue = client.get("/audit/reviews/")

    post(client, visit, "apart/", primary="V3", primary_says="One trial.", escape_point="trial")
    after = client.get(visit.get_absolute_url()).content.decode()

    assert "What Gwen saw." not in before
    assert "The draw was never measured." not in before
    assert [row.pk for row in queue.context["rows"]] == [visit.pk]
    assert "D1" not in queue.content.decode().partition("<tbody")[2]
    assert "The draw was never measured." in after
    second = ReturnReview.objects.get(is_second=True)
    assert second.compared_with == {"primary": "D1", "contributing": [], "escape_point": "test choice"}
    assert client.get("/audit/reviews/?format=csv").status_code == 403

    client.force_login(owner)
    post(client, visit, **CODED | {"primary": "V3"})
    second.refresh_from_db()
    assert second.compared_with["primary"] == "D1", "the first coding as it stood then"


@pytest.mark.usefixtures("owner")
def test_nobody_codes_a_return_of_their_own_jobs_apart(client, visit):
    post(client, visit, **CODED)
    client.force_login(TechnicianFactory(signs_as="Corin Hesk"))

    page = client.get(visit.get_absolute_url())
    post(client, visit, "apart/", primary="V3", primary_says="One trial.", escape_point="trial")

    assert page.context["page"].apart_form is None
    assert client.get("/audit/reviews/").context["rows"] == []
    assert ReturnReview.objects.count() == 1


@pytest.mark.usefixtures("owner")
def test_the_cost_is_offered_and_never_filled_by_itself(client, visit):
    TimeEntryFactory(order=visit.return_order, minutes=124)
    page = client.get(visit.get_absolute_url())

    took = post(client, visit, "cost/", goodwill="twelve", take="entries")
    refused = post(client, visit, "cost/", goodwill="twelve", minutes="124")
    post(client, visit, "cost/", minutes="124", loaded_rate="62", goodwill="0", note="")

    form = page.context["page"].cost_form
    assert [form[name].value() for name in ("minutes", "loaded_rate")] == [None, None]
    text = page.content.decode()
    assert "The order says 1\u00a0h 35\u00a0min not billed" in text
    assert "The settings say £62.00 an hour" in text
    assert 'value="124"' in took.content.decode()
    assert 'value="twelve"' in took.content.decode()
    assert "Write an amount such as 42.50" in refused.content.decode()
    cost = ReturnCost.objects.get()
    assert (cost.minutes, cost.goodwill, cost.parts, cost.currency) == (124, 0, None, "GBP")
    shown = client.get(visit.get_absolute_url()).content.decode()
    assert "£128.13" in shown
    assert "parts and consumables not recovered, loan vehicle and transport and supplier credit" in shown
    assert said(post(client, visit, "cost/", minutes="124", loaded_rate="62.00", goodwill="0.00"))[0] == (
        "Nothing was changed."
    )
    assert AuditEntry.objects.filter(action="cost").count() == 1


@pytest.mark.usefixtures("owner")
def test_a_cost_of_nothing_at_all_is_not_kept(client, visit):
    assert "Write at least one amount." in post(client, visit, "cost/").content.decode()
    assert not ReturnCost.objects.exists()
