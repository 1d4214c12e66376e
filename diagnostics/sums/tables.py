"""Values between the rows of a table."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence


def between(x: float, points: Sequence[tuple[float, float]]) -> float:
    """Return the value at `x`: linear between the points, the end value outside them.

    Parameters
    ----------
    x : float
    points : n pairs of float
        (x, value), x rising.
    """
    if x <= points[0][0]:
        return points[0][1]
    if x >= points[-1][0]:
        return points[-1][1]
    at = bisect_right([point[0] for point in points], x)
    (x0, y0), (x1, y1) = points[at - 1], points[at]
    return y0 + (x - x0) * (y1 - y0) / (x1 - x0)
