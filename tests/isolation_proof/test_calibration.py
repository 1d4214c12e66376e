"""What the planner says of "found within so many minutes", against simulated vehicles."""

import random
from functools import cache

import pytest

from tests.isolation_proof import planner, walk
from tests.isolation_proof.answers import kept
from tests.isolation_proof.families import document
from tests.isolation_proof.model import read

TENTHS = 10
# Standard errors in a tenth; the dice are fixed, so a sound planner passes always or never.
ERRORS = 4.0


@cache
def adviser(key):
    return planner.adviser(document(*key))


@cache
def stated(key, minutes):
    return adviser(key)(()).within(minutes)


def simulate(keys, vehicles, seed):
    """For each vehicle a deadline, the stated chance to have found it by then, and whether it was found."""
    rng = random.Random(seed)
    for _ in range(vehicles):
        key = rng.choice(keys)
        minutes = round(adviser(key)(()).expected_minutes * rng.uniform(0.1, 2.0))
        seen = walk.drive(read(document(*key)), adviser(key), rng)
        yield stated(key, minutes), seen.is_right and seen.minutes <= minutes + 1e-9


def off_by_errors(pairs):
    """How many standard errors what happened is above or below what was stated, by tenths."""
    tenths = [[] for _ in range(TENTHS)]
    for said, happened in pairs:
        tenths[min(TENTHS - 1, int(said * TENTHS))].append((said, happened))
    off = []
    for tenth in tenths:
        variance = sum(said * (1 - said) for said, _ in tenth)
        surplus = sum(happened - said for said, happened in tenth)
        off.append(surplus / variance**0.5 if variance > 0.5 else 0.0)
    return off


def test_stated_chances_come_true_in_a_sample():
    keys = [("joined_stars", 4), ("supply_tree", 2), ("noisy", 1), ("fitted", 3)]

    assert max(map(abs, off_by_errors(simulate(keys, 600, seed=1)))) <= ERRORS


@pytest.mark.slow
def test_stated_chances_come_true_for_5000_vehicles():
    keys = [key for key in kept() if key[1] <= 10]
    pairs = list(simulate(keys, 5000, seed=2))

    off = off_by_errors(pairs)

    assert max(map(abs, off)) <= ERRORS, off
    surplus = sum(happened - said for said, happened in pairs)
    assert abs(surplus) <= 3 * sum(said * (1 - said) for said, _ in pairs) ** 0.5
    assert all(sum(int(said * TENTHS) == tenth for said, _ in pairs) > 50 for tenth in range(TENTHS))
