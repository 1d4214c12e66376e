"""Background work of this room, by the kind that the outbox names."""

from django.utils import timezone

from diagnostics import returns
from shared.outbox import handles


@handles("recompute_returns", daily=True)
def recompute_returns():
    """Recompute every pair of visits."""
    returns.refresh_all(at=timezone.now())
