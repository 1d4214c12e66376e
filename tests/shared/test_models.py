"""What can never be stored about background work."""

from datetime import UTC, datetime

import pytest

from shared.models import OutboxRow
from tests.constraints import named_in, refused_by

pytestmark = pytest.mark.django_db

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)

CONSTRAINTS = named_in("shared")
BROKEN = {
    "outbox_row_ends_once": lambda: OutboxRow(
        kind="note", key="a", asked_at=NOON, not_before=NOON, done_at=NOON, failed_at=NOON
    ),
}


def test_every_constraint_is_broken_once():
    assert set(BROKEN) == set(CONSTRAINTS)


@pytest.mark.parametrize("name", BROKEN)
def test_the_database_refuses_what_can_never_be(name):
    record = BROKEN[name]()

    with refused_by(CONSTRAINTS[name], type(record)):
        record.save()
