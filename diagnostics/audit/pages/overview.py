"""Everything the first page of the audit shows of a scope, so that it can be kept as one answer."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from diagnostics.audit import keeping
from diagnostics.audit.costs import Costs, costs
from diagnostics.audit.curve import ComebackCurve, curve
from diagnostics.audit.pages.hurts import Hurt, worst
from diagnostics.audit.pages.standing_out import standing_out
from diagnostics.audit.pages.this_week import Thing, this_week
from diagnostics.audit.pages.to_do import to_do
from diagnostics.audit.rates import Headline, headline
from diagnostics.audit.scope import Scope
from diagnostics.audit.signals import cusum_of


@dataclass(frozen=True, slots=True)
class Overview:
    """What the first page shows.

    calling_since : since when the running sum has stood above its threshold, None where it does not.
    """

    headline: Headline
    curve: ComebackCurve
    hurts: tuple[Hurt, ...]
    costs: Costs
    things: tuple[Thing, ...]
    calling_since: date | None


def overview(scope: Scope) -> Overview:
    """Compute what the first page shows; a constant number of queries."""
    calling_since = cusum_of(scope).above_since
    return Overview(
        headline=headline(scope),
        curve=curve(scope),
        hurts=worst(standing_out(scope)),
        costs=costs(scope),
        things=this_week(to_do(scope, calling_since)),
        calling_since=calling_since,
    )


OVERVIEW = keeping.question("overview", overview, Overview)
