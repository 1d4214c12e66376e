"""The exact answer of section 3: depth first, with a memo and with bounds that may only be too low.

A state keeps only what can still matter: tests that tell the remaining candidates apart, tests that open the
door to such a test, the zones of both, and use counts where a repeat tells something new.
"""

import time
from dataclasses import dataclass

from tests.isolation_proof.model import NOTHING, Model, Weights, price

ALWAYS = float("inf")
CLOSE = 1e-11
# A block of so many candidates is solved in full to bound a larger state from below.
BLOCK = 4


class OutOfBudgetError(Exception):
    """The solver met more states, or took longer, than it was allowed to."""


@dataclass(frozen=True)
class Answer:
    """Expected minutes of the best plan, and of the best plan that starts with each test."""

    value: float
    q: dict[str, float]
    states: int


def solve(model: Model, *, states: int = 400_000, seconds: float = 60.0) -> Answer | None:
    """Return the exact answer at the start, or None when the budget ends first."""
    solver = Solver(model, states, time.monotonic() + seconds)
    support = tuple(place for place, weight in enumerate(model.prior) if weight > NOTHING)
    start = (model.prior, model.open_zones, (0,) * len(model.tests))
    try:
        q = {}
        for place, test in enumerate(model.tests):
            if not test.after:
                q[test.id] = solver.q(place, support, *start)
        value = solver.value(support, *start, ALWAYS)
    except OutOfBudgetError:
        return None
    return Answer(value, q, len(solver.memo))


