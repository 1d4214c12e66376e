"""Earlier jobs: found by words on this database, ordered by likeness, shown after the suspects."""

from datetime import UTC, date, datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from diagnostics.models import JobText
from diagnostics.similar.finding import alike, rank
from diagnostics.similar.fulltext import search
from diagnostics.similar.hits import keep_hits, leave_one_out
from diagnostics.similar.indexing import index_missing, index_orders
from tests.factories import (
    CauseFactory,
    ComplaintFactory,
    OrderFactory,
    SuspectFactory,
    TechnicianFactory,
    TestRunFactory,
    VehicleFactory,
    WatchedJobFactory,
)

pytestmark = pytest.mark.django_db

WORDS = "Battery is flat after standing two nights"


def earlier(text=WORDS, *, cause="trailer socket module", symptom="flat_after_standing", day=1, **more):
    """One job that was handed back in January 2026, its cause told apart by one reading."""
    vehicle = VehicleFactory(make="Norvane", model="Tarn")
    order = OrderFactory(
        vehicle=vehicle, opened_on=date(2026, 1, day), returned_on=date(2026, 1, day), outcome="repaired"
    )
    ComplaintFactory(order=order, ref="C1", text=text, system="battery", symptom=symptom)
    TestRunFactory(
        order=order,
        ref="T1",
        code="standing_draw",
        phase="before",
        kind="numeric",
        value="0.61",
        unit="A",
        hi="0.05",
    )
    CauseFactory(order=order, complaint_ref="C1", component=cause, evidence=["T1"])
    job = WatchedJobFactory(order=order, system="battery", symptom=symptom, **more)
    index_orders([order.pk])
    return job


def now(text="Flat battery after two nights' standing", **more):
    order = OrderFactory(vehicle=VehicleFactory(make="Norvane", model="Tarn"), opened_on=date(2026, 3, 2))
    return ComplaintFactory(
        order=order, ref="C1", text=text, **{"system": "battery", "symptom": "flat_after_standing"} | more
    )


def test_words_are_found_whatever_their_ending():
    job = earlier("The engine stalls at lights")
    earlier("The wipers judder")

    assert search(("stalling",), most=5) == {job.pk: 1.0}


def test_words_follow_the_record():
    job = earlier("The engine stalls")
    job.order.complaint_set.update(text="The wipers judder")
    index_orders([job.pk])

    assert (search(("stalls",), most=5), list(search(("wipers",), most=5))) == ({}, [job.pk])


def test_a_job_without_words_gets_them():
    job = earlier()
    JobText.objects.all().delete()

    assert (index_missing(), index_missing()) == (1, 0)
    assert list(search(("battery",), most=5)) == [job.pk]


@pytest.mark.parametrize("words", [("and", "or", "not"), ("near",), ("select",)])
def test_words_that_mean_something_to_a_search_engine_are_words(words):
    earlier()

    assert search(words, most=5) == {}


def test_the_likest_comes_first_with_its_cause_and_the_reading_that_told_it():
    other = earlier("Radio crackles", symptom="noise_on_radio", cause="aerial lead")
    job = earlier(chain="complete")
    complaint = now()

    first, second = alike(complaint.order, complaint)

    assert (first.job, second.job) == (job, other)
    assert (first.proof, first.came_back) == ("proved gone", None)
    assert first.causes[0].component == "trailer socket module"
    assert [(str(line.value), line.verdict) for line in first.causes[0].readings] == [("0.61", "above")]


def test_what_came_back_says_so():
    earlier(chain="complete", back_days=16)
    complaint = now()

    (found,) = alike(complaint.order, complaint)

    assert (found.proof, found.came_back) == ("came back", 16)


def test_the_queries_do_not_grow_with_the_jobs():
    complaint = now()
    earlier()
    with CaptureQueriesContext(
        connection,
    ) as one:
        alike(complaint.order, complaint)
    for day in range(2, 7):
        earlier(day=day)
    with CaptureQueriesContext(connection) as six:
        found = alike(complaint.order, complaint)

    assert (len(found), len(six)) == (6, len(one))


def test_leaving_each_out_uses_only_earlier_jobs_of_other_vehicles():
    for day, cause in enumerate(("alternator", "socket module", "socket module", "socket module"), start=1):
        earlier(day=day, cause=cause)

    hits = leave_one_out()

    # The first has nobody before it, the second only another cause; the third has one of each.
    assert (hits.jobs, hits.first, hits.among_five) == (4, 1, 2)
    assert (hits.plain_first, hits.plain_among_five) == (1, 2)


def test_the_future_is_not_looked_at():
    job = earlier(day=5)
    complaint = now()

    assert [one.job for one in rank(complaint.order, complaint, before=date(2026, 1, 5))] == []
    assert [one.job for one in rank(complaint.order, complaint, before=date(2026, 1, 6))] == [job]


@pytest.fixture
def technician(client):
    client.force_login(TechnicianFactory())
    return client


def test_suspects_come_before_earlier_jobs(technician):
    earlier(chain="complete")
    complaint = now()
    address = f"/orders/{complaint.order_id}/similar/"

    before = technician.get(address).content.decode()
    SuspectFactory(complaint=complaint, component="battery")
    keep_hits(at=datetime(2026, 3, 2, tzinfo=UTC))
    after = technician.get(address).content.decode()

    assert "First your own suspects" in before
    assert "trailer socket module" not in before
    assert "trailer socket module" in after
    assert "left out in turn" in after


def test_a_first_job_finds_nothing_and_says_what_will_stand_there(technician):
    complaint = now()
    SuspectFactory(complaint=complaint)

    assert (
        "No earlier job is like it."
        in technician.get(f"/orders/{complaint.order_id}/similar/").content.decode()
    )
