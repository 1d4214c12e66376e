"""The next test in a search for a fault, beside a plain Python rollout of the same problem where that ends.

Three sizes: the example of the note, a large line, a very large one; each is asked from the start and after
each of a few readings. The rollout is given up after a while; then the yardstick is one plain look at every
test, and the note says so. The note also says how far the stated minutes are above the lower bound.
"""

import itertools
import random
import time
from statistics import median

from diagnostics.isolation import Done, advise, improve, load
from tests.bench.timing import Comparison, seconds_of
from tests.isolation_proof import walk
from tests.isolation_proof.examples import two_hubs
from tests.isolation_proof.large import tree_of_hubs
from tests.isolation_proof.model import read
from tests.isolation_proof.policies import Rollout, information_per_minute, start

ROLLOUT_SECONDS = 20.0
ANYTIME_SECONDS = 5.0
READINGS = 4


class OutOfTimeError(Exception):
    """The rollout took longer than it was given."""


def measure(shop, repeats):
    problems = {
        "18 x 20": two_hubs(),
        "60 x 80": tree_of_hubs(60, 80),
        "200 x 400": tree_of_hubs(200, 400),
    }
    return list(
        itertools.chain.from_iterable(
            (_answers(size, document, repeats), _first_answer(size, document))
            for size, document in problems.items()
        )
    )


def _answers(size, document, repeats):
    """Advice after each reading of several searches; the very first call is left out."""
    problem = load(document)
    advise(problem)
    taken = []
    for search in range(max(1, repeats)):
        steps = walk.history_of(document, random.Random(search), READINGS)
        for length in range(1, len(steps) + 1):
            history = tuple(Done(*step) for step in steps[:length])
            taken.append(seconds_of(lambda history=history: advise(load(document), history)))
    said = advise(problem)
    above = said.expected_minutes / said.lower_bound
    note = f"{said.method}; {said.expected_minutes:.1f} min stated, {above:.2f} times the lower bound"
    yardstick, seconds = _yardstick(read(document))
    return Comparison(f"next test, {size}", taken, yardstick, seconds, 1, note)


def _first_answer(size, document):
    """How soon the first of the answers that improve is there; the worst and the last are in the note."""
    problem, began = load(document), time.perf_counter()
    came, minutes = [], []
    for answer in improve(problem, seconds=ANYTIME_SECONDS):
        came.append(time.perf_counter() - began)
        minutes.append(answer.expected_minutes)
    note = f"{len(came)} answers in {came[-1]:.1f} s, from {minutes[0]:.1f} to {minutes[-1]:.1f} min"
    yardstick = [seconds_of(lambda: _one_look(read(document)))]
    return Comparison(f"first answer, {size}", [came[0]], "a plain look at every test", yardstick, 1, note)


def _yardstick(model):
    try:
        seconds = seconds_of(lambda: _rollout(model))
    except OutOfTimeError:
        return "a plain look at every test", [median(seconds_of(lambda: _one_look(model)) for _ in range(3))]
    return "plain Python rollout", [seconds]


def _rollout(model):
    ends = time.perf_counter() + ROLLOUT_SECONDS

    def base(model, state):
        if time.perf_counter() > ends:
            raise OutOfTimeError
        return information_per_minute(model, state)

    Rollout(base)(model, start(model))


def _one_look(model):
    information_per_minute(model, start(model))
