from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics.models import Instrument, Protocol, TestKind
from diagnostics.protocols import load_catalogue
from shared.models import AuditEntry
from tests.factories import InstrumentFactory, OwnerFactory, TechnicianFactory, TestRunFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client):
    load_catalogue(at=timezone.now())
    client.force_login(OwnerFactory())
    return client


def names(response):
    return [str(row) for row in response.context["rows"]]


@pytest.mark.parametrize(
    "query", ["name=standing_draw", "name=Standing+draw", "system=battery", "kind=numeric", "limit_source=P"]
)
def test_each_filter_of_the_tests_finds_the_standing_draw(owner, query):
    found = owner.get(f"/tests/?{query}&sort=name").context["filter"].qs

    assert found.filter(code="standing_draw").exists()
    assert found.count() < TestKind.objects.count()


@pytest.mark.parametrize("query", ["symptom=flat+after", "system=battery", "test=standing_draw"])
def test_each_filter_of_the_protocols_finds_the_one(owner, query):
    found = owner.get(f"/protocols/?{query}").context["filter"].qs

    assert found.filter(symptom="flat_after_standing").count() == 1
    assert found.count() < Protocol.objects.count()


@pytest.mark.parametrize("query", ["code=meter", "kind=multi", "counts=yes"])
def test_each_filter_of_the_instruments_finds_the_meter(owner, query):
    InstrumentFactory(code="meter 2", cal_due=timezone.localdate())
    InstrumentFactory(code="clamp 1", kind="clamp", cal_due=timezone.localdate() - timedelta(1))

    rows = owner.get(f"/instruments/?{query}").context["rows"]

    assert [instrument.code for instrument, _ in rows] == ["meter 2"]


def test_an_overdue_instrument_is_found_as_not_counting(owner):
    InstrumentFactory(code="clamp 1", cal_due=timezone.localdate() - timedelta(1))

    rows = owner.get("/instruments/?counts=no").context["rows"]

    assert [(instrument.code, counts) for instrument, counts in rows] == [("clamp 1", False)]


def test_a_changed_test_is_a_new_version(owner):
    current = TestKind.objects.get(code="standing_draw", is_current=True)
    data = {
        "name": current.name,
        "plain": current.plain,
        "unit": "mA",
        "lo": "",
        "hi": "40",
        "limit_source": "S",
        "limit_says": "this shop",
        "minutes": current.minutes,
        "point": current.point,
        "how": current.how,
    }

    owner.post("/tests/standing_draw/edit/", data)

    versions = TestKind.objects.filter(code="standing_draw").order_by("version")
    assert [(v.version, v.is_current, str(v.hi)) for v in versions] == [(1, False, "50"), (2, True, "40")]
    assert AuditEntry.objects.filter(action="new version").count() == 1


def test_limits_the_wrong_way_round_are_refused_and_kept_on_the_page(owner):
    page = owner.post(
        "/tests/standing_draw/edit/",
        {"name": "Draw", "unit": "mA", "lo": "60", "hi": "50", "limit_source": "S", "minutes": "5"},
    ).content.decode()

    assert "The upper limit 50 is below the lower limit 60." in page
    assert 'value="60"' in page


def test_a_unit_that_is_none_is_refused(owner):
    page = owner.post(
        "/tests/standing_draw/edit/", {"name": "Draw", "unit": "bananas", "minutes": "5"}
    ).content.decode()

    assert "&#x27;bananas&#x27; is not a unit this site knows." in page


def steps(*chosen, reason="A return taught us."):
    data = {"steps-TOTAL_FORMS": "8", "steps-INITIAL_FORMS": "8", "reason": reason}
    for place in range(8):
        test, phase = chosen[place] if place < len(chosen) else ("", "before")
        data |= {f"steps-{place}-test": test, f"steps-{place}-phase": phase}
    return data


def edit_address():
    return f"/protocols/{Protocol.objects.get(symptom='flat_after_standing', is_current=True).pk}/edit/"


def test_a_changed_protocol_is_a_new_version(owner):
    owner.post(edit_address(), steps(("standing_draw", "before"), ("standing_draw", "after")))

    current = Protocol.objects.get(symptom="flat_after_standing", is_current=True)
    assert (current.version, current.reason, current.steps.count()) == (2, "A return taught us.", 2)


def test_a_protocol_without_a_step_is_refused(owner):
    page = owner.post(edit_address(), steps()).content.decode()

    assert "A protocol needs at least one step." in page


def test_one_test_twice_in_a_phase_is_refused(owner):
    page = owner.post(edit_address(), steps(("standing_draw", "before"), ("standing_draw", "before")))

    assert "asked for twice in the same phase" in page.content.decode()
    assert not Protocol.objects.filter(version=2).exists()


def test_an_instrument_is_added_with_an_entry(owner):
    owner.post("/instruments/new/", {"code": "meter  9", "kind": "multimeter", "accuracy": "0.05"})

    assert Instrument.objects.get().code == "meter 9"
    assert AuditEntry.objects.get(action="add").record == "diagnostics.Instrument"


def test_an_instrument_that_readings_name_keeps_its_name(owner):
    meter = InstrumentFactory(code="meter 2")

    page = owner.post(f"/instruments/{meter.pk}/edit/", {"code": "meter 3", "kind": "multimeter"})

    assert "Withdraw it and add the new name instead." in page.content.decode()


def test_the_page_of_an_instrument_shows_what_leans_on_it(owner):
    meter = InstrumentFactory(code="meter 2")
    TestRunFactory(instrument=meter, instrument_ref="meter 2", order__number="1057")

    assert "1057" in owner.get(f"/instruments/{meter.pk}/").content.decode()


def test_a_technician_changes_no_protocol(client):
    load_catalogue(at=timezone.now())
    client.force_login(TechnicianFactory())

    assert client.get(edit_address()).status_code == 403


@pytest.mark.parametrize(
    ("path", "words"),
    [("/tests/?name=zzz", "No test matches."), ("/protocols/?test=zzz", "No protocol matches.")],
)
def test_a_filter_without_a_match_says_so(owner, path, words):
    assert words in owner.get(path).content.decode()


@pytest.mark.parametrize("path", ["/tests/", "/protocols/", "/instruments/"])
def test_an_empty_list_says_what_to_do(client, path):
    client.force_login(OwnerFactory())

    page = client.get(path).content.decode()
    assert "load_catalogue" in page or "Add the meters" in page


@pytest.mark.parametrize("path", ["/tests/", "/protocols/", "/instruments/"])
def test_a_list_takes_few_queries_whatever_its_length(owner, path, django_assert_max_num_queries):
    InstrumentFactory.create_batch(30)

    with django_assert_max_num_queries(10):
        owner.get(path)
