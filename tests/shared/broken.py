"""What can never be stored about background work and forms that were sent."""

from datetime import UTC, datetime

from shared.models import OutboxRow, SentForm
from tests.constraints import again
from tests.factories import TechnicianFactory

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)

BROKEN = {
    "outbox_row_ends_once": lambda: OutboxRow(
        kind="note", key="a", asked_at=NOON, not_before=NOON, done_at=NOON, failed_at=NOON
    ),
    "sent_form_once": lambda: again(
        SentForm.objects.create(key="6f1c0a52", digest="d" * 64, by=TechnicianFactory(), at=NOON)
    ),
}
