"""What a reading would do to the suspicions: plain Bayes on the rows of one test.

References
----------
.. [1] fault-isolation.md section 3. Read.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnostics.isolation.wording.figures import still_suspected
from diagnostics.isolation.wording.terms import Outcome, Terms

NEVER = 1e-12  # Outcomes rarer than this are dropped. [1], section 6.


@dataclass(frozen=True)
class Reading:
    """One outcome of a test as it would leave the suspicions.

    `chance` of reading so, `posterior` by candidate after it, `keeps` the suspects that are left.
    """

    outcome: Outcome
    chance: float
    posterior: Mapping[str, float]
    keeps: tuple[str, ...]


def readings(terms: Terms, posterior: Mapping[str, float], test: str) -> tuple[Reading, ...]:
    """Return the outcomes that a test can have, in the order of the document.

    Parameters
    ----------
    terms : Terms
    posterior : mapping
        Belief before the test, by candidate, summing to 1.
    test : str
        Its id.
    """
    found = terms.tests[test]
    rows = {name: found.likelihood(terms.candidates[name]) for name in posterior}
    told = []
    for place, outcome in enumerate(found.outcomes):
        joint = {name: share * rows[name][place] for name, share in posterior.items()}
        chance = sum(joint.values())
        if chance > NEVER:
            after = {name: share / chance for name, share in joint.items()}
            told.append(Reading(outcome, chance, after, still_suspected(after)))
    return tuple(told)
