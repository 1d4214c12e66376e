"""Background work of this room, by the kind that the outbox names."""

from django.utils import timezone

from shared import sent
from shared.outbox import handles


@handles("forget_sent_forms", daily=True)
def forget_sent_forms():
    """Delete the keys of forms that were answered long ago."""
    sent.forget(before=timezone.now() - sent.KEPT)
