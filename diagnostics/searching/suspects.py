"""The suspects of a search: the chance of each, where it comes from, and what cleared it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from diagnostics.isolation.wording.figures import in_100, times_in_100
from diagnostics.searching.naming import clearing
from diagnostics.searching.thinking import Thought


@dataclass(frozen=True, slots=True)
class SuspectView:
    """One suspect. `share` from 0 to 100; `now` in words; `prior` where its chance came from at the start."""

    id: str
    label: str
    share: float
    now: str
    at_first: str
    prior: str
    cleared_by: tuple[str, ...] = ()


class Suspects:
    """All suspects of a search, those still suspected first."""

    def __init__(self, thought: Thought) -> None:
        self.thought = thought

    @cached_property
    def _kept(self) -> set[str]:
        return set(self.thought.suspected)

    @cached_property
    def left(self) -> list[SuspectView]:
        """Those that are still worth a suspicion, likeliest first."""
        return [self._view(name) for name in self.thought.suspected]

    @cached_property
    def cleared(self) -> list[SuspectView]:
        """The others, with the readings that cleared them."""
        if self.thought.belief.is_impossible:
            return [self._view(name) for name in self.thought.terms.candidates]
        rest = [name for name in self.thought.terms.candidates if name not in self._kept]
        return [self._view(name) for name in rest]

    def _view(self, name: str) -> SuspectView:
        thought = self.thought
        share = thought.belief.posterior.get(name, 0.0)
        return SuspectView(
            id=name,
            label=thought.terms.candidate(name),
            share=round(100 * share, 1),
            now=in_100(share) if share else "cannot be",
            at_first=times_in_100(self._priors[name]),
            prior=thought.search.priors.get(name, {}).get("shown", ""),
            cleared_by=() if name in self._kept else self._cleared_by(name),
        )

    @cached_property
    def _priors(self) -> dict[str, float]:
        return {each["id"]: float(each["prior"]) for each in self.thought.document["candidates"]}

    def _cleared_by(self, name: str) -> tuple[str, ...]:
        thought = self.thought
        if not thought.suspected:
            return ()
        runs = set(clearing(thought.terms, thought.counted, name, thought.suspected[0]))
        return tuple(
            thought.terms.reading(one.test, one.outcome) for one in thought.counted if one.run in runs
        )