class Solver:
    """One search. The memo maps a state to (value or lower bound, whether it is the value)."""

    def __init__(self, model: Model, states: int, deadline: float) -> None:
        self.model = model
        self.states = states
        self.deadline = deadline
        self.memo: dict[tuple, tuple[float, bool]] = {}
        self.live_of: dict[tuple, tuple] = {}
        self.zone_sums: dict[int, float] = {}
        self.classes = [_classes(test.rows) for test in model.tests]

    def q(self, place: int, support, weights: Weights, opened: int, uses) -> float:
        """Expected minutes of the best plan that starts with this test."""
        test = self.model.tests[place]
        after = _used(uses, place)
        return price(self.model, test, opened) + sum(
            chance * self.value(below, belief, opened | test.zones, after, ALWAYS)
            for chance, below, belief in self._children(place, support, weights)
        )

    def value(self, support, weights: Weights, opened: int, uses, limit: float) -> float:
        """The value of a state if it is below the limit, else a lower bound that is not below it."""
        stop = self._stop(support, weights)
        if stop <= CLOSE:
            return stop
        live = self._live(support, uses)
        key = self._key(support, weights, opened, uses, live)
        known = self.memo.get(key)
        if known is not None and (known[1] or known[0] >= limit):
            return known[0]
        self._check_budget()
        found = self._search(support, weights, opened, uses, live, stop, limit)
        self.memo[key] = found
        return found[0]

    def _search(self, support, weights, opened, uses, live, stop, limit) -> tuple[float, bool]:
        best, proved = min(stop, limit), ALWAYS
        is_found = stop < limit
        plans = []
        for place in live:
            if self._is_legal(place, uses):
                plans.append(self._plan(place, support, weights, opened, uses))
        plans.sort(key=lambda plan: plan[0])
        for low, after, zones, children in plans:
            if low >= best - CLOSE:
                proved = min(proved, low)
                break
            total = self._total(low, after, zones, children, best)
            if total < best - CLOSE:
                best, is_found = total, True
            else:
                proved = min(proved, total)
        if is_found:
            return best, True
        return max(limit, min(proved, stop)), False

    def _total(self, low, after, zones, children, best) -> float:
        """Replace the bound of each child by its value, and give up when that is not below the best."""
        total = low
        for bound, chance, below, belief in sorted(children, key=lambda child: -child[1]):
            room = bound + (best - total) / chance
            total += chance * (self.value(below, belief, zones, after, room) - bound)
            if total >= best - CLOSE:
                break
        return total

    def _plan(self, place, support, weights, opened, uses):
        test = self.model.tests[place]
        zones, after = opened | test.zones, _used(uses, place)
        low = test.minutes + self._zone_sum(test.zones & ~opened)
        children = []
        for chance, below, belief in self._children(place, support, weights):
            bound = self._bound(below, belief, zones, after)
            low += chance * bound
            children.append((bound, chance, below, belief))
        return low, after, zones, children

    def _bound(self, support, weights, opened, uses) -> float:
        """Let an oracle name the block for nothing (section 5): the blocks' values, weighed."""
        stop = self._stop(support, weights)
        if stop <= CLOSE:
            return 0.0
        live = self._live(support, uses)
        if not live:
            return stop
        known = self.memo.get(self._key(support, weights, opened, uses, live))
        if known is not None and known[1]:
            return known[0]
        if len(support) <= BLOCK:
            cheapest = min(self._reach_price(place, opened, uses) for place in live)
            return min(stop, max(cheapest, known[0] if known else 0.0))
        low = known[0] if known else 0.0
        ranked = sorted(support, key=lambda place: (-weights[place], place))
        blocks = -(-len(ranked) // BLOCK)
        total = 0.0
        for number in range(blocks):
            block = tuple(sorted(ranked[number * BLOCK : (number + 1) * BLOCK]))
            share = sum(weights[place] for place in block)
            if len(block) < 2 or share <= NOTHING:
                continue
            inner = [0.0] * len(weights)
            for place in block:
                inner[place] = weights[place] / share
            total += share * self.value(block, tuple(inner), opened, uses, ALWAYS)
        return max(low, total)

    def _reach_price(self, place, opened, uses) -> float:
        test = self.model.tests[place]
        return test.minutes + self._zone_sum(test.zones & ~opened)

    def _children(self, place, support, weights):
        test = self.model.tests[place]
        for outcome in range(len(test.outcomes)):
            joint = [
                (at, weights[at] * test.rows[at][outcome]) for at in support if test.rows[at][outcome] > 0
            ]
            chance = sum(weight for _, weight in joint)
            if chance <= NOTHING:
                continue
            belief = [0.0] * len(weights)
            below = []
            for at, weight in joint:
                if weight > NOTHING * chance:
                    belief[at] = weight / chance
                    below.append(at)
            yield chance, tuple(below), tuple(belief)

    def _stop(self, support, weights) -> float:
        groups: dict[int, float] = {}
        for at in support:
            group = self.model.group[at]
            groups[group] = groups.get(group, 0.0) + weights[at]
        return self.model.wrong * (sum(groups.values()) - max(groups.values()))

    def _is_legal(self, place, uses) -> bool:
        test = self.model.tests[place]
        return uses[place] < test.max_uses and all(uses[needed] for needed in test.after)

    def _live(self, support, uses) -> tuple[int, ...]:
        """Tests that can still help: they tell two remaining groups or candidates apart, or open a door."""
        key = (support, uses)
        found = self.live_of.get(key)
        if found is None:
            found = self.live_of[key] = self._find_live(support, uses)
        return found

    def _find_live(self, support, uses) -> tuple[int, ...]:
        wanted = set()
        todo = []
        for place, test in enumerate(self.model.tests):
            classes = self.classes[place]
            if uses[place] < test.max_uses and len({classes[at] for at in support}) > 1:
                todo.append(place)
        while todo:
            place = todo.pop()
            if place not in wanted:
                wanted.add(place)
                todo += [needed for needed in self.model.tests[place].after if not uses[needed]]
        return tuple(sorted(wanted))

    def _key(self, support, weights, opened, uses, live) -> tuple:
        zones, counts = 0, []
        needed: set[int] = set()
        for place in live:
            test = self.model.tests[place]
            zones |= test.zones
            if not test.is_perfect:
                counts.append(uses[place])
            needed.update(test.after)
        doors = tuple(uses[place] > 0 for place in sorted(needed))
        belief = tuple(round(weights[at], 10) for at in support)
        return support, belief, opened & zones, live, tuple(counts), doors

    def _zone_sum(self, zones: int) -> float:
        if zones not in self.zone_sums:
            bits = [minutes for at, minutes in enumerate(self.model.zone_minutes) if zones >> at & 1]
            self.zone_sums[zones] = sum(bits)
        return self.zone_sums[zones]

    def _check_budget(self) -> None:
        if len(self.memo) >= self.states or time.monotonic() > self.deadline:
            raise OutOfBudgetError


def _classes(rows) -> tuple[int, ...]:
    numbers: dict[tuple[float, ...], int] = {}
    return tuple(numbers.setdefault(row, len(numbers)) for row in rows)


def _used(uses, place):
    return (*uses[:place], uses[place] + 1, *uses[place + 1 :])
