"""How far two reviewers agree, beyond what chance would give.

References
----------
.. [1] J. Cohen, Educ. Psychol. Meas. 20 (1960) 37-46 (kappa). From memory.
.. [2] J. L. Fleiss, J. Cohen, B. S. Everitt, Psychol. Bull. 72 (1969) 323-327 (its error). From memory.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from diagnostics.statistics.proportions import Proportion, proportion
from diagnostics.statistics.quantiles import two_sided


@dataclass(frozen=True, slots=True)
class Agreement:
    """Two reviewers over the same `n` cases.

    agreed : how many they coded alike.
    kappa, low, high : agreement beyond chance, 1 at most; None where chance alone gives full agreement.
    """

    n: int
    agreed: Proportion
    kappa: float | None
    low: float | None
    high: float | None


def kappa(pairs: Iterable[tuple[str, str]], conf: float = 0.95) -> Agreement | None:
    """Return the agreement over pairs of codes; None without a pair.

    Parameters
    ----------
    pairs : iterable of (first reviewer's code, second reviewer's code)
    conf : float
        Of the interval, by the large-sample standard error [2].
    """
    table = Counter(pairs)
    n = table.total()
    if not n:
        return None
    alike = sum(count for (one, two), count in table.items() if one == two)
    agreed = proportion(alike, n)
    first, second = _margins(table, 0), _margins(table, 1)
    chance = sum(first[code] * second[code] for code in first) / n**2
    if chance >= 1.0:
        return Agreement(n, agreed, None, None, None)
    value = (alike / n - chance) / (1 - chance)
    spread = two_sided(conf) * _standard_error(table, first, second, value, chance)
    return Agreement(n, agreed, value, max(-1.0, value - spread), min(1.0, value + spread))


def _margins(table: Counter[tuple[str, str]], place: int) -> Counter[str]:
    margin: Counter[str] = Counter()
    for codes, count in table.items():
        margin[codes[place]] += count
    return margin


def _standard_error(
    table: Counter[tuple[str, str]], first: Counter[str], second: Counter[str], value: float, chance: float
) -> float:
    n = table.total()
    alike = other = 0.0
    for (one, two), count in table.items():
        share = count / n
        if one == two:
            alike += share * (1 - (first[one] + second[one]) / n * (1 - value)) ** 2
        else:
            other += share * ((second[one] + first[two]) / n) ** 2
    rest = (value - chance * (1 - value)) ** 2
    variance = (alike + (1 - value) ** 2 * other - rest) / (n * (1 - chance) ** 2)
    return math.sqrt(max(0.0, variance))
