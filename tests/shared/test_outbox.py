from datetime import timedelta

import pytest
from django.db import transaction
from django.utils import timezone

from shared import outbox
from shared.models import OutboxRow

pytestmark = pytest.mark.django_db


@pytest.fixture
def done():
    """What the work of kind `note` has written down."""
    notes = []
    outbox.handles("note")(lambda text: notes.append(text))
    yield notes
    del outbox._handlers["note"]


@pytest.fixture
def _failing_work():
    def fail():
        raise RuntimeError("the printer is away")

    outbox.handles("fail")(fail)
    yield
    del outbox._handlers["fail"]


def test_work_asked_for_is_done_once(done):
    outbox.ask("note", key="a", payload={"text": "hello"})

    assert (outbox.drain(), outbox.drain()) == (1, 0)
    assert done == ["hello"]


def test_the_same_key_is_asked_for_once(done):
    first = outbox.ask("note", key="a", payload={"text": "hello"})

    assert outbox.ask("note", key="a", payload={"text": "again"}) == first
    assert OutboxRow.objects.count() == 1


def test_work_of_a_transaction_that_fails_is_not_asked_for(done):
    def ask_and_fail():
        with transaction.atomic():
            outbox.ask("note", key="a", payload={"text": "hello"})
            raise LookupError("no")

    with pytest.raises(LookupError, match="no"):
        ask_and_fail()

    assert not OutboxRow.objects.exists()


def test_a_row_that_somebody_has_is_left_alone(done):
    row = outbox.ask("note", key="a", payload={"text": "hello"})
    OutboxRow.objects.update(leased_until=timezone.now() + timedelta(minutes=1))

    assert outbox.do(row.pk) is False
    assert done == []


def test_a_row_whose_worker_died_is_taken_again(done):
    row = outbox.ask("note", key="a", payload={"text": "hello"})
    OutboxRow.objects.update(leased_until=timezone.now() - timedelta(seconds=1))

    assert outbox.do(row.pk) is True


def test_work_that_was_told_to_stop_may_be_taken_at_once():
    def stopped():
        raise KeyboardInterrupt("told to stop")

    outbox.handles("stopped")(stopped)
    row = outbox.ask("stopped", key="a")

    with pytest.raises(KeyboardInterrupt, match="told to stop"):
        outbox.do(row.pk)

    del outbox._handlers["stopped"]
    assert outbox.waiting(now=timezone.now()) == [row.pk]


@pytest.mark.usefixtures("_failing_work")
def test_work_that_fails_is_put_back_with_its_reason():
    row = outbox.ask("fail", key="a")

    outbox.do(row.pk)

    row.refresh_from_db()
    assert row.error == "RuntimeError: the printer is away"
    assert row.not_before > timezone.now()
    assert (row.attempts, row.done_at, row.failed_at) == (1, None, None)


@pytest.mark.usefixtures("_failing_work")
def test_work_that_fails_five_times_is_given_up():
    row = outbox.ask("fail", key="a")
    for attempt in range(outbox.MOST_ATTEMPTS):
        outbox.do(row.pk, now=timezone.now() + timedelta(days=attempt))

    row.refresh_from_db()
    assert row.failed_at is not None
    assert outbox.waiting(now=timezone.now() + timedelta(days=9)) == []


def test_work_that_takes_long_can_say_that_it_is_still_being_done():
    leased = OutboxRow.objects.create(
        kind="slow", key="a", asked_at=timezone.now(), not_before=timezone.now(), leased_until=timezone.now()
    )
    in_an_hour = timezone.now() + timedelta(hours=1)
    assert outbox.waiting(now=in_an_hour) == [leased.pk]

    outbox.hold("slow", now=in_an_hour)

    assert outbox.waiting(now=in_an_hour) == []


def test_daily_work_is_asked_for_once_a_day():
    now = timezone.now()

    outbox.ask_regular(now=now)
    outbox.ask_regular(now=now)

    assert OutboxRow.objects.filter(kind="recount").count() == 1


def test_without_redis_nothing_is_sent(settings, django_capture_on_commit_callbacks, done):
    settings.REDIS_URL = ""

    with django_capture_on_commit_callbacks() as hints:
        outbox.ask("note", key="a", payload={"text": "hello"})

    assert hints == []
