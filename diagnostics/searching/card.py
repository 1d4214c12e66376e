"""The card of one test: where, what it takes, what each outcome tells, cautions, and why this one."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from diagnostics.isolation.wording.chances import found_within
from diagnostics.isolation.wording.figures import in_100, suspects
from diagnostics.isolation.wording.figures import minutes as minutes_text
from diagnostics.isolation.wording.readings import readings
from diagnostics.isolation.wording.why import Why, cost_of, why
from diagnostics.job.on_order import caution_texts, test_kinds
from diagnostics.models import TestKind
from diagnostics.searching.thinking import Thought

MORE_MINUTES = 30  # "… to find it within 30 more minutes", for the customer's decision.


@dataclass(frozen=True, slots=True)
class Tells:
    """One outcome of a test: the word on its button, how likely it is, and what it leaves."""

    id: str
    label: str
    chance: str
    leaves: str


class Card:
    """One test of a search, as it stands on the screen. Read when the template asks."""

    def __init__(self, thought: Thought, test: str) -> None:
        self.thought, self.test = thought, test
        self._terms, self._belief = thought.terms, thought.belief
        self.listens: dict[str, Any] = thought.search.listens.get(test, {})

    @property
    def title(self) -> str:
        label = self._terms.test(self.test)
        return label[:1].upper() + label[1:]

    @property
    def is_advised(self) -> bool:
        advice = self.thought.advice
        return advice is not None and advice.test == self.test

    @cached_property
    def to_open(self) -> tuple[Any, ...]:
        """The zones that still have to be opened for it, the outermost first."""
        return self._terms.to_open(self.test, self._belief.open_zones)

    @property
    def where(self) -> str:
        """The way in: what is to be opened, else where it is."""
        if self.to_open:
            return ", then ".join(zone.label for zone in self.to_open)
        zones = [self._terms.zones[name].label for name in self._terms.tests[self.test].zones]
        return f"{', '.join(zones)}: stands open" if zones else "nothing to open"

    @property
    def takes(self) -> str:
        return minutes_text(self._terms.price(self.test, self._belief.open_zones))

    @property
    def takes_parts(self) -> str:
        return self._terms.price_words(self.test, self._belief.open_zones) if self.to_open else ""

    @cached_property
    def tells(self) -> list[Tells]:
        """What each outcome would leave; in the order of the document, those that cannot be left out last."""
        if self._belief.is_impossible:
            return [Tells(one.id, one.label, "", "") for one in self._terms.tests[self.test].outcomes]
        told = {
            reading.outcome.id: Tells(
                reading.outcome.id, reading.outcome.label, in_100(reading.chance), self._leaves(reading)
            )
            for reading in readings(self._terms, self._belief.posterior, self.test)
        }
        none = [
            Tells(one.id, one.label, "not expected", "")
            for one in self._terms.tests[self.test].outcomes
            if one.id not in told
        ]
        return [*told.values(), *none]

    def _leaves(self, reading: Any) -> str:
        if len(reading.keeps) == 1:
            return f"leaves the {self._terms.candidate(reading.keeps[0])}"
        return f"leaves {suspects(len(reading.keeps))}"

    @cached_property
    def kind(self) -> TestKind | None:
        """The kind of test in the catalogue, for its cautions and how it is done."""
        code = self.listens.get("code", "")
        return test_kinds([code]).get(code) if code else None

    @cached_property
    def cautions(self) -> list[str]:
        """What to heed, before the test is offered: of this test on the map, and of its kind."""
        own = self._terms.tests[self.test].caution
        general = caution_texts({self.kind.code: self.kind}).values() if self.kind else ()
        return [*([own] if own else []), *general]

    @property
    def how(self) -> str:
        return self.listens.get("how") or (self.kind.how if self.kind else "")

    @cached_property
    def why(self) -> Why | None:
        """The reason in words; none while the readings contradict each other."""
        advice = self.thought.advice
        return why(self.thought.problem, self._belief, advice, self.test) if advice else None

    @property
    def reasons(self) -> tuple[str, ...]:
        """The sentences of the reason, without the title and the caution that stand above already."""
        found = self.why
        if found is None:
            return ()
        expect = (self._expect(found.expect),) if found.expect else ()
        return (*found.split, *expect, *found.others, *found.changes, *found.limits)

    def _expect(self, sentence: str) -> str:
        """What is expected from here; that no plan needs fewer than nothing is not worth saying."""
        advice = self.thought.advice
        has_bound = advice is not None and advice.lower_bound >= 1
        return sentence if has_bound else f"{sentence.partition(';')[0].rstrip('.')}."

    @property
    def cost(self) -> str:
        """What choosing this one costs against the plan's test."""
        advice = self.thought.advice
        return "" if advice is None or self.is_advised else cost_of(advice, self.test)

    @property
    def key(self) -> str:
        return f"search-{self.thought.search.pk}-{self.test}"


def chance_words(thought: Thought, more_minutes: float = MORE_MINUTES) -> str:
    """Return "61 % to find it within 30 more minutes", for the customer's decision; empty without a plan."""
    advice = thought.advice
    return found_within(advice, more_minutes) if advice and advice.test else ""
