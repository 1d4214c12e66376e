"""What to change next in the protocols, from the record. Proposed with figures, never done. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from diagnostics.learning.policy import MOST_PROPOSALS, SEPARATED_FROM, SEPARATES_NOTHING_FROM
from diagnostics.statistics.proportions import Difference, Proportion, newcombe

Step = tuple[str, str]
"""Symptom and test code."""


class Backs(NamedTuple):
    """Jobs that did a step, and that skipped it: of how many, with the window run, how many came back."""

    done: int
    back_done: int
    ripe_done: int
    back_skipped: int
    ripe_skipped: int


@dataclass(slots=True)
class Outcomes:
    """The outcomes of one step in the jobs of one symptom, and how often they were cited."""

    passed: int = 0
    failed: int = 0
    cited: int = 0
    orders: set[int] = field(default_factory=set)

    @property
    def is_always_the_same(self) -> bool:
        """Whether it never told two jobs apart."""
        return min(self.passed, self.failed) == 0 and self.judged >= SEPARATES_NOTHING_FROM

    @property
    def judged(self) -> int:
        """How often it had an outcome."""
        return self.passed + self.failed


@dataclass(frozen=True, slots=True)
class ToDrop:
    """A step that never told two jobs apart. `difference`: comebacks, done less skipped; None with no job."""

    symptom: str
    code: str
    judged: int
    always: str
    still_up_to: float
    backs: Backs
    difference: Difference | None


@dataclass(frozen=True, slots=True)
class ToAdd:
    """A test that proved the cause in `jobs` of `of_jobs` jobs of a symptom, unasked by its protocol."""

    symptom: str
    code: str
    jobs: int
    of_jobs: int


class Costly(NamedTuple):
    """A step that stands out: jobs that skipped it came back more often, after allowing for all compared."""

    code: str
    phase: str
    system: str
    extra: Difference
    q: float
    done: Proportion
    skipped: Proportion


class Asked(NamedTuple):
    """One step of a protocol in force."""

    system: str
    symptom: str
    code: str
    phase: str
    critical: bool


@dataclass(frozen=True, slots=True)
class ToAsk:
    """A costly step to ask for where it is not, or, where it `is_there`, to make critical."""

    symptom: str
    step: Costly
    is_there: bool

    @property
    def code(self) -> str:
        """The test."""
        return self.step.code


def to_ask(costly: Iterable[Costly], steps: Iterable[Asked]) -> tuple[ToAsk, ...]:
    """Return where a costly step should be critical, then where its system's protocols do not ask for it."""
    steps = list(steps)
    there, lacking = [], []
    for one in costly:
        asking = {step.symptom: step.critical for step in steps if step[2:4] == (one.code, one.phase)}
        there += [ToAsk(symptom, one, True) for symptom, critical in sorted(asking.items()) if not critical]
        if one.phase == "before":
            others = {step.symptom for step in steps if step.system == one.system} - asking.keys()
            lacking += [ToAsk(symptom, one, False) for symptom in sorted(others)]
    return tuple([*there, *lacking][:MOST_PROPOSALS])


def to_drop(backs: Mapping[Step, Backs], outcomes: Mapping[Step, Outcomes]) -> tuple[ToDrop, ...]:
    """Return the steps to take away, the most often done first.

    A step qualifies that was done at least `SEPARATES_NOTHING_FROM` times, always with the same outcome, that
    no cause and no suspect cites, and without which no more jobs came back.
    """
    found = []
    for step, seen in outcomes.items():
        counts = backs.get(step)
        if counts is None or seen.cited or not seen.is_always_the_same:
            continue
        difference = _difference(counts)
        if difference is not None and difference.high < 0:
            continue  # Jobs that did it came back less: it does something that its outcome does not show.
        found.append(
            ToDrop(
                *step,
                judged=seen.judged,
                always="good" if seen.passed else "not good",
                still_up_to=1 - 0.05 ** (1 / seen.judged),
                backs=counts,
                difference=difference,
            )
        )
    return tuple(sorted(found, key=lambda one: (-one.judged, one.symptom, one.code))[:MOST_PROPOSALS])


def to_add(
    proved: Mapping[Step, int], jobs: Mapping[str, int], in_protocol: Iterable[Step]
) -> tuple[ToAdd, ...]:
    """Return the tests to add, those that proved most causes first."""
    there = set(in_protocol)
    found = [
        ToAdd(*step, jobs=count, of_jobs=jobs[step[0]])
        for step, count in proved.items()
        if count >= SEPARATED_FROM and step not in there
    ]
    return tuple(sorted(found, key=lambda one: (-one.jobs, one.symptom, one.code))[:MOST_PROPOSALS])


def _difference(counts: Backs) -> Difference | None:
    if not counts.ripe_done or not counts.ripe_skipped:
        return None
    return newcombe(counts.back_done, counts.ripe_done, counts.back_skipped, counts.ripe_skipped)
