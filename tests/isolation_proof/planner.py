"""The planner of the product, asked as a job asks it: the whole history each time."""

from collections.abc import Sequence
from typing import Any

from diagnostics.isolation import Done, advise, load
from tests.isolation_proof import walk
from tests.isolation_proof.compare import Cost, Judge
from tests.isolation_proof.model import Document, read


def adviser(document: Document, **options: Any) -> walk.Advise:
    """What the planner says about this document after a history. It is asked once about each history."""
    problem = load(document)
    said: dict[tuple[walk.Step, ...], Any] = {}

    def ask(history: Sequence[walk.Step]) -> Any:
        key = tuple(history)
        if key not in said:
            said[key] = advise(problem, tuple(Done(*step) for step in key), **options)
        return said[key]

    return ask


def judge(**options: Any) -> Judge:
    """Judge the planner, asked after each outcome."""

    def of(document: Document) -> Cost:
        ask = adviser(document, **options)
        return Cost(minutes_when_asked(document, ask), ask(()).test)

    return of


def minutes_when_asked(document: Document, ask: walk.Advise) -> float:
    """True expected minutes of a search by this advice; the document is the one that is true."""
    model = read(document)
    return walk.minutes_of(model, list(walk.leaves(model, ask)))
