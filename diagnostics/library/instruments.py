"""The register of instruments."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from diagnostics.models import Instrument
from shared import audit


@transaction.atomic
def keep(instrument: Instrument, *, by: Any) -> Instrument:
    """Save a new or changed instrument, with an entry in the audit trail."""
    before = None if instrument.pk is None else audit.values(Instrument.objects.get(pk=instrument.pk))
    instrument.save()
    after = audit.values(instrument)
    if before is None:
        audit.record("add", instrument, by=by, after=after)
    elif before != after:
        was, now = audit.difference(before, after)
        audit.record("change", instrument, by=by, before=was, after=now)
    return instrument
