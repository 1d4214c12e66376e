"""What a reading does not exclude, said before it is taken (fault-isolation.md sections 2, 7 and 10)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from diagnostics.isolation.wording.figures import listed, still_suspected, times_in_ten
from diagnostics.isolation.wording.readings import Reading, readings
from diagnostics.isolation.wording.terms import Candidate, Terms, Test

MOST_EXAMINED = 2  # A test that parts a whole hub examines no single unit.
HARDLY = 0.1  # A reading that an acting fault would hardly ever give.
WEAK = 0.2  # Chance that a fault at rest gives it all the same, from which it is worth a word.


def limit_sentences(terms: Terms, posterior: Mapping[str, float], test: str) -> tuple[str, ...]:
    """Return what the readings of a test leave open: the wire beside the unit, the fault that was at rest."""
    found = terms.tests[test]
    suspected = [terms.candidates[name] for name in still_suspected(posterior)]
    told = list(readings(terms, posterior, test))
    return (*_beside(terms, posterior, found, told), *_at_rest(found, suspected))


def _beside(terms: Terms, posterior: Mapping[str, float], test: Test, told: list[Reading]) -> Iterator[str]:
    """A unit is cleared and its wire is not, or the other way round."""
    if not 0 < len(test.at) <= MOST_EXAMINED:
        return
    before = set(still_suspected(posterior))
    near = set(_neighbours(terms, test.at))
    for reading in told:
        cleared = [name for name in before - set(reading.keeps) if terms.candidates[name].at in test.at]
        stays = [name for name in reading.keeps if terms.candidates[name].at in near]
        if cleared and stays:
            yield (
                f"If {reading.outcome.clause}, that clears {_names(terms, sorted(cleared))}, but not what is "
                f"beside it: {_names(terms, stays)} {'stays' if len(stays) == 1 else 'stay'} on the list."
            )


def _neighbours(terms: Terms, parts: tuple[str, ...]) -> Iterator[str]:
    """The wires at a node, and the nodes that a wire leads to."""
    for wire, ends in terms.wires.items():
        if wire in parts:
            yield ends[1]
        elif ends[1] in parts:
            yield wire


def _at_rest(test: Test, suspected: list[Candidate]) -> Iterator[str]:
    """A good reading on an intermittent fault is weak, a bad one is strong."""
    if not test.quiet:
        return
    for place, outcome in enumerate(test.outcomes):
        weak = [
            each
            for each in suspected
            if _acting_row(test, each)[place] < HARDLY
            and test.likelihood(each)[place] - _acting_row(test, each)[place] > WEAK
        ]
        # Where it is weak against everybody, the test asks whether it acts and not who it is.
        if weak and len(weak) < len(suspected):
            acting = max(test.activity_of(each) for each in weak)
            often = times_in_ten(acting)
            yield (
                f"If {outcome.clause}, that is weak against {listed([each.label for each in weak])}: "
                f"{'it acts' if len(weak) == 1 else 'they act'} only {often}, and a fault at rest reads "
                "like a sound circuit."
            )


def _acting_row(test: Test, candidate: Candidate) -> Sequence[float]:
    return test.rows.get(candidate.id, test.default)


def _names(terms: Terms, names: list[str]) -> str:
    return listed([terms.candidate(name) for name in names])
