"""From what the maker states and what was read to a standard uncertainty.

Sources: JCGM 100:2008 (GUM), clauses as cited at each function; from memory unless said otherwise.
The rules are those of trade-values.md section 5.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import fmean

from shared.computing import Refused

ROOT_3 = math.sqrt(3)
# About 95 % of a normal distribution. JCGM 100:2008 6.3.3, from memory.
COVERAGE_FACTOR = 2.0


def spec_half_width(
    reading: float, percent: float = 0.0, counts: float = 0.0, resolution: float | None = None
) -> float:
    """Return half the width of the band that the maker's accuracy allows.

    Parameters
    ----------
    reading : float
        What the instrument showed. [unit]
    percent : float
        Percent of the reading, 0 or more. [%]
    counts : float
        Steps of the last digit, 0 or more. [1]
    resolution : float, optional
        Step of the last digit of the range in use; needed with counts. [unit]

    Returns
    -------
    float
        |reading| percent / 100 + counts resolution, 0 or more. [unit]

    Raises
    ------
    Refused
        If there are counts and no resolution.

    References
    ----------
    Several public tutorials on meter uncertainty (trade-values.md section 5, read).
    """
    if counts and resolution is None:
        raise Refused("resolution", "Counts are steps of the last digit: which step?", "a number above 0")
    return abs(reading) * percent / 100 + counts * (resolution or 0.0)


def spec_u(
    reading: float,
    percent: float = 0.0,
    counts: float = 0.0,
    resolution: float | None = None,
    k: float | None = None,
) -> float:
    """Return the standard uncertainty of one reading from the maker's accuracy.

    Parameters
    ----------
    reading, percent, counts, resolution
        As in `spec_half_width`.
    k : float, optional
        Coverage factor that the maker gives for the band; without it the band is rectangular. [1]

    Returns
    -------
    float
        a / sqrt 3, or a / k; with a resolution alone, step / (2 sqrt 3). [unit]

    Raises
    ------
    Refused
        If neither an accuracy nor a resolution is given, or counts without a resolution.

    References
    ----------
    JCGM 100:2008 4.3.7 (rectangular), 4.3.3 (maker's k), F.2.2.1 (resolution).
    """
    if not percent and not counts:
        if resolution is None:
            raise Refused("percent", "No accuracy is given.", "percent, counts with a resolution, or both")
        return resolution / 2 / ROOT_3
    half_width = spec_half_width(reading, percent, counts, resolution)
    return half_width / (k or ROOT_3)


def combine(u: Sequence[float]) -> float:
    """Return the standard uncertainty of independent parts together: the root of the sum of squares.

    Parameters
    ----------
    u : n floats
        Standard uncertainties, each 0 or more, in one unit. [unit]

    References
    ----------
    JCGM 100:2008 5.1.2.
    """
    return math.hypot(*u)


def type_a(readings: Sequence[float]) -> dict[str, float]:
    """Return mean, experimental standard deviation and standard uncertainty of the mean.

    Parameters
    ----------
    readings : n floats
        Repeated readings of one quantity under the same conditions, n at least 2. [unit]

    Returns
    -------
    dict
        mean, s and u = s / sqrt n. [unit]

    References
    ----------
    JCGM 100:2008 4.2.2 and 4.2.3.
    """
    mean = fmean(readings)
    # hypot scales, so that very large and very small readings neither overflow nor vanish.
    s = math.hypot(*(reading - mean for reading in readings)) / math.sqrt(len(readings) - 1)
    return {"mean": mean, "s": s, "u": s / math.sqrt(len(readings))}
