"""Which readings do not go together well: very improbable side by side, though each for itself is not.

A lucky reading is rare and speaks against nothing. So each pair is held against what its two readings are
worth apart: P(both) / (P(one) P(other)), given the rest of the readings. Far below 1, one of the two is
likely wrong.

References
----------
.. [1] F. V. Jensen, B. Chamberlain, T. Nordahl, F. Jensen, Analysis in HUGIN of data conflict, UAI 1990: the
   conflict measure log(P(x) P(y) / P(x, y)). From memory.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from diagnostics.isolation import Done
from diagnostics.isolation.wording.terms import Terms

UNLIKE = 0.3  # Together so much rarer than apart. Our choice, no source found.
RARE = 0.05  # And together as rare as this.


@dataclass(frozen=True, slots=True)
class Odd:
    """Two readings that do not go together: their positions in the history, the chance to see both."""

    first: int
    second: int
    chance: float


def oddest_pair(terms: Terms, priors: Mapping[str, float], history: Sequence[Done]) -> Odd | None:
    """Return the pair of readings that goes together worst, None where all go together well enough.

    Parameters
    ----------
    priors : mapping
        Belief before the first reading, by candidate.
    history : Done
        Readings that are possible together (else `Belief.conflict` names them).
    """
    whole = _Evidence(terms, priors, history)
    odd = []
    for first, second in combinations(range(len(history)), 2):
        both, rest = whole.without(), whole.without(first, second)
        apart = whole.without(first) * whole.without(second)
        if rest > 0 and apart > 0:
            odd.append((both * rest / apart, first, second, both / rest))
    unlike, first, second, chance = min(odd, default=(1.0, 0, 0, 1.0))
    return Odd(first, second, chance) if unlike < UNLIKE and chance < RARE else None


class _Evidence:
    """P(readings) with some of them left out."""

    def __init__(self, terms: Terms, priors: Mapping[str, float], history: Sequence[Done]) -> None:
        self.priors = np.array(list(priors.values()))
        self.chances = np.ones((len(priors), len(history)))
        for place, done in enumerate(history):
            test = terms.tests[done.test]
            column = test.position[done.outcome]
            for row, name in enumerate(priors):
                self.chances[row, place] = test.likelihood(terms.candidates[name])[column]

    def without(self, *left_out: int) -> float:
        kept = np.delete(self.chances, left_out, axis=1) if left_out else self.chances
        return float(self.priors @ kept.prod(axis=1))
