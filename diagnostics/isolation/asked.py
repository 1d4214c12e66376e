"""The planner asked from outside: a document and a history as JSON has them, the answer as JSON has it.

One line in, one line out (fault-isolation.md section 14): what cannot be answered is refused in words, and
the next line is answered as if nothing had been.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections import OrderedDict
from collections.abc import Mapping, Sequence
from typing import Any

from diagnostics.isolation import (
    Advice,
    Done,
    Problem,
    ProblemError,
    Route,
    advise,
    believe,
    fixed_order,
    load,
)
from diagnostics.isolation.wording.state import state
from shared.answer_lines import as_json, read_json
from shared.computing import Refused

LINE_FORM = '{"problem": {…}, "history": [{"test": id, "outcome": id}, …]}'
ENTRY_FORM = '{"test": id, "outcome": id}'
PROBLEM_FORM = "an object of the form isolation-problem/1"
MOST_KEPT = 8  # Problems whose plans are kept between lines.
MOST_NAMED = 12  # Ids named as allowed; of more, the rest is counted.


class Desk:
    """Answers one question after another and keeps the plans of the last few problems between them."""

    def __init__(self) -> None:
        self._problems: OrderedDict[bytes, Problem] = OrderedDict()

    def answer_line(self, line: bytes | str) -> tuple[str, bool]:
        """Return the answer line for one line of a stream, and whether it was answered."""
        try:
            asked = read_json(line, field="line", allowed=LINE_FORM)
            if not isinstance(asked, dict):
                raise Refused("line", "A line must be an object.", LINE_FORM)
            problem = self.problem(asked.get("problem"))
            history = history_of(problem, asked.get("history"))
            return as_json(answer(problem, advised(problem, history))), True
        except Refused as refused:
            return refusal(refused), False
        except Exception as error:  # A stream goes on even where the planner has a fault of its own.
            told = f"The planner failed on this problem ({type(error).__name__})."
            return refusal(Refused("problem", told, PROBLEM_FORM)), False

    def problem(self, document: Any) -> Problem:
        """Return the problem of a document, the same one for the same document; refuse what is none."""
        if not isinstance(document, Mapping):
            raise Refused("problem", "There is no problem here.", PROBLEM_FORM)
        key = hashlib.sha256(json.dumps(document).encode()).digest()
        if key in self._problems:
            self._problems.move_to_end(key)
            return self._problems[key]
        problem = _loaded(document)
        self._problems[key] = problem
        if len(self._problems) > MOST_KEPT:
            self._problems.popitem(last=False)
        return problem


def history_of(problem: Problem, given: Any) -> tuple[Done, ...]:
    """Return the history that a list of JSON holds; nothing given is an empty one.

    Raises
    ------
    Refused
        With the place in the list, where an entry is no reading of this problem.
    """
    if given is None:
        return ()
    if not isinstance(given, list):
        raise Refused("history", "The history must be a list.", f"a list of {ENTRY_FORM}")
    return tuple(_entry(problem, place, entry) for place, entry in enumerate(given))


def order_of(problem: Problem, order: Sequence[str]) -> tuple[str, ...]:
    """Return the order if it names tests of this problem, each once."""
    tests = [each["id"] for each in problem.document["tests"]]
    if not order:
        raise Refused("order", "The order names no test.", _named(tests))
    for test in order:
        if test not in tests:
            raise Refused("order", f"There is no test '{test}' in this problem.", _named(tests))
    twice = next((test for test in order if order.count(test) > 1), None)
    if twice is not None:
        raise Refused("order", f"'{twice}' stands in the order twice.", "each test once")
    return tuple(order)


def advised(problem: Problem, history: Sequence[Done]) -> Advice:
    """Return the advice; refuse a history that cannot be, naming its readings."""
    refuse_impossible(problem, history)
    return advise(problem, history)


def refuse_impossible(problem: Problem, history: Sequence[Done]) -> None:
    """Raise where the readings contradict the list."""
    belief = believe(problem, history)
    if belief.is_impossible:
        told = state(problem, belief, history)
        ways = " ".join(way.text for way in told.ways)
        raise Refused("history", " ".join(told.sentences), ways)


def answer(problem: Problem, advice: Advice) -> dict[str, Any]:
    """Return an advice under the keys of an answer line."""
    verdict = {"test": advice.test} if advice.test is not None else {"candidate": advice.candidate}
    return {
        **verdict,
        "expected_minutes": advice.expected_minutes,
        "lower_bound": advice.lower_bound,
        "posterior": dict(advice.posterior),
        "ranking": [
            {"test": each.test, "expected_minutes": each.expected_minutes, "minutes": each.minutes}
            for each in advice.ranking
        ],
    }


def answer_of_route(
    problem: Problem, order: Sequence[str], history: Sequence[Done]
) -> tuple[dict[str, Any], Route, Advice]:
    """Return a fixed order under the keys of the command `route`, and what they were taken from.

    Minutes that are never reached are null.
    """
    advice = advised(problem, history)
    try:
        found = fixed_order(problem, list(order), history)
    except MemoryError as error:  # More ways through the order than the planner follows.
        raise Refused("order", str(error), "fewer tests") from None
    keys = {
        "order": list(order),
        "expected_minutes": found.expected_minutes,
        "half_by": _or_null(found.minutes_by(0.5)),
        "nine_in_ten_by": _or_null(found.minutes_by(0.9)),
        "plan_minutes": advice.expected_minutes,
        "lower_bound": advice.lower_bound,
    }
    return keys, found, advice


def refusal(refused: Refused) -> str:
    """Return a refusal as an answer line."""
    return as_json({"error": refused.as_dict()})


def _loaded(document: Mapping[str, Any]) -> Problem:
    try:
        return load(document)
    except ProblemError as error:
        first = error.faults[0]
        more = len(error.faults) - 1
        counted = f" {more} more like this or others." if more else ""
        where = f"problem.{first.where}" if first.where else "problem"
        raise Refused(where, f"{first.message}{counted}", PROBLEM_FORM) from None


def _entry(problem: Problem, place: int, entry: Any) -> Done:
    where = f"history[{place}]"
    if not isinstance(entry, Mapping) or not all(
        isinstance(entry.get(key), str) for key in ("test", "outcome")
    ):
        raise Refused(where, "An entry names a test and the outcome it had.", ENTRY_FORM)
    tests = {each["id"]: each for each in problem.document["tests"]}
    if entry["test"] not in tests:
        raise Refused(f"{where}.test", f"There is no test '{entry['test']}' in this problem.", _named(tests))
    outcomes = [each["id"] for each in tests[entry["test"]]["outcomes"]]
    if entry["outcome"] not in outcomes:
        told = f"'{entry['test']}' cannot read '{entry['outcome']}'."
        raise Refused(f"{where}.outcome", told, _named(outcomes))
    return Done(entry["test"], entry["outcome"])


def _named(ids: Any) -> str:
    names = list(ids)
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return f"one of {', '.join(names[:MOST_NAMED])}{more}"


def _or_null(minutes: float) -> float | None:
    return minutes if math.isfinite(minutes) else None
