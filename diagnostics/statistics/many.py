"""Many comparisons at once: which of them stand out after allowing for their number.

References
----------
.. [1] Y. Benjamini and Y. Hochberg, J. R. Statist. Soc. B 57 (1995) 289-300. From memory.
"""

from __future__ import annotations

from collections.abc import Sequence


def benjamini_hochberg(p: Sequence[float]) -> tuple[float, ...]:
    """Return the p-values adjusted for the false discovery rate, in the order given. [1]

    Listing all that are at most q keeps the expected share of false ones among the listed at or below q,
    where the comparisons are independent or lean the same way.

    Parameters
    ----------
    p : sequence of float
        0 to 1; all comparisons that were made, not only those that look interesting.

    Raises
    ------
    ValueError
        If one is not between 0 and 1.
    """
    if not all(0 <= value <= 1 for value in p):
        raise ValueError("A p-value lies between 0 and 1.")
    adjusted, least = [0.0] * len(p), 1.0
    falling = sorted(range(len(p)), key=lambda place: p[place], reverse=True)
    for ahead, place in enumerate(falling):
        least = min(least, p[place] * len(p) / (len(p) - ahead))
        adjusted[place] = least
    return tuple(adjusted)


def bonferroni(p: Sequence[float]) -> tuple[float, ...]:
    """Return the p-values adjusted so that the chance of one false listing stays below the level."""
    return tuple(min(1.0, value * len(p)) for value in p)
