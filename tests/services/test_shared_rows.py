"""Two workers at the same rows: PostgreSQL skips what the other one has."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.db import connection, transaction

from shared import outbox
from shared.models import OutboxRow

pytestmark = [pytest.mark.services, pytest.mark.django_db(transaction=True)]

ROWS = 30


@pytest.fixture
def notes(settings):
    """What work of kind `note` has written down; nothing is hinted."""
    settings.REDIS_URL = ""
    written = []
    outbox.handles("note")(lambda text: written.append(text))
    yield written
    del outbox._handlers["note"]


def elsewhere(function, *given):
    """Return what a function answers on a connection of its own."""

    def call():
        try:
            return function(*given)
        finally:
            connection.close()

    with ThreadPoolExecutor(1) as pool:
        return pool.submit(call).result(timeout=30)


def test_a_row_that_another_connection_is_taking_is_passed_over(notes):
    held, free = (outbox.ask("note", key=key, payload={"text": key}) for key in "ab")

    with transaction.atomic():
        OutboxRow.objects.select_for_update().get(pk=held.pk)
        answers = elsewhere(outbox.do, held.pk), elsewhere(outbox.do, free.pk)

    assert answers == (False, True)
    assert notes == ["b"]


def test_two_workers_share_the_rows_and_do_each_once(notes):
    for number in range(ROWS):
        outbox.ask("note", key=f"{number}", payload={"text": number})
    together = Barrier(2)

    def drain():
        together.wait(timeout=30)
        try:
            return outbox.drain()
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool:
        counts = [future.result() for future in [pool.submit(drain), pool.submit(drain)]]

    assert sum(counts) == ROWS
    assert sorted(notes) == list(range(ROWS))
