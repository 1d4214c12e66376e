"""One test, one protocol, one instrument: what the page shows and who may change what."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from diagnostics.models import Instrument, Protocol, TestKind
from shared.models import AuditEntry
from tests.factories import (
    AdvisorFactory,
    InstrumentFactory,
    OwnerFactory,
    ProtocolFactory,
    ProtocolStepFactory,
    SymptomFactory,
    TechnicianFactory,
    TestKindFactory,
    TestRunFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client):
    client.force_login(OwnerFactory())
    return client


@pytest.fixture
def protocol():
    """Draw before and after; the shop knows two tests."""
    SymptomFactory(code="flat", name="Flat after standing")
    TestKindFactory(
        code="standing_draw",
        name="Draw at rest",
        lo=None,
        hi=Decimal(50),
        unit="mA",
        limit_source="S",
        minutes=40,
    )
    TestKindFactory(code="rest_voltage", name="Voltage at rest", minutes=10)
    protocol = ProtocolFactory(symptom="flat")
    ProtocolStepFactory(protocol=protocol, test_code="standing_draw", critical=True)
    ProtocolStepFactory(protocol=protocol, test_code="standing_draw", phase="after", position=1)
    return protocol


def text_of(response):
    return response.content.decode().replace("\xa0", " ")


# --- one test -------------------------------------------------------------------------------------


def test_the_page_of_a_test_says_how_it_is_done_its_limits_and_who_asks_for_it(owner, protocol):
    TestKind.objects.filter(code="standing_draw").update(how="Let it sleep first.", limit_says="this shop")

    page = text_of(owner.get("/tests/standing_draw/"))

    assert "Let it sleep first." in page
    assert "50 mA" in page
    assert "this shop" in page
    assert f'<a href="/protocols/{protocol.pk}/">Flat after standing</a>' in page


def test_the_page_of_a_test_lists_its_versions_newest_first(owner):
    TestKindFactory(code="rest_voltage", is_current=False)
    TestKindFactory(code="rest_voltage", version=2)

    versions = owner.get("/tests/rest_voltage/").context["versions"]

    assert [version.version for version in versions] == [2, 1]


def test_a_test_that_is_not_on_record_is_not_found(owner):
    assert owner.get("/tests/nothing/").status_code == 404


@pytest.mark.parametrize("person", [AdvisorFactory, TechnicianFactory])
def test_nobody_but_the_owner_changes_a_test(client, protocol, person):
    client.force_login(person())

    assert "/edit/" not in text_of(client.get("/tests/standing_draw/"))
    assert client.get("/tests/standing_draw/edit/").status_code == 403
    assert client.post("/tests/standing_draw/edit/", {"name": "Mine"}).status_code == 403
    assert TestKind.objects.filter(code="standing_draw").count() == 1


def as_shown(form):
    return {name: "" if form[name].value() is None else form[name].value() for name in form.fields}


def test_keeping_a_test_as_it_is_makes_no_version(owner, protocol):
    form = owner.get("/tests/standing_draw/edit/").context["form"]

    page = owner.post("/tests/standing_draw/edit/", as_shown(form), follow=True)

    assert "Nothing was changed, so the version stays." in text_of(page)
    assert TestKind.objects.filter(code="standing_draw").count() == 1


def test_a_limit_without_its_source_is_refused(owner, protocol):
    form = owner.get("/tests/standing_draw/edit/").context["form"]

    page = owner.post("/tests/standing_draw/edit/", as_shown(form) | {"hi": "40", "limit_source": ""})

    assert "Say where the limit comes from." in text_of(page)


# --- one protocol ---------------------------------------------------------------------------------


def chosen(*steps, total=8, reason="A return taught us."):
    data = {"steps-TOTAL_FORMS": total, "steps-INITIAL_FORMS": total, "reason": reason}
    for place in range(total):
        test, phase = steps[place] if place < len(steps) else ("", "before")
        data |= {f"steps-{place}-test": test, f"steps-{place}-phase": phase}
    return data


def test_the_page_of_a_protocol_adds_up_the_minutes_of_its_steps(owner, protocol):
    assert owner.get(f"/protocols/{protocol.pk}/").context["minutes"] == 80


def test_an_old_version_is_shown_and_cannot_be_changed(owner, protocol):
    old = ProtocolFactory(symptom="flat", version=7, is_current=False)

    page = owner.get(f"/protocols/{old.pk}/")

    assert "no longer in force" in text_of(page)
    assert f'href="/protocols/{old.pk}/edit/"' not in text_of(page)
    assert owner.get(f"/protocols/{old.pk}/edit/").status_code == 404


@pytest.mark.parametrize("person", [AdvisorFactory, TechnicianFactory])
def test_nobody_but_the_owner_changes_a_protocol(client, protocol, person):
    client.force_login(person())

    assert "/edit/" not in text_of(client.get(f"/protocols/{protocol.pk}/"))
    assert (
        client.post(f"/protocols/{protocol.pk}/edit/", chosen(("rest_voltage", "before"))).status_code == 403
    )
    assert Protocol.objects.get() == protocol


def test_the_form_of_a_protocol_offers_eight_places_with_its_steps_first(owner, protocol):
    forms = owner.get(f"/protocols/{protocol.pk}/edit/").context["steps"].forms

    assert [form["test"].value() for form in forms] == ["standing_draw", "standing_draw"] + [None] * 6


def test_steps_keep_the_order_they_were_chosen_in(owner, protocol):
    owner.post(
        f"/protocols/{protocol.pk}/edit/",
        chosen(("", "before"), ("rest_voltage", "after"), ("standing_draw", "before")),
    )

    kept = Protocol.objects.get(is_current=True).steps.all()
    assert [(step.position, step.test_code) for step in kept] == [(0, "rest_voltage"), (1, "standing_draw")]


def test_more_than_eight_steps_are_refused(owner, protocol):
    codes = [TestKindFactory().code for _ in range(9)]

    page = owner.post(
        f"/protocols/{protocol.pk}/edit/", chosen(*[(code, "before") for code in codes], total=9)
    )

    assert "8 steps at most. Take one away." in text_of(page)
    assert Protocol.objects.get() == protocol


def test_a_new_version_says_why(owner, protocol):
    page = owner.post(f"/protocols/{protocol.pk}/edit/", chosen(("rest_voltage", "before"), reason=" "))

    assert "Fill this in." in text_of(page)
    assert Protocol.objects.get() == protocol


def test_a_test_that_is_not_on_record_cannot_be_asked_for(owner, protocol):
    owner.post(f"/protocols/{protocol.pk}/edit/", chosen(("no_such_test", "before")))

    assert Protocol.objects.get() == protocol


# --- one instrument -------------------------------------------------------------------------------


@pytest.mark.parametrize(("person", "status"), [(AdvisorFactory, 403), (TechnicianFactory, 200)])
def test_who_reads_instruments_may_add_one_too(client, person, status):
    client.force_login(person())

    assert client.get("/instruments/new/").status_code == status


def test_a_changed_instrument_leaves_what_differs_in_the_trail(owner):
    meter = InstrumentFactory(code="meter 2", cal_due=date(2026, 3, 2))

    owner.post(
        f"/instruments/{meter.pk}/edit/",
        {"code": "meter 2", "kind": "multimeter", "cal_required": "on", "cal_due": "2027-03-02"},
    )

    entry = AuditEntry.objects.get(action="change")
    assert (entry.before, entry.after) == ({"cal_due": "2026-03-02"}, {"cal_due": "2027-03-02"})


def test_an_instrument_kept_as_it_is_leaves_no_entry(owner):
    meter = InstrumentFactory(code="meter 2", cal_required=False)

    owner.post(f"/instruments/{meter.pk}/edit/", {"code": "meter 2", "kind": "multimeter"})

    assert not AuditEntry.objects.exists()


def test_a_name_that_is_taken_is_refused(owner):
    InstrumentFactory(code="meter 2")

    owner.post("/instruments/new/", {"code": "meter 2", "kind": "multimeter"})

    assert Instrument.objects.count() == 1


def test_an_accuracy_below_nothing_is_refused(owner):
    page = owner.post("/instruments/new/", {"code": "meter 2", "kind": "multimeter", "accuracy": "-0.05"})

    assert "An accuracy cannot be below 0." in text_of(page)


def test_an_accuracy_keeps_its_digits(owner):
    owner.post("/instruments/new/", {"code": "meter 2", "kind": "multimeter", "accuracy": "0.050"})

    assert str(Instrument.objects.get().accuracy) == "0.050"


@pytest.mark.parametrize(("days", "counts"), [(0, True), (-1, False), (None, False)])
def test_the_page_says_whether_readings_count_today(owner, days, counts):
    due = None if days is None else timezone.localdate() + timedelta(days)
    meter = InstrumentFactory(cal_due=due)

    page = owner.get(f"/instruments/{meter.pk}/")

    assert page.context["counts"] is counts
    assert ("do not count" in text_of(page)) is not counts


def test_a_superseded_reading_leans_on_no_instrument(owner):
    meter = InstrumentFactory(code="meter 2")
    new = TestRunFactory(order__number="1057")
    TestRunFactory(
        order=new.order,
        instrument=meter,
        instrument_ref="meter 2",
        superseded_by=new,
        superseded_reason="Wrong meter.",
    )

    assert "No reading names it yet." in text_of(owner.get(f"/instruments/{meter.pk}/"))


# --- few queries ----------------------------------------------------------------------------------


def queries(client, path):
    with CaptureQueriesContext(connection) as captured:
        assert client.get(path).status_code == 200
    return len(captured)


def test_the_page_of_a_protocol_takes_as_many_queries_for_eight_steps_as_for_two(owner, protocol):
    few = queries(owner, f"/protocols/{protocol.pk}/")
    for position in range(2, 8):
        ProtocolStepFactory(protocol=protocol, position=position, test_code=TestKindFactory().code)

    assert queries(owner, f"/protocols/{protocol.pk}/") == few <= 12


def test_the_page_of_an_instrument_takes_as_many_queries_for_many_readings_as_for_one(owner):
    meter = InstrumentFactory()
    TestRunFactory(instrument=meter, instrument_ref=meter.code)
    few = queries(owner, f"/instruments/{meter.pk}/")
    TestRunFactory.create_batch(10, instrument=meter, instrument_ref=meter.code)

    assert queries(owner, f"/instruments/{meter.pk}/") == few <= 12


def test_the_page_of_a_test_takes_as_many_queries_for_many_protocols_as_for_one(owner):
    TestKindFactory(code="rest_voltage")
    ProtocolStepFactory()
    few = queries(owner, "/tests/rest_voltage/")
    for _ in range(8):
        ProtocolStepFactory()

    assert queries(owner, "/tests/rest_voltage/") == few <= 12


def test_a_test_that_was_changed_meanwhile_is_not_overwritten_unseen(owner, protocol):
    shown = as_shown(owner.get("/tests/standing_draw/edit/").context["form"]) | {"version": 1}
    owner.post("/tests/standing_draw/edit/", shown | {"minutes": 7})

    page = owner.post("/tests/standing_draw/edit/", shown | {"minutes": 9})

    assert "put version 2 in force while you were writing" in text_of(page)
    assert TestKind.objects.get(code="standing_draw", is_current=True).minutes == 7


def test_pressing_again_puts_the_own_version_in_force(owner, protocol):
    shown = as_shown(owner.get("/tests/standing_draw/edit/").context["form"])
    owner.post("/tests/standing_draw/edit/", shown | {"version": 1, "minutes": 7})

    owner.post("/tests/standing_draw/edit/", shown | {"version": 2, "minutes": 9})

    assert TestKind.objects.get(code="standing_draw", is_current=True).minutes == 9


def test_a_protocol_that_was_changed_meanwhile_is_not_overwritten_unseen(owner, protocol):
    address = f"/protocols/{protocol.pk}/edit/"
    owner.post(address, chosen(("rest_voltage", "before")) | {"version": 1})

    page = owner.post(address, chosen(("standing_draw", "before")) | {"version": 1})

    assert "put version 2 in force while you were writing" in text_of(page)
    assert Protocol.objects.get(is_current=True, symptom=protocol.symptom).version == 2
