"""The pages of the audit in their states: nothing yet, a few jobs, many; with the same number of queries."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from diagnostics.audit import keeping
from diagnostics.models import KeptAudit
from shop.models import Location
from tests.factories import (
    LocationFactory,
    OrderFactory,
    OwnerFactory,
    ReturnVisitFactory,
    SystemFactory,
    TechnicianFactory,
    VehicleFactory,
    WatchedJobFactory,
)

pytestmark = pytest.mark.django_db

TODAY = date(2026, 9, 1)
PERIOD = "since=2026-01-01"
PAGES = ("audit", "audit-rates", "audit-people", "audit-jobs")


@pytest.fixture(autouse=True)
def _today(monkeypatch):
    monkeypatch.setattr("django.utils.timezone.localdate", lambda *_: TODAY)


@pytest.fixture
def owner(client):
    client.force_login(OwnerFactory(location=LocationFactory(code="quarry-road")))
    return client


def watch(count, back=0, **which):
    """Watched jobs of one vehicle and shop, the first `back` of which came back after 16 days."""
    code = which.pop("shop", "quarry-road")
    vehicle, shop = VehicleFactory(), Location.objects.filter(code=code).first() or LocationFactory(code=code)
    technician = which.pop("technician", "Tobin Marl")
    for place in range(count):
        days = 16 if place < back else None
        order = OrderFactory(
            vehicle=vehicle,
            location=shop,
            technician=technician,
            opened_on=date(2026, 3, 1),
            returned_on=date(2026, 3, 1),
            outcome="repaired",
        )
        WatchedJobFactory(
            **{"order": order, "back_days": days, "low_days": days, "up_days": days, "year_days": days}
            | which
        )


def page_of(client, name, query=PERIOD):
    answer = client.get(f"{reverse(name)}?{query}")
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def count_queries(client, name, query=PERIOD):
    with CaptureQueriesContext(
        connection,
    ) as queries:
        page_of(client, name, query)
    return len(queries)


def test_before_the_first_job_the_pages_say_what_will_stand_there(owner):
    page = page_of(owner, "audit")

    assert "No finished job to count yet." in page
    assert "No finished job to count yet." in page_of(owner, "audit-rates")
    assert "Nobody to compare yet." in page_of(owner, "audit-people")
    assert "No job was counted for this." in page_of(owner, "audit-jobs")
    assert "No finished job of yours" in page_of(owner, "audit-mine")


def test_below_ten_jobs_there_are_counts_and_no_rate(owner):
    watch(6, back=1)

    page = page_of(owner, "audit")

    assert "Too few finished jobs for a rate: 1 of 6 came back." in page
    assert "too few to draw a curve" in page
    assert "%" not in page.split("The rate, counted in several ways")[1].split("</table>")[0]


def test_below_the_shops_own_number_there_is_no_rate(owner):
    watch(12, back=1)

    assert "Too few to compare: 1 of 12 came back. A rate is shown from 30 finished jobs on." in page_of(
        owner, "audit"
    )


def test_many_jobs_have_a_rate_and_the_same_number_of_queries(owner):
    watch(3, back=2)
    few = {name: count_queries(owner, name) for name in PAGES}
    watch(45, back=4, system="battery")
    watch(2, mature_on=date(2026, 12, 1), technician="Isa Renk")

    page = page_of(owner, "audit")

    assert "That is 12.5 %; the true rate is likely between 5.9 and 24.7." in page
    assert "2 of 50 jobs were handed back too recently for their window of 90 days to have run" in page
    assert "We only see vehicles that return to us." in page
    assert "Cars that left for good or went elsewhere are not visible." in page
    assert 'back=yes">6</a> of' in page
    assert "by day 30" in page
    many = {name: count_queries(owner, name) for name in PAGES}
    assert {name: many[name] - few[name] for name in PAGES if many[name] > few[name]} == {}


def test_none_back_says_what_would_still_fit(owner):
    watch(40)

    assert "None of 40 came back so far. Up to about 7 in 100 would still fit this." in page_of(
        owner, "audit"
    )


def test_a_period_whose_jobs_are_all_young_says_so(owner):
    watch(2, mature_on=date(2026, 12, 1))

    assert "No job of this period has had its whole window yet" in page_of(owner, "audit")


def test_a_reversed_period_is_refused_and_the_usual_one_counted(owner):
    page = page_of(owner, "audit", "since=2026-05-01&until=2026-01-01")

    assert "The period ends before it begins." in page
    assert "since Mon 2 Jun 2025" in page or "since Tue 3 Jun 2025" in page


def test_a_return_that_waits_is_the_thing_to_do(owner):
    watch(3)
    later = OrderFactory(number="1100", opened_on=TODAY - timedelta(days=13))
    visit = ReturnVisitFactory(
        index_order__number="1042",
        return_order=later,
        counts=True,
        verdict="comeback",
        days=16,
        skipped=["draw"],
    )

    page = page_of(owner, "audit")

    assert "One thing this week" in page
    assert "Review the return of job 1042" in page
    assert "1 required step was skipped then." in page.replace("\u00a0", " ")
    assert f'href="{visit.get_absolute_url()}"' in page


def test_rates_by_system_are_in_the_order_of_names_with_their_jobs(owner):
    SystemFactory(code="charging", name="Charging")
    watch(35, back=3)

    page = page_of(owner, "audit-rates", f"{PERIOD}&by=outcome")

    assert "8.6 %" in page
    assert "within what chance explains" in page
    assert "by=outcome&amp;key=repaired&amp;back=yes" in page
    assert owner.get(f"{reverse('audit-rates')}?by=technician").status_code == 404


def test_a_chain_pages_and_searches_its_shops(owner):
    for number in range(55):
        watch(1, shop=f"shop-{number:03}")

    page = page_of(owner, "audit-rates", f"{PERIOD}&by=location")
    found = page_of(owner, "audit-rates", f"{PERIOD}&by=location&q=Shop-031")

    assert "1 to 50 of 55" in page.replace("\u00a0", " ")
    assert 'name="location"' in page
    assert found.count('role="rowheader"') == 3 + 1


def test_the_jobs_behind_a_figure_are_said_and_listed(owner):
    watch(30, back=2)

    page = page_of(owner, "audit-jobs", f"{PERIOD}&by=outcome&key=repaired&back=yes").replace("\u00a0", " ")

    assert (
        "2 jobs: jobs handed back since Thu 1 Jan 2026 whose window had fully run on Tue 1 Sep 2026" in page
    )
    assert "outcome: repaired" in page
    assert "came back, counted by the verdict" in page
    assert page.count('role="rowheader"') == 2
    assert f"{reverse('audit-rates')}?since=2026-01-01&amp;by=outcome" in page
    file = owner.get(f"{reverse('audit-jobs')}?{PERIOD}&back=yes&format=csv").getvalue().decode()
    assert len(file.splitlines()) == 3
    assert owner.get(f"{reverse('audit-jobs')}?by=nothing").status_code == 404


def test_people_are_by_name_with_what_was_allowed_for(owner):
    watch(31, back=2, technician="Isa Renk")
    watch(31, back=3, technician="Corin Hesk")
    watch(5, technician="Tobin Marl")

    page = page_of(owner, "audit-people")

    rows = page.split('id="rows"')[1]
    assert rows.index("Corin Hesk") < rows.index("Isa Renk") < rows.index("Tobin Marl")
    assert "This is no ranking." in page
    assert "Allowed for: system, symptom" in page
    drawn = page.split('class="plot broad"')[1].split("</svg>")[0]
    assert "Tobin Marl" not in drawn
    assert "Isa Renk" in drawn


def test_a_technician_sees_their_own_jobs_and_nobody_elses(client):
    client.force_login(TechnicianFactory(signs_as="Isa Renk", location=LocationFactory(code="quarry-road")))
    watch(31, back=2, technician="Isa Renk")
    watch(31, back=5, technician="Corin Hesk")

    page = page_of(client, "audit-mine", f"{PERIOD}&technician=Corin+Hesk")
    jobs = page_of(client, "audit-my-jobs", f"{PERIOD}&back=no&location=quarry-road")
    own = page_of(client, "audit-my-jobs", f"{PERIOD}&back=yes")

    assert "Corin" not in page + jobs + own
    assert ">2</a> of" in page
    assert jobs.count('role="rowheader"') == 29
    assert own.count('role="rowheader"') == 2
    assert client.get(reverse("audit-people")).status_code == 403


def test_a_kept_answer_says_when_it_was_counted(owner, monkeypatch):
    monkeypatch.setattr(keeping, "KEEP_SECONDS", 0.0)
    watch(40, back=3)
    page_of(owner, "audit")
    watch(10)

    assert "nothing has changed since" in page_of(owner, "audit")
    assert ">40</a>" in page_of(owner, "audit")

    KeptAudit.objects.update(is_stale=True)
    assert "it is being counted again" in page_of(owner, "audit")


def test_of_very_many_jobs_the_page_says_that_they_are_being_counted(owner, monkeypatch):
    monkeypatch.setattr(keeping, "MOST_JOBS_AT_ONCE", 1)
    watch(2)

    for name in ("audit", "audit-rates", "audit-people"):
        assert "This is being counted for the first time." in page_of(owner, name)
