"""The bay: the next test, one line to type, what was kept last."""

from datetime import date
from decimal import Decimal

import pytest

from diagnostics.models import RequiredStep, TestKind, TestRun
from shop.models import Authorisation, TimeEntry
from tests.factories import InstrumentFactory, TestRunFactory, WorkItemFactory

pytestmark = pytest.mark.django_db


def bay(client, order, query=""):
    return client.get(f"/orders/{order.pk}/bay/{query}").content.decode()


def keep(client, order, reading, **more):
    data = {
        "code": "standing_draw",
        "phase": "before",
        "complaint": "C1",
        "back": "bay",
        "reading": reading,
        **more,
    }
    return client.post(f"/orders/{order.pk}/record/reading/", data)


def test_the_next_required_step_is_on_the_screen(technician, order, step):
    page = bay(technician, order)

    assert '<h2 id="next-h">Draw on the battery lead, asleep</h2>' in page
    assert "Clamp round the ground lead, lock, wait." in page


def test_the_caution_stands_above_the_big_field(technician, order, step):
    page = bay(technician, order)

    assert page.index("Wear eye protection.") < page.index('name="reading"')


def test_a_kept_reading_leads_to_the_next_step(technician, order, step, look_kind):
    RequiredStep.objects.create(complaint=step.complaint, code="case_check", position=1)
    response = keep(technician, order, "1.21")
    page = bay(technician, order)

    assert response["Location"] == f"/orders/{order.pk}/bay/?kept=1"
    assert "Battery case</h2>" in page
    assert "Last kept: Draw on the battery lead, asleep: 1.21\xa0A, outside, above." in page


def test_a_line_that_is_unclear_stays_in_the_field(technician, order, step):
    page = keep(technician, order, "one point two").content.decode()

    assert 'class="next"' in page
    assert 'value="one point two"' in page
    assert "is not a number" in page
    assert not TestRun.objects.exists()


def test_a_line_for_a_step_that_is_gone_is_not_lost(technician, order, complaint, draw_kind):
    page = keep(technician, order, "one point two").content.decode()

    assert 'value="one point two"' in page


def test_another_step_can_be_chosen(technician, order, step, look_kind):
    other = RequiredStep.objects.create(complaint=step.complaint, code="case_check", position=1)

    assert "Battery case</h2>" in bay(technician, order, f"?step={other.pk}")


def test_steps_after_the_repair_wait_for_it(technician, order, complaint, draw_kind):
    RequiredStep.objects.create(complaint=complaint, code="standing_draw", phase="after")
    before = bay(technician, order)
    WorkItemFactory(order=order, complaint_ref="C1")
    after = bay(technician, order)

    assert "Every required test is done" in before
    assert "Draw on the battery lead, asleep</h2>" in after


def test_minutes_used_stand_against_minutes_agreed(technician, order, complaint):
    Authorisation.objects.create(order=order, minutes=60, given_on=order.opened_on)
    TimeEntry.objects.create(
        order=order, minutes=38, kind="diagnosis", done_by="Tobin Marl", done_on=order.opened_on
    )

    assert "22 minutes left of 60 agreed" in bay(technician, order)


def test_the_meter_used_last_for_the_unit_is_offered(technician, order, step, draw_kind):
    clamp = InstrumentFactory(code="clamp 1")
    keep(technician, order, "1.21", instrument=clamp.pk)
    RequiredStep.objects.create(complaint=step.complaint, code="standing_draw", phase="after", position=1)
    WorkItemFactory(order=order, complaint_ref="C1")

    assert f'<option value="{clamp.pk}" selected>' in bay(technician, order)


def test_an_advisor_does_not_work_in_the_bay(signed_in, maud, order):
    assert signed_in(maud).get(f"/orders/{order.pk}/bay/").status_code == 403


def test_the_cursor_is_in_the_next_line_once_a_reading_is_kept(technician, order, step, meter):
    first = technician.get(f"/orders/{order.pk}/bay/").content.decode()
    next_line = technician.get(f"/orders/{order.pk}/bay/?kept=1").content.decode()

    assert "autofocus" not in first
    assert next_line.count("autofocus") == 1


def test_the_bay_offers_the_makers_limits_written_before(technician, order, step, meter):
    TestKind.objects.update(lo=None, hi=None, limit_says="")
    RequiredStep.objects.create(complaint=step.complaint, code=step.code, phase="after", position=9)
    TestRunFactory(
        order=order, code=step.code, phase="before", complaint_ref="C1", value=Decimal("1.2"), unit="A",
        hi=Decimal("0.4"), limit_unit="A", limit_says="maker, page 12",
    )  # fmt: skip
    WorkItemFactory(order=order, ref="W1", complaint_ref="C1", done_on=date(2026, 3, 2))

    form = technician.get(f"/orders/{order.pk}/bay/").context["bay"].form

    assert (form["hi"].value(), form["limit_says"].value()) == (Decimal("0.4"), "maker, page 12")
