"""Technicians, or shops, against what the mix of their jobs lets expect, as a funnel. No Django."""

from __future__ import annotations

from collections.abc import Sequence

from diagnostics.audit.drawing import Chart, FunnelLimit, FunnelPoint, FunnelScale, funnel_drawing
from diagnostics.audit.units import FunnelLine, Unit
from diagnostics.audit.wording import FLAGS

RATIO = FunnelScale("comebacks expected", "came back, as a multiple of expected", lambda v: f"{v:.3g}")


def people_funnel(rows: Sequence[Unit], lines: Sequence[FunnelLine]) -> Chart | None:
    """Return the funnel of those with enough jobs; None where there is nobody to draw."""
    compared = [row for row in rows if row.ratio and row.expected]
    if not compared or not lines:
        return None
    points = [
        FunnelPoint(
            row.label,
            row.expected or 0.0,
            (row.ratio.value if row.ratio else None) or 0.0,
            f"{row.comebacks} of {row.eligible}",
            FLAGS[row.flag],
            is_out=row.flag == "outside 99.9",
        )
        for row in compared
    ]
    return funnel_drawing(points, [_limit(line) for line in lines], center=1.0, scale=RATIO)


def _limit(line: FunnelLine) -> FunnelLimit:
    (low, high), (far_low, far_high) = line.limits
    return FunnelLimit(line.expected, low, high, far_low, far_high)
