"""What the planner says of a search as its readings stand, worked out once for the same readings."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from functools import cached_property, lru_cache
from typing import Any, TypeVar

from django.core.cache import cache

from diagnostics.isolation import Advice, Belief, Done, Problem, advise, believe, improve, load
from diagnostics.isolation.wording.figures import still_suspected
from diagnostics.isolation.wording.terms import CATCH_ALL, Terms, terms_of
from diagnostics.models import FaultSearch
from diagnostics.searching.hearing import Heard, hear
from diagnostics.searching.problem import as_it_stands
from diagnostics.snapshot import Instrument, Test

Answer = TypeVar("Answer")

CACHE_SECONDS = 24 * 3600
IN_FULL = "advice"
AT_ONCE = 2000  # Suspects times tests up to which the full answer is given with the page.
SECONDS = 4.0  # How long the better answer to a large problem may take; the page does not wait for it.
ISOLATED = 0.95  # A repair group with this much is left standing. Our choice, no source found.


class Thought:
    """One search with the readings that it hears, and what follows from them.

    Everything is worked out when it is first asked for. The answer depends on nothing but the problem, what
    was said along the way and the readings, so it is kept under these.
    """

    def __init__(
        self, search: FaultSearch, tests: Iterable[Test], instruments: Mapping[str, Instrument]
    ) -> None:
        self.search, self.tests, self.instruments = search, tuple(tests), instruments
        self.wants_full = False
        self.heard: tuple[Heard, ...] = hear(
            self.tests,
            complaint=search.complaint_ref,
            document=search.document,
            listens=search.listens,
            instruments=instruments,
        )

    def after(self, test: Test) -> Thought:
        """Return what would follow from one more reading."""
        return Thought(self.search, [*self.tests, test], self.instruments)

    @cached_property
    def counted(self) -> tuple[Heard, ...]:
        """The readings that are entries of the history, in the order on the record."""
        return tuple(one for one in self.heard if one.counts)

    @cached_property
    def history(self) -> tuple[Done, ...]:
        return tuple(Done(one.test, one.outcome) for one in self.counted)

    @property
    def left_out(self) -> list[dict[str, Any]]:
        """Tests that cannot be done, each with the reason."""
        return list(self.search.told.get("left_out", []))

    @property
    def told_open(self) -> list[str]:
        """Zones that were said to stand open."""
        return list(self.search.told.get("open", []))

    @cached_property
    def document(self) -> dict[str, Any]:
        return as_it_stands(
            self.search.document,
            open_zones=self.told_open,
            left_out=[one["test"] for one in self.left_out],
            done=[one.test for one in self.counted],
        )

    @cached_property
    def problem(self) -> Problem:
        return problem_of(self.document)

    @cached_property
    def terms(self) -> Terms:
        return terms_of(self.document)

    @cached_property
    def belief(self) -> Belief:
        return believe(self.problem, self.history)

    @cached_property
    def advice(self) -> Advice | None:
        """What comes next; None where the readings contradict the list.

        A large problem is answered by the rule of thumb, until somebody has waited for a better answer.
        """
        if self.belief.is_impossible:
            return None
        if self.is_first_answer:
            return self.kept("first answer", lambda: advise(self.problem, self.history, effort="quick"))
        return self.kept(IN_FULL, self._in_full)

    def _in_full(self) -> Advice:
        if not self._is_large:
            return advise(self.problem, self.history)
        *_, best = improve(self.problem, self.history, seconds=SECONDS)
        return best

    @property
    def _is_large(self) -> bool:
        return len(self.document["candidates"]) * len(self.document["tests"]) > AT_ONCE

    @cached_property
    def is_first_answer(self) -> bool:
        """Whether the full answer takes longer than a page may, and nobody has waited for it yet."""
        if self.wants_full or self.belief.is_impossible or not self._is_large:
            return False
        return cache.get(self._key(IN_FULL)) is None

    def kept(self, name: str, work: Callable[[], Answer]) -> Answer:
        """Return an answer that was worked out before, else work it out and keep it."""
        key = self._key(name)
        found = cache.get(key)
        if found is None:
            found = work()
            cache.set(key, found, CACHE_SECONDS)
        return found

    def _key(self, name: str) -> str:
        return hashlib.sha256(f"search:{name}:{self.digest}".encode()).hexdigest()

    @cached_property
    def digest(self) -> str:
        """Stands for the problem and the readings together."""
        told = json.dumps([self.document, [list(done) for done in map(_pair, self.history)]], sort_keys=True)
        return hashlib.sha256(told.encode()).hexdigest()

    @cached_property
    def suspected(self) -> tuple[str, ...]:
        """The suspects still worth a suspicion, likeliest first."""
        return () if self.belief.is_impossible else still_suspected(self.belief.posterior)

    @cached_property
    def standing(self) -> str:
        """The likeliest suspect of the one repair group that is left standing; empty while there are more."""
        return "" if self.belief.is_impossible else left_standing(self.terms, self.belief)

    @property
    def named(self) -> str:
        """The suspect to be confirmed: the one left standing, or the one the planner would stop at."""
        at = self.advice.candidate if self.advice else None
        if at and self.terms.candidates[at].kind != CATCH_ALL:
            return at
        return self.standing


def left_standing(terms: Terms, belief: Belief) -> str:
    """Return the likeliest suspect of a repair group that holds nearly everything, else an empty text."""
    group, share = max(belief.groups.items(), key=lambda item: (item[1], item[0]))
    members = terms.members(group)
    if share < ISOLATED or any(terms.candidates[name].kind == CATCH_ALL for name in members):
        return ""
    return max(members, key=lambda name: (belief.posterior[name], name))


def _pair(done: Done) -> tuple[str, str]:
    return done.test, done.outcome


def problem_of(document: Mapping[str, Any]) -> Problem:
    """Return the problem of a document; the same one for the same document, with what it remembers."""
    return _problem(json.dumps(document, sort_keys=True))


@lru_cache(maxsize=32)
def _problem(document: str) -> Problem:
    return load(json.loads(document))
