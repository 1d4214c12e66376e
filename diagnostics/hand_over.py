"""What this room says when a vehicle is handed back: the gaps that stay open."""

from __future__ import annotations

from datetime import datetime

from diagnostics.assessment import assess
from shop.closing import LeftOpen
from shop.models import RepairOrder


def gaps_at_hand_over(order: RepairOrder, *, at: datetime) -> list[LeftOpen]:
    """Return the findings that are gaps once the order is handed back: gaps, and what is pending now."""
    return [LeftOpen(finding.rule, finding.subject, finding.text) for finding in assess(order.pk).gaps]
