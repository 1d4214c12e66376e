"""Hostile numbers sent to the page: read or asked about, never a fault of the server, nothing kept unread."""

import pytest

from diagnostics.models import TestRun
from tests.shared.test_quantities import hostile_texts

pytestmark = pytest.mark.django_db


def answers(client, order, count):
    address = f"/orders/{order.pk}/record/reading/"
    data = {"code": "standing_draw", "phase": "before", "complaint": "C1", "back": "bay"}
    return [client.post(address, {**data, "reading": text}) for text in hostile_texts(count)]


def looked_at(client, order, count):
    said = answers(client, order, count)

    kept = [answer for answer in said if answer.status_code == 302]
    asked = [answer for answer in said if answer.status_code == 200]
    assert len(kept) + len(asked) == count
    assert len(asked) > 0.7 * count
    assert all(b'aria-invalid="true"' in answer.content for answer in asked)
    assert TestRun.objects.count() == len(kept)


def test_hostile_numbers_are_read_or_asked_about(technician, order, step):
    looked_at(technician, order, 60)


@pytest.mark.slow
def test_two_thousand_hostile_numbers_are_read_or_asked_about(technician, order, step):
    looked_at(technician, order, 2000)
