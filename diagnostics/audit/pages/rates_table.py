"""The rate by one field at a time: as an answer that may be kept, as a table and as a funnel."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from diagnostics.audit import keeping, policy
from diagnostics.audit.breakdown import BY, OWNER_ONLY, Row, breakdown
from diagnostics.audit.drawing import Chart, FunnelLimit, FunnelPoint, FunnelScale, funnel_drawing
from diagnostics.audit.pages.addresses import jobs_url
from diagnostics.audit.pages.shown import BACK, axis_end
from diagnostics.audit.rates import Headline, headline
from diagnostics.audit.scope import Scope
from diagnostics.statistics.funnel import binomial_limits
from diagnostics.statistics.proportions import Proportion

USUAL = "system"
WITHOUT_FUNNEL = frozenset({"month"})  # Months have an order; their chart is the one of signals.
LEAST_IN_FUNNEL = 3
MOST_NAMED = 12  # Of more, only those beyond a limit are named in the drawing; the table names all.
PLACES = 40  # At which the limits are computed.
SAID = {
    "too few": "too few to compare",
    "within": "within what chance explains",
    "outside 95": "outside the 95 % limits; among many rows a few are, by chance",
    "outside 99.9": "{way} than chance explains: look at the jobs",
}
PERCENT = FunnelScale("jobs", "came back", lambda value: f"{round(value, 1):g} %")


@dataclass(frozen=True, slots=True)
class Table:
    """The rate in all, and of each part."""

    headline: Headline
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Line:
    """One part as its row prints it."""

    row: Row
    label: str
    says: str
    all_url: str
    back_url: str

    @property
    def share(self) -> Proportion:
        return self.row.share


def _table(scope: Scope, by: str) -> Table:
    return Table(headline(scope), breakdown(scope, by))


TABLES = {
    by: keeping.question(f"rates by {by}", partial(_table, by=by), Table) for by in BY if by not in OWNER_ONLY
}


def says(row: Row, base: float) -> str:
    """Return what can be said of a row beside the rate of all."""
    return SAID[row.flag].format(way="more" if row.share.share > base else "fewer")


def lines(rows: Sequence[Row], whole: Proportion | None, query: dict[str, str]) -> Iterator[Line]:
    """Yield the rows as printed, in their own order."""
    base = whole.share if whole else 0.0
    for row in rows:
        yield Line(
            row,
            row.label[:1].upper() + row.label[1:],
            says(row, base),
            jobs_url(query, row.query),
            jobs_url(query, row.query, BACK),
        )


def end_of_strips(rows: Sequence[Row]) -> float:
    """Return where the strips end, a share: the next tenth that holds every interval shown."""
    return axis_end(max((row.share.high for row in rows if not row.too_few), default=0.1)) / 100


def funnel(rows: Sequence[Row], whole: Proportion | None, by: str) -> Chart | None:
    """Return the parts as a funnel; None where too few can be compared or they have an order of their own."""
    compared = [row for row in rows if not row.too_few]
    if whole is None or len(compared) < LEAST_IN_FUNNEL or by in WITHOUT_FUNNEL:
        return None
    names_all = len(compared) <= MOST_NAMED
    points = [
        FunnelPoint(
            row.label if names_all or row.flag.startswith("outside") else "",
            row.share.of,
            100 * row.share.share,
            f"{row.share.count} of {row.share.of}",
            says(row, whole.share),
            is_out=row.flag == "outside 99.9",
        )
        for row in compared
    ]
    sizes = [row.share.of for row in compared]
    return funnel_drawing(
        points, list(_limits(whole.share, min(sizes), max(sizes))), center=100 * whole.share, scale=PERCENT
    )


def _limits(base: float, fewest: int, most: int) -> Iterator[FunnelLimit]:
    """Yield the limits at places that lie closer together where there are few jobs."""
    first = max(2, fewest // 2)
    ratio = (max(most, first + 1) / first) ** (1 / PLACES)
    for jobs in sorted({round(first * ratio**place) for place in range(PLACES + 1)}):
        (low, high), (far_low, far_high) = (binomial_limits(base, jobs, a) for a in policy.FUNNEL_ALPHAS)
        yield FunnelLimit(jobs, 100 * low, 100 * high, 100 * far_low, 100 * far_high)
