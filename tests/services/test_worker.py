"""Background work by a real Celery worker, through a real Redis, on PostgreSQL."""

import os
import signal
from datetime import timedelta

import pytest
from django.db import transaction
from django.utils import timezone

from shared import outbox
from shared.models import OutboxRow
from shared.tasks import do_outbox_row, sweep_outbox
from tests.services.conftest import a_worker, until

pytestmark = [pytest.mark.services, pytest.mark.django_db(transaction=True)]


def is_done(row):
    return OutboxRow.objects.filter(pk=row.pk, done_at__isnull=False).exists()


def test_work_asked_for_in_a_committed_transaction_is_done_by_the_worker(worker, written):
    with transaction.atomic():
        row = outbox.ask("write_line", key="a", payload={"path": str(written), "text": "hello"})

    until(lambda: is_done(row))
    assert written.read_text() == "hello\n"


def test_a_worker_without_child_processes_does_the_work_too(written, tmp_path):
    with a_worker("solo", tmp_path / "log"):
        row = outbox.ask("write_line", key="a", payload={"path": str(written), "text": "hello"})
        until(lambda: is_done(row))

    assert written.read_text() == "hello\n"


def test_work_whose_hint_got_lost_is_taken_by_the_sweep(worker, written, settings):
    settings.REDIS_URL = ""
    row = outbox.ask("write_line", key="a", payload={"path": str(written), "text": "hello"})

    sweep_outbox.delay()

    until(lambda: is_done(row))
    assert written.read_text() == "hello\n"


def test_the_sweep_asks_for_the_daily_work(worker):
    sweep_outbox.delay()

    until(OutboxRow.objects.filter(kind="recount", done_at__isnull=False).exists)


def test_work_delivered_twice_is_done_once(worker, written):
    row = outbox.ask("write_line", key="a", payload={"path": str(written), "text": "once", "seconds": 0.5})
    do_outbox_row.delay(row.pk)
    do_outbox_row.delay(row.pk)

    until(lambda: is_done(row))
    after = outbox.ask("write_line", key="b", payload={"path": str(written), "text": "after"})
    until(lambda: is_done(after))
    assert written.read_text() == "once\nafter\n"


def test_work_whose_worker_was_killed_is_taken_again_after_its_lease(worker, written):
    row = outbox.ask("hang_once", key="a", payload={"path": str(written)})
    started = written.with_name("written.started")
    until(started.exists)

    os.kill(int(started.read_text()), signal.SIGKILL)
    OutboxRow.objects.filter(pk=row.pk).update(leased_until=timezone.now() - timedelta(seconds=1))
    sweep_outbox.delay()

    until(lambda: is_done(row))
    assert written.read_text() == "done\n"


def test_work_whose_worker_was_killed_is_left_alone_while_its_lease_runs(worker, written):
    row = outbox.ask("hang_once", key="a", payload={"path": str(written)})
    started = written.with_name("written.started")
    until(started.exists)

    os.kill(int(started.read_text()), signal.SIGKILL)
    after = outbox.ask("write_line", key="b", payload={"path": str(written), "text": "after"})

    until(lambda: is_done(after))
    assert not is_done(row)
