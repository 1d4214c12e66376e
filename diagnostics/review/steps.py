"""What became of each required step, and whether leaving it out goes with more comebacks."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Set
from dataclasses import dataclass
from typing import Literal, NamedTuple

from diagnostics.comebacks import MIN_ORDERS_TO_COMPARE
from diagnostics.evidence import evaluate
from diagnostics.snapshot import Order
from diagnostics.statistics.proportions import Proportion, proportion

StepState = Literal["done", "waived", "skipped"]
Answer = Literal["too_few", "cannot_tell", "more", "fewer"]

ANSWERS: dict[Answer, str] = {
    "too_few": "Too few to compare.",
    "cannot_tell": "Cannot tell yet.",
    "more": "Goes with more comebacks.",
    "fewer": "Goes with fewer comebacks.",
}


class StepOnce(NamedTuple):
    """One step as one complaint of one order asked for it, and what became of it."""

    order: str
    system: str
    code: str
    phase: str
    state: StepState


@dataclass(frozen=True, slots=True)
class StepCount:
    """One protocol step over many orders.

    `required`, `done`, `waived` and `skipped` count times asked for. `done_rate` and `skipped_rate` count
    orders and how many of them came back; None where there is no order. An order that skipped the step for
    one complaint and did it for another is counted with the skipped ones.
    """

    code: str
    phase: str
    required: int
    done: int
    waived: int
    skipped: int
    done_rate: Proportion | None
    skipped_rate: Proportion | None

    @property
    def answer(self) -> Answer:
        """What the two rates allow to be said."""
        return compare(self.skipped_rate, self.done_rate)

    @property
    def words(self) -> str:
        """The answer as a sentence. Never more than an association."""
        return ANSWERS[self.answer]

    @property
    def few(self) -> tuple[str, int] | None:
        """Of a comparison with too few orders: the smaller side and its orders."""
        sides = (("skipped", _orders(self.skipped_rate)), ("done", _orders(self.done_rate)))
        return min(sides, key=lambda side: side[1]) if self.answer == "too_few" else None


def step_state(order: Order) -> StepState:
    """Return what became of a step that was not done, from rule R4 itself.

    Parameters
    ----------
    order : Order
        Handed back, with one complaint and one required step, and with whatever could explain it: the
        waiver, the explanations of R4, the assumption a waiver cites, the tests that settle it.

    Returns
    -------
    StepState
        "waived" where R4 is explained, "skipped" where it is a gap, "done" where it is silent.

    References
    ----------
    .. [1] practice.md section 5, R4 and skipped-test analysis.
    """
    states = [finding.state for finding in evaluate(order, instruments={}) if finding.rule == "R4"]
    if not states:
        return "done"
    return "waived" if states[0] == "explained" else "skipped"


def compare(skipped: Proportion | None, done: Proportion | None) -> Answer:
    """Say whether two comeback rates can be told apart.

    Parameters
    ----------
    skipped, done : Proportion or None
        Orders that came back, of those where the step was skipped and of those where it was done.

    Returns
    -------
    Answer
        "too_few" below `MIN_ORDERS_TO_COMPARE` orders on either side; "cannot_tell" where the Wilson
        intervals overlap or touch, which asks for more than a test of the difference would; else whether
        skipping goes with more or with fewer comebacks. An association, whatever the answer.

    References
    ----------
    .. [1] practice.md section 8, comparisons, and section 11.
    """
    if skipped is None or done is None or min(skipped.of, done.of) < MIN_ORDERS_TO_COMPARE:
        return "too_few"
    if skipped.low > done.high:
        return "more"
    return "fewer" if skipped.high < done.low else "cannot_tell"


def count_steps(steps: Iterable[StepOnce], came_back: Set[str]) -> tuple[StepCount, ...]:
    """Return one count for each protocol step, the most often skipped first.

    Parameters
    ----------
    steps : iterable of StepOnce
        Of index orders whose window has passed.
    came_back : set of order ids
        Those that were come back from.
    """
    times: dict[tuple[str, str], Counter[StepState]] = defaultdict(Counter)
    where: dict[tuple[str, str, StepState], set[str]] = defaultdict(set)
    for step in steps:
        times[step.code, step.phase][step.state] += 1
        where[step.code, step.phase, step.state].add(step.order)
    counts = [
        StepCount(
            code=code,
            phase=phase,
            required=states.total(),
            done=states["done"],
            waived=states["waived"],
            skipped=states["skipped"],
            done_rate=share_of(where[code, phase, "done"] - where[code, phase, "skipped"], came_back),
            skipped_rate=share_of(where[code, phase, "skipped"], came_back),
        )
        for (code, phase), states in times.items()
    ]
    return tuple(sorted(counts, key=lambda count: (-count.skipped, -count.required, count.code)))


def share_of(orders: Set[str], came_back: Set[str]) -> Proportion | None:
    """Return how many of `orders` came back, with the Wilson interval; None of no orders."""
    return proportion(len(orders & came_back), len(orders)) if orders else None


def _orders(share: Proportion | None) -> int:
    return 0 if share is None else share.of
