from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from diagnostics.models import Recount, WatchedJob
from shared import outbox
from shared.models import AuditEntry, OutboxRow
from tests.diagnostics.visits import first_visit
from tests.factories import OwnerFactory, RecountFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(client):
    client.force_login(OwnerFactory(signs_as="Gwen Aldrake"))
    return lambda: client.get(reverse("audit-recount")).text.replace("\xa0", " ")


def test_an_owner_asks_once_and_it_is_done_in_the_background(client, page, django_assert_max_num_queries):
    first_visit()
    assert "Not counted yet" in page()

    client.post(reverse("audit-recount"))
    client.post(reverse("audit-recount"))
    assert "Asked for" in page()
    assert "data-again" in page()
    assert OutboxRow.objects.filter(kind="recount").count() == 1
    assert AuditEntry.objects.filter(action="ask for a recount").count() == 1

    outbox.drain()
    assert WatchedJob.objects.count() == 1
    with django_assert_max_num_queries(12):
        shown = page()
    assert "1 job counted" in shown
    assert "asked for by Gwen Aldrake" in shown
    assert "data-again" not in shown


def test_one_that_runs_shows_how_far_it_has_come(page):
    RecountFactory(total=400, done=100)
    OutboxRow.objects.create(
        kind="recount",
        key="recount:now",
        asked_at=timezone.now(),
        not_before=timezone.now(),
        leased_until=timezone.now() + timedelta(minutes=5),
    )

    shown = page()
    assert "100 of 400 jobs counted" in shown
    assert 'value="25"' in shown


def test_one_that_broke_off_says_why_and_where(page):
    RecountFactory(total=400, done=100, error="OperationalError: disk full")

    shown = page()
    assert "stopped after 100 of 400 jobs: OperationalError: disk full" in shown


def test_a_recount_that_fails_is_kept_with_its_reason(monkeypatch, page):
    first_visit()
    OutboxRow.objects.create(
        kind="recount", key="recount:now", asked_at=timezone.now(), not_before=timezone.now()
    )
    monkeypatch.setattr("diagnostics.watching.recounting.write", lambda *args, **more: 1 / 0)

    outbox.drain()

    assert Recount.objects.get().error == "ZeroDivisionError: division by zero"
    assert "Asked for" in page(), "it is tried again"
