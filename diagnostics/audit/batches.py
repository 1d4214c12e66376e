"""Part batches whose jobs came back more often than those of other batches of the same part."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Count, Max, Q

from diagnostics.audit.scope import Scope
from diagnostics.audit.screen import Batch, Fitted, screened

_PART = "order__workitem_set__part"


@dataclass(frozen=True, slots=True)
class Batches:
    """The batches of which a job came back, signals first; how many were looked at in all."""

    rows: tuple[Batch, ...]
    looked_at: int

    @property
    def signals(self) -> tuple[Batch, ...]:
        """The batches that stand out."""
        return tuple(row for row in self.rows if row.signal)


def batches(scope: Scope) -> Batches:
    """Return the screen of the part batches fitted on the jobs of a scope whose window has run.

    A part without number or batch is in none. A job with two parts of one batch counts once. One query.
    """
    named = Q(**{f"{_PART}__number__gt": "", f"{_PART}__batch__gt": ""})
    groups = scope.ripe().filter(named).values_list(f"{_PART}__number", f"{_PART}__batch")
    counted = groups.annotate(
        part=Max("order__workitem_set__component"),
        failed=Count("pk", distinct=True, filter=Q(event__isnull=False)),
        of=Count("pk", distinct=True),
    )
    fitted = [Fitted(*row) for row in counted]
    return Batches(screened(fitted), len(fitted))
