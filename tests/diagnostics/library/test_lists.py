"""The three lists of the library: what each filter leaves, order, CSV, pages, few queries."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests.factories import (
    AdvisorFactory,
    InstrumentFactory,
    OwnerFactory,
    ProtocolFactory,
    ProtocolStepFactory,
    SymptomFactory,
    SystemFactory,
    TechnicianFactory,
    TestKindFactory,
    TestRunFactory,
)

pytestmark = pytest.mark.django_db

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
LISTS = ["/tests/", "/protocols/", "/instruments/"]


@pytest.fixture
def advisor(client):
    client.force_login(AdvisorFactory())
    return client


def csv_rows(response):
    text = b"".join(response.streaming_content).decode("utf-8-sig")
    return [line.split(",") for line in text.splitlines()]


def codes(client, path):
    """The code, the symptom or the name of each row that a list shows, in its order."""
    rows = client.get(path).context["rows"]
    plain = [row[0] if isinstance(row, tuple) else row for row in rows]
    return [getattr(record, "symptom", None) or record.code for record in plain]


@pytest.mark.parametrize("path", LISTS)
@pytest.mark.parametrize("person", [AdvisorFactory, TechnicianFactory, OwnerFactory])
def test_everybody_of_the_shop_reads_the_library(client, person, path):
    client.force_login(person())

    assert client.get(path).status_code == 200


# --- tests ----------------------------------------------------------------------------------------


@pytest.fixture
def two_tests():
    for code, name in [("battery", "Battery"), ("network", "Data networks")]:
        SystemFactory(code=code, name=name)
    TestKindFactory(
        code="standing_draw", name="Draw at rest", plain="What it takes asleep", limit_source="P", minutes=40
    )
    TestKindFactory(
        code="codes_stored", name="Codes stored", system="network", kind="code", unit="", limit_source="V"
    )


@pytest.mark.usefixtures("two_tests")
@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("", ["standing_draw", "codes_stored"]),
        ("name=draw+AT", ["standing_draw"]),
        ("name=standing_", ["standing_draw"]),
        ("name=asleep", ["standing_draw"]),
        ("system=network", ["codes_stored"]),
        ("kind=code", ["codes_stored"]),
        ("limit_source=V", ["codes_stored"]),
        ("sort=name", ["codes_stored", "standing_draw"]),
        ("sort=-name", ["standing_draw", "codes_stored"]),
        ("sort=-system", ["codes_stored", "standing_draw"]),
        ("sort=minutes", ["codes_stored", "standing_draw"]),
        ("sort=unit", ["codes_stored", "standing_draw"]),
        ("sort=limit_source", ["standing_draw", "codes_stored"]),
    ],
)
def test_the_tests_are_narrowed_and_ordered(advisor, query, found):
    assert codes(advisor, f"/tests/?{query}") == found


def test_only_the_version_in_force_is_listed(advisor):
    TestKindFactory(code="rest_voltage", is_current=False, name="Old name")
    TestKindFactory(code="rest_voltage", version=2, name="New name")

    assert [kind.name for kind in advisor.get("/tests/").context["rows"]] == ["New name"]


@pytest.mark.usefixtures("two_tests")
def test_the_csv_of_the_tests_has_what_the_filter_shows(advisor):
    head, *rows = csv_rows(advisor.get("/tests/?system=battery&format=csv"))

    assert head == ["name", "system", "unit", "limits", "limit_source", "minutes"]
    assert [row[0] for row in rows] == ["Draw at rest"]


# --- protocols ------------------------------------------------------------------------------------


@pytest.fixture
def two_protocols():
    battery = SystemFactory(code="battery", name="Battery")
    SymptomFactory(code="flat", system=battery, name="Flat after standing")
    SystemFactory(code="network", name="Data networks")
    flat = ProtocolFactory(symptom="flat", made_at=NOON)
    for position, phase in enumerate(["before", "after"]):
        ProtocolStepFactory(
            protocol=flat, position=position, test_code="standing_draw", phase=phase, critical=not position
        )
    ProtocolStepFactory(protocol=flat, position=2, test_code="rest_voltage")
    lost = ProtocolFactory(system="network", symptom="messages_lost", version=2, made_at=NOON + timedelta(1))
    ProtocolStepFactory(protocol=lost, test_code="can_termination")


@pytest.mark.usefixtures("two_protocols")
@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("", ["flat", "messages_lost"]),
        ("symptom=after+standing", ["flat"]),
        ("system=network", ["messages_lost"]),
        ("test=standing", ["flat"]),
        ("test=can_termination", ["messages_lost"]),
        ("sort=-symptom", ["messages_lost", "flat"]),
        ("sort=-system", ["messages_lost", "flat"]),
        ("sort=-version", ["messages_lost", "flat"]),
        ("sort=steps", ["messages_lost", "flat"]),
        ("sort=critical", ["messages_lost", "flat"]),
        ("sort=-made_at", ["messages_lost", "flat"]),
    ],
)
def test_the_protocols_are_narrowed_and_ordered(advisor, query, found):
    assert codes(advisor, f"/protocols/?{query}") == found


@pytest.mark.usefixtures("two_protocols")
@pytest.mark.parametrize("query", ["", "test=standing_draw", "test=a"])
def test_steps_are_counted_once_whatever_they_were_found_by(advisor, query):
    (flat,) = [row for row in advisor.get(f"/protocols/?{query}").context["rows"] if row.symptom == "flat"]

    assert (flat.step_count, flat.critical_count) == (3, 1)


@pytest.mark.usefixtures("two_protocols")
def test_a_symptom_that_the_shop_added_without_a_code_is_found_by_nothing_but_its_system(advisor):
    assert codes(advisor, "/protocols/?symptom=messages_lost") == []


@pytest.mark.usefixtures("two_protocols")
def test_the_csv_of_the_protocols_has_what_the_filter_shows(advisor):
    rows = csv_rows(advisor.get("/protocols/?system=battery&format=csv"))

    assert rows[0] == ["symptom", "system", "version", "steps", "critical", "made_at"]
    assert [row[:5] for row in rows[1:]] == [["flat", "battery", "1", "3", "1"]]


# --- instruments ----------------------------------------------------------------------------------


@pytest.fixture
def five_instruments():
    today = timezone.localdate()
    TestRunFactory(instrument=InstrumentFactory(code="meter 1", cal_due=today), instrument_ref="meter 1")
    InstrumentFactory(code="meter 2", cal_due=today - timedelta(1))
    InstrumentFactory(code="gauge", kind="pressure gauge", cal_due=None)
    InstrumentFactory(code="lamp", kind="test lamp", cal_required=False)
    InstrumentFactory(code="clamp", kind="current probe", cal_required=False, withdrawn_on=today)


@pytest.mark.usefixtures("five_instruments")
@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("", ["clamp", "gauge", "lamp", "meter 1", "meter 2"]),
        ("code=METER", ["meter 1", "meter 2"]),
        ("kind=lamp", ["lamp"]),
        ("counts=yes", ["lamp", "meter 1"]),
        ("counts=no", ["clamp", "gauge", "meter 2"]),
        ("sort=-name", ["meter 2", "meter 1", "lamp", "gauge", "clamp"]),
        ("sort=-kind&counts=yes", ["lamp", "meter 1"]),
        ("sort=-cal_due&code=meter", ["meter 1", "meter 2"]),
        ("sort=-readings&code=meter", ["meter 1", "meter 2"]),
    ],
)
def test_the_instruments_are_narrowed_and_ordered(advisor, query, found):
    assert codes(advisor, f"/instruments/?{query}") == found


@pytest.mark.usefixtures("five_instruments")
def test_what_the_list_says_of_today_is_what_the_instrument_says(advisor):
    today = timezone.localdate()

    for query in ("yes", "no"):
        for instrument, counts in advisor.get(f"/instruments/?counts={query}").context["rows"]:
            assert counts is instrument.counts_on(today) is (query == "yes")


@pytest.mark.usefixtures("five_instruments")
def test_the_csv_of_the_instruments_has_what_the_filter_shows(advisor):
    head, *rows = csv_rows(advisor.get("/instruments/?code=meter&format=csv"))

    assert head == ["name", "kind", "cal_due", "accuracy", "readings", "state"]
    assert [(row[0], row[4]) for row in rows] == [("meter 1", "1"), ("meter 2", "0")]


def test_a_filter_of_the_instruments_without_a_match_says_so(advisor):
    InstrumentFactory()

    assert "No instrument matches." in advisor.get("/instruments/?code=zzz").content.decode()


@pytest.mark.parametrize(("person", "may"), [(AdvisorFactory, False), (TechnicianFactory, True)])
def test_only_who_may_add_an_instrument_is_offered_it(client, person, may):
    client.force_login(person())

    assert ("Add an instrument" in client.get("/instruments/").content.decode()) is may


# --- all three ------------------------------------------------------------------------------------


def fill(number):
    for _ in range(number):
        TestKindFactory()
        ProtocolStepFactory()
        InstrumentFactory()


@pytest.mark.parametrize("path", LISTS)
def test_a_long_list_has_pages(advisor, path):
    fill(51)

    assert [len(codes(advisor, f"{path}?page={page}")) for page in (1, 2, 99)] == [50, 1, 1]


@pytest.mark.parametrize("path", LISTS)
def test_many_rows_take_as_many_queries_as_few(advisor, path):
    def queries():
        with CaptureQueriesContext(connection) as captured:
            advisor.get(path)
        return len(captured)

    fill(2)
    few = queries()
    fill(20)

    assert queries() == few <= 10
