"""Everything the page of a search shows, and what of it stands on the job page and in the bay."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.urls import reverse

from diagnostics.isolation.wording.chances import found_by
from diagnostics.isolation.wording.figures import minutes as minutes_text
from diagnostics.isolation.wording.state import State, state
from diagnostics.isolation.wording.stopping import why_stop
from diagnostics.isolation.wording.why import bound_words, cost_of
from diagnostics.models import FaultSearch, SearchTiming, TestRun
from diagnostics.searching.card import Card, chance_words
from diagnostics.searching.confirming import Confirmation, confirmations_of
from diagnostics.searching.suspects import Suspects
from diagnostics.searching.thinking import Thought
from shop.models import Authorisation, RepairOrder, TimeEntry

RANKING_SHOWN = 8


@dataclass(frozen=True, slots=True)
class RouteStep:
    """One reading of the route so far."""

    number: int
    run: str
    pk: int
    label: str
    read: str
    why: str
    minutes: str
    by: str
    at: Any
    is_last: bool


@dataclass(frozen=True, slots=True)
class Choice:
    """One test that could come next, with what it costs against the plan."""

    test: str
    label: str
    takes: str
    expected: str
    cost: str
    is_shown: bool


class SearchPage:
    """One search for one reader; read when the template asks for it."""

    def __init__(
        self, thought: Thought, order: RepairOrder, user: Any, *, wanted: str = "", form: Any = None
    ) -> None:
        self.thought, self.order, self.user = thought, order, user
        self._wanted, self._form = wanted, form

    @property
    def search(self) -> FaultSearch:
        return self.thought.search

    @property
    def url(self) -> str:
        return self.search.get_absolute_url()

    @property
    def may_record(self) -> bool:
        may = any(map(self.user.has_role, ("technician", "owner")))
        return may and self.order.is_open and self.search.is_running

    def act(self, kind: str) -> str:
        """The address of one form of the search."""
        return reverse("search-act", args=[self.order.pk, self.search.pk, kind])

    @cached_property
    def acts(self) -> dict[str, str]:
        kinds = ("reading", "undo", "open", "cannot", "again", "two-faults", "map-anew", "route", "confirm",
                 "name", "stop")  # fmt: skip
        return {kind.replace("-", "_"): self.act(kind) for kind in kinds} if self.may_record else {}

    @cached_property
    def state(self) -> State:
        return state(self.thought.problem, self.thought.belief, self.thought.history)

    @property
    def is_contradictory(self) -> bool:
        return self.thought.belief.is_impossible

    @property
    def repeats(self) -> list[tuple[str, str]]:
        """Readings worth taking again, the cheaper first: test and what it is called."""
        tests = dict.fromkeys(self.thought.history[place].test for place in self.state.repeat)
        return [(test, self.thought.terms.test(test)) for test in tests]

    @cached_property
    def card(self) -> Card | None:
        """The test on the screen: the one being typed or chosen, else the one that is advised."""
        if self._form is not None:
            return Card(self.thought, self._form.test_id)
        if self._wanted in self.thought.terms.tests:
            return Card(self.thought, self._wanted)
        advice = self.thought.advice
        return Card(self.thought, advice.test) if advice and advice.test else None

    @cached_property
    def form(self) -> Any:
        """The form of the card: its buttons, or its line to type."""
        from diagnostics.searching.forms import take_form

        if self._form is not None or self.card is None or not self.may_record:
            return self._form
        return take_form(self.thought, self.card.test, order=self.order, user=self.user)

    @cached_property
    def confirmations(self) -> list[Confirmation]:
        """What is still to be read of the suspect that is left; empty while more than one is left."""
        name = self.thought.named
        return confirmations_of(self.thought, name, self.thought.tests) if name else []

    @property
    def is_confirmed(self) -> bool:
        return bool(self.confirmations) and all(one.shown_by for one in self.confirmations)

    @property
    def stop_words(self) -> tuple[str, ...]:
        advice = self.thought.advice
        return why_stop(self.thought.problem, self.thought.belief, advice) if advice else ()

    @property
    def chance(self) -> str:
        return chance_words(self.thought)

    @property
    def expect_words(self) -> str:
        """How long it will take, and how that spreads."""
        advice = self.thought.advice
        if advice is None or advice.test is None:
            return ""
        told = f"About {minutes_text(advice.expected_minutes)} to the fault from here; {bound_words(advice)}."
        return f"{told} {found_by(advice)}"

    @cached_property
    def choices(self) -> list[Choice]:
        """Other tests, best first."""
        advice = self.thought.advice
        if advice is None:
            return []
        shown = self.card.test if self.card else ""
        return [
            Choice(
                each.test,
                self.thought.terms.test(each.test),
                minutes_text(each.minutes),
                minutes_text(each.expected_minutes),
                "the plan’s test" if each.test == advice.test else cost_of(advice, each.test),
                each.test == shown,
            )
            for each in advice.ranking[:RANKING_SHOWN]
        ]

    @cached_property
    def suspects(self) -> Suspects:
        return Suspects(self.thought)

    @cached_property
    def _runs(self) -> dict[str, TestRun]:
        runs = TestRun.objects.filter(order=self.order, superseded_by__isnull=True)
        return {run.ref: run for run in runs.select_related("instrument")}

    @cached_property
    def timings(self) -> dict[str, SearchTiming]:
        return {timing.run_ref: timing for timing in self.search.timings.all()}

    @cached_property
    def route(self) -> list[RouteStep]:
        """The readings so far, in the order on the record."""
        last = len(self.thought.heard) - 1
        return [self._step(place, one, place == last) for place, one in enumerate(self.thought.heard)]

    def _step(self, place: int, one: Any, is_last: bool) -> RouteStep:
        test, run = self.thought.terms.tests[one.test], self._runs[one.run]
        timing = self.timings.get(one.run)
        took = sum(filter(None, [timing.minutes, timing.access_minutes])) if timing else None
        return RouteStep(
            number=place + 1,
            run=one.run,
            pk=run.pk,
            label=test.label,
            read=test.outcome(one.outcome).label if one.outcome else "",
            why=one.why,
            minutes=minutes_text(float(took)) if took else "",
            by=run.done_by,
            at=run.done,
            is_last=is_last,
        )

    @cached_property
    def zones(self) -> list[Any]:
        """What may be opened, with whether it stands open; inside first is after what is around it."""
        open_now = self.thought.belief.open_zones
        told = set(self.thought.told_open)
        return [
            {"id": name, "label": zone.label, "is_open": name in open_now, "is_told": name in told,
             "minutes": minutes_text(zone.open_minutes + zone.close_minutes)}
            for name, zone in self.thought.terms.zones.items()
            if zone.open_minutes + zone.close_minutes > 0
        ]  # fmt: skip

    @cached_property
    def unseen(self) -> list[Card]:
        """Looks that tell whether something is fitted at all, not taken yet: one tap each."""
        done = {one.test for one in self.thought.counted}
        return [
            Card(self.thought, test)
            for test in self.thought.terms.tests
            if self.search.listens.get(test, {}).get("code") == "fitted_look" and test not in done
        ]

    @cached_property
    def minutes_agreed(self) -> int:
        return sum(Authorisation.objects.filter(order=self.order).values_list("minutes", flat=True))

    @cached_property
    def minutes_used(self) -> int:
        entries = TimeEntry.objects.filter(order=self.order, kind="diagnosis")
        return sum(entries.values_list("minutes", flat=True))

    @property
    def minutes_left(self) -> int:
        return self.minutes_agreed - self.minutes_used

    @property
    def minutes_over(self) -> int:
        return -self.minutes_left
