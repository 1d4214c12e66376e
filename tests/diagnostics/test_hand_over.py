from datetime import UTC, datetime

import pytest

from diagnostics.hand_over import gaps_at_hand_over
from shared.models import AuditEntry
from shop import closing
from tests.factories import ComplaintFactory, TechnicianFactory

pytestmark = pytest.mark.django_db

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


def test_what_is_pending_is_a_gap_at_hand_over():
    complaint = ComplaintFactory(ref="C1")

    found = gaps_at_hand_over(complaint.order, at=NOON)
    assert ("R1", "C1") in [(gap.rule, gap.subject) for gap in found]


def test_closing_asks_the_evidence_rules_and_keeps_what_stays_open():
    complaint = ComplaintFactory(ref="C1")
    closing.hand_back(
        complaint.order, by=TechnicianFactory(), at=NOON, outcome="monitor", reason="The customer needs it"
    )

    left_open = AuditEntry.objects.get(action="hand back").after["left_open"]
    assert {"rule": "R1", "subject": "C1"}.items() <= left_open[0].items()
