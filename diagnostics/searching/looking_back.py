"""After a search has ended: what should have come first by what was known then, and what it took."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from diagnostics.isolation import Problem
from diagnostics.isolation.looking_back import LookBack, look_back
from diagnostics.models import Cause, SearchTiming
from diagnostics.searching.earlier import suspect_named
from diagnostics.searching.problem import as_it_stands
from diagnostics.searching.thinking import Thought, problem_of


class After:
    """What an ended search teaches. Plans once for each of its readings, and keeps the answer."""

    def __init__(self, thought: Thought, timings: dict[str, SearchTiming]) -> None:
        self.thought, self.timings = thought, timings

    @cached_property
    def cause(self) -> Cause | None:
        search = self.thought.search
        return Cause.objects.filter(order=search.order, ref=search.cause_ref).first()

    @property
    def cause_words(self) -> str:
        cause = self.cause
        if cause is None:
            return ""
        return f"{cause.component}: {cause.mode}" if cause.mode else cause.component

    @cached_property
    def suspect(self) -> str:
        """The suspect that the cause names; empty for one that was not on the map."""
        search = self.thought.search
        problem = {"document": search.document, "components": search.components}
        return suspect_named(self.cause.component, self.cause.mode, problem) if self.cause else ""

    @cached_property
    def taught(self) -> LookBack:
        return self.thought.kept(f"after:{self.thought.search.cause_ref}:{self._took}", self._look_back)

    def _look_back(self) -> LookBack:
        history = self.thought.history
        return look_back(self._problem, history, self._took, cause=self.suspect or None)

    @property
    def _problem(self) -> Problem:
        """As it stood when the search began; zones that were told open stood open then too."""
        return problem_of(as_it_stands(self.thought.search.document, open_zones=self.thought.told_open))

    @cached_property
    def _took(self) -> list[float | None]:
        return [_minutes(self.timings.get(one.run)) for one in self.thought.counted]

    @property
    def sentences(self) -> tuple[str, ...]:
        return self.taught.sentences if self.thought.history else ()


def _minutes(timing: Any) -> float | None:
    parts = [part for part in (timing.minutes, timing.access_minutes) if part is not None] if timing else []
    return float(sum(parts)) if parts else None
