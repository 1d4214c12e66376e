"""The jobs behind a figure of the audit."""

from __future__ import annotations

from collections.abc import Mapping

from django.db.models import QuerySet

from diagnostics.audit.scope import Scope
from diagnostics.models import WatchedJob


def jobs_behind(scope: Scope, params: Mapping[str, str]) -> QuerySet[WatchedJob]:
    """Return exactly the jobs that a figure counts, with `event`, newest first.

    Parameters
    ----------
    scope : Scope
        The question of the page.
    params : mapping
        `by` and `is`: the field of a breakdown and the key of its row; without them all ripe jobs of the
        scope. `back`: "yes" for those that came back, "no" for the others, else both. Others are ignored.

    Raises
    ------
    ValueError
        If `by` is no field that jobs can be broken down by.
    """
    raise NotImplementedError
