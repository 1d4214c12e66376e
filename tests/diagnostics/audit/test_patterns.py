"""The pages of steps and of signals: their states, the jobs behind a figure, their files, their queries."""

import csv
import io
import re
from datetime import timedelta

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from diagnostics.audit.jobs import jobs_behind
from diagnostics.audit.patterns.signals import SIGNALS, signals
from diagnostics.audit.patterns.steps import STEPS, both
from diagnostics.audit.plain_values import from_plain, to_plain
from diagnostics.audit.scope import Scope
from shop.models import PartFitted, WorkItem
from tests.diagnostics.audit.watched import AS_OF, HANDED_BACK, checks, jobs, table
from tests.factories import (
    ComplaintFactory,
    InstrumentFactory,
    OrderFactory,
    OwnerFactory,
    TestKindFactory,
    TestRunFactory,
    VehicleFactory,
)

pytestmark = pytest.mark.django_db
SCOPE = Scope(as_of=AS_OF)
SINCE = "?since=2026-01-01"


@pytest.fixture(autouse=True)
def the_day():
    with time_machine.travel(f"{AS_OF}T12:00:00+00:00", tick=False):
        yield


@pytest.fixture
def owner(client):
    client.force_login(OwnerFactory())
    return client


def text_of(answer):
    assert answer.status_code == 200
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode())).replace("\u00a0", " ")


def lines_of(answer):
    return list(csv.reader(io.StringIO(b"".join(answer).decode("utf-8-sig"))))


def test_nothing_finished_yet(owner):
    assert "No finished job to count yet." in text_of(owner.get("/audit/steps/"))
    said = text_of(owner.get("/audit/signals/"))
    assert "No month of this period has had its whole window yet." in said
    assert "No part with a number and a batch was fitted" in said
    assert "No vehicle had three jobs" in said
    assert "No reading leans on an instrument" in said


def test_what_stands_out_is_said_as_an_association(owner):
    TestKindFactory(code="standing_draw", name="Standing draw", minutes=15)
    table(("charging", 1, (30, 70), (10, 190)), ("cooling", 2, (20, 60), (9, 150)))
    table(("charging", 1, (1, 9), (1, 9)), code="rest_voltage")
    checks(jobs(4), "skipped", code="R17", phase="")
    checks(jobs(4), "done", code="never_skipped")

    said = text_of(owner.get("/audit/steps/" + SINCE))

    assert "Standing draw" in said
    assert "Came back more often when skipped. Stands out after allowing for the number compared." in said
    assert "This is an association, not a cause" in said
    assert "On 100 jobs the test takes 25 h." in said
    assert "What a comeback takes is not known. What they cost is not known." in said
    assert "Not enough comebacks to judge this test. About 80 more jobs are needed." in said
    assert "1 step was asked for and never skipped." in said
    assert "The failing reading was not taken again" in said
    assert "Never clear, so there is nothing to compare." in said
    assert "caused" not in said


def test_each_figure_opens_exactly_its_jobs(owner):
    table(("charging", 1, (3, 7), (1, 9)), ("charging", None, (2, 3), (0, 5)))
    (both_ways,) = jobs(1, back=1)
    checks([both_ways], "done", system="charging", difficulty=1)
    checks([both_ways], "skipped", complaint_ref="C2", system="charging", difficulty=1)

    page = owner.get("/audit/steps/standing_draw/before/" + SINCE)

    links = re.findall(r'href="(/audit/jobs/\?[^"]+)">([\d,]+)</a>', page.content.decode())
    assert {int(number) for _, number in links} >= {16, 6, 15, 1, 11, 4, 10, 5, 2}
    for address, number in links:
        opened = owner.get(address.replace("&amp;", "&"))
        assert opened.context["total"] == int(number), address


def test_jobs_of_a_state_stand_where_they_are_counted():
    (job,) = jobs(1)
    checks([job], "done", difficulty=1)
    checks([job], "skipped", complaint_ref="C2", difficulty=3)
    asked = {"check": "standing_draw", "phase": "before"}

    def found(**params):
        return jobs_behind(SCOPE, asked | params).count()

    assert (found(state="skipped"), found(state="done"), found()) == (1, 0, 1)
    assert (found(state="skipped", stratum=":3"), found(state="skipped", stratum=":1")) == (1, 0)


def test_an_address_of_no_step(owner):
    jobs(1)
    assert "No finished job was asked for it." in text_of(owner.get("/audit/steps/no/such/before/"))
    assert owner.get("/audit/steps/standing_draw/sideways/").status_code == 404


def everything():
    """A batch, a vehicle and an instrument worth showing, and enough jobs for the charts."""
    table(("charging", 1, (3, 7), (1, 9)))
    some, others = jobs(6, back=4, on=HANDED_BACK + timedelta(days=40)), jobs(40, back=1)
    for job, batch in [*((job, "B7") for job in some), *((job, "A1") for job in others)]:
        work = WorkItem.objects.create(
            order=job.order,
            ref="W1",
            kind="replace",
            component="water pump",
            reason="cause",
            done_on=HANDED_BACK,
        )
        PartFitted.objects.create(work=work, number="P-100", batch=batch)
    vehicle = VehicleFactory(plate="KR 100")
    for days in (1, 30, 60):
        order = OrderFactory(vehicle=vehicle, opened_on=AS_OF - timedelta(days=days))
        ComplaintFactory(order=order, kind="symptom", system="cooling")
    meter = InstrumentFactory(code="meter nine", cal_due=HANDED_BACK)
    TestRunFactory(order=order, instrument=meter, instrument_ref="meter nine", done_on=AS_OF)


def test_signals_show_what_there_is(owner):
    everything()

    said = text_of(owner.get("/audit/signals/" + SINCE))

    assert "It has not called." in said or "It calls." in said
    assert "Water pump P-100, batch B7" in said
    assert "stands out" in said
    assert "Screening, not proof" in said
    assert "KR 100 3 jobs of" in said
    assert "meter nine" in said
    assert "The same as a table" in said


def test_the_files_hold_every_row(owner):
    everything()

    steps = lines_of(owner.get("/audit/steps/" + SINCE + "&format=csv"))
    strata = lines_of(owner.get("/audit/steps/standing_draw/before/" + SINCE + "&format=csv"))
    found = lines_of(owner.get("/audit/signals/" + SINCE + "&format=csv"))

    assert len(steps) == 2
    assert {len(line) for line in steps} == {len(steps[0])}
    assert strata[1] == ["charging", "1", "10", "1", "10", "3", "yes"]
    assert {line[0] for line in found[1:]} == {"month", "running sum", "batch", "vehicle", "instrument"}


def test_answers_can_be_kept():
    everything()

    for asked, compute in ((STEPS, both), (SIGNALS, signals)):
        answer = compute(SCOPE)
        assert from_plain(asked.form, to_plain(answer)) == answer


@pytest.mark.parametrize("name", ["audit-steps", "audit-signals"])
def test_the_same_few_queries_whatever_there_is(owner, name):
    def queries():
        with CaptureQueriesContext(connection) as seen:
            owner.get(reverse(name) + SINCE)
        return len(seen)

    everything()
    queries()
    few = queries()
    everything_again = [("battery", n % 3 + 1, (1, 3), (1, 4)) for n in range(6)]
    table(*everything_again, code="rest_voltage")
    table(*everything_again, code="R17", phase="")
    for n in range(4):
        vehicle = VehicleFactory(plate=f"KR {n}")
        jobs(3, back=2, vehicle=vehicle, on=AS_OF - timedelta(days=150))

    assert queries() == few <= 32
