"""Does one vehicle come back faster and faster? Tests of a trend in the times of its failures.

References
----------
.. [1] MIL-HDBK-189, Reliability Growth Management; Laplace's test as in the NIST/SEMATECH e-Handbook of
   Statistical Methods, section 8.2.3.4. From memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from diagnostics.statistics.tails import chi_square_above


@dataclass(frozen=True, slots=True)
class Trend:
    """Three looks at one history.

    chi_square, df, below : of the handbook's test and the share of chi-square below it; near 1 the failures
        come more seldom, near 0 more often.
    laplace : standard normal; below 0 more seldom, above 0 more often.
    reversals : pairs of gaps of which the later is longer.
    """

    chi_square: float
    df: int
    below: float
    laplace: float
    reversals: int


def trend(times: Sequence[float], end: float) -> Trend:
    """Return the tests of a trend of failures at `times`, watched until `end`.

    Raises
    ------
    ValueError
        If there is no failure, or one does not lie between 0 and the end.
    """
    ordered = sorted(times)
    if not ordered or ordered[0] <= 0 or ordered[-1] >= end:
        raise ValueError("Give failures that lie between the start, 0, and the end of watching.")
    n = len(ordered)
    chi_square = 2 * math.fsum(math.log(end / time) for time in ordered)
    mean = math.fsum(ordered) / n
    gaps = [after - before for before, after in zip([0.0, *ordered], ordered, strict=False)]
    return Trend(
        chi_square=chi_square,
        df=2 * n,
        below=1 - chi_square_above(chi_square, 2 * n),
        laplace=(mean - end / 2) / (end * math.sqrt(1 / (12 * n))),
        reversals=sum(gaps[i] < gaps[j] for i in range(n) for j in range(i + 1, n)),
    )
