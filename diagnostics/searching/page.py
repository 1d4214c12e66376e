"""Everything the page of a search shows, and what of it stands on the job page and in the bay."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.urls import reverse

from diagnostics.isolation.circuit import Circuit
from diagnostics.isolation.drawing import Marks
from diagnostics.isolation.routes import compare
from diagnostics.isolation.usual_routes import usual_routes
from diagnostics.isolation.wording.chances import found_by
from diagnostics.isolation.wording.figures import in_100
from diagnostics.isolation.wording.figures import minutes as minutes_text
from diagnostics.isolation.wording.state import State, state
from diagnostics.isolation.wording.stopping import why_stop
from diagnostics.isolation.wording.why import bound_words, cost_of
from diagnostics.job.on_order import caution_texts, test_kinds
from diagnostics.models import FaultSearch, SearchTiming, TestRun
from diagnostics.searching.card import Card, chance_words
from diagnostics.searching.confirming import Confirmation, confirmations_of
from diagnostics.searching.ending_forms import confirm_form
from diagnostics.searching.forms import take_form
from diagnostics.searching.hearing import Heard
from diagnostics.searching.looking_back import After
from diagnostics.searching.marking import circuit_of_search, marks_of
from diagnostics.searching.suspects import Suspects, SuspectView
from diagnostics.searching.thinking import Thought
from shared.wording import count_text
from shop.models import Authorisation, RepairOrder, TimeEntry

RANKING_SHOWN = 8
SUSPECTS_SHOWN = 6
LOOK_WHETHER_FITTED = "fitted_look"


@dataclass(frozen=True, slots=True)
class RouteStep:
    """One reading of the route so far."""

    number: int
    run: str
    label: str
    read: str
    why: str
    minutes: str
    by: str
    at: Any


@dataclass(frozen=True, slots=True)
class Choice:
    """One test that could come next, with what it costs against the plan."""

    test: str
    label: str
    takes: str
    expected: str
    cost: str
    is_shown: bool


@dataclass(frozen=True, slots=True)
class ZoneView:
    """One thing to open: `is_open` by whatever means, `is_told` because somebody said so."""

    id: str
    label: str
    minutes: str
    is_open: bool
    is_told: bool


@dataclass(frozen=True, slots=True)
class RouteBeside:
    """One named route in words."""

    name: str
    words: str
    is_own: bool


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
        bound = f"; {bound_words(advice)}" if advice.lower_bound >= 1 else ""
        told = f"About {minutes_text(advice.expected_minutes)} to the fault from here{bound}."
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

    @property
    def top_suspects(self) -> list[SuspectView]:
        return self.suspects.left[:SUSPECTS_SHOWN]

    @property
    def more_suspects(self) -> list[SuspectView]:
        return self.suspects.left[SUSPECTS_SHOWN:]

    @property
    def all_suspects(self) -> list[SuspectView]:
        return [*self.suspects.left, *self.suspects.cleared]

    @property
    def priors_words(self) -> str:
        """Where the chances at the start come from."""
        own = self.search.document.get("provenance", {}).get("priors_from") == "own-history"
        if own:
            return "From the weights of the map, moved by this shop’s own earlier jobs."
        return "From the weights of the map, rough numbers of the bench; no earlier job here is like it."

    @property
    def state_title(self) -> str:
        if self.state.kind == "off the list":
            return "This is going off the list"
        return "Two readings do not go together well"

    @property
    def state_sentences(self) -> tuple[str, ...]:
        """What the notice says; its title says the first sentence of a contradiction already."""
        return self.state.sentences[1:]

    @property
    def progress(self) -> str:
        """How far it is, in one line."""
        if not self.search.is_running:
            return ""
        read = count_text(len(self.thought.counted), "reading")
        return f"{read}. {self.state.sentences[0]}" if not self.is_contradictory else read

    @property
    def left_share(self) -> str:
        """The chance of the repair that is left standing."""
        terms, name = self.thought.terms, self.thought.named
        share = self.thought.belief.groups.get(terms.candidates[name].group, 0.0) if name else 0.0
        return in_100(share)

    @cached_property
    def confirm_forms(self) -> list[tuple[Confirmation, Any, list[str]]]:
        """Each confirmation with its form and the cautions above it."""
        kinds = test_kinds(one.code for one in self.confirmations)
        told = caution_texts(kinds)
        return [
            (one, self._confirm_form(one), [told[code] for code in _cautions(kinds, one) if code in told])
            for one in self.confirmations
        ]

    def _confirm_form(self, one: Confirmation) -> Any:
        if not self.may_record or one.shown_by:
            return None
        return confirm_form(self.thought, one, order=self.order, user=self.user)

    @cached_property
    def _runs(self) -> dict[str, TestRun]:
        runs = TestRun.objects.filter(order=self.order, superseded_by__isnull=True)
        return {run.ref: run for run in runs}

    @property
    def last_run(self) -> str:
        """The reading that was entered last, to be taken back in one tap."""
        return self.thought.heard[-1].run if self.thought.heard else ""

    @property
    def since_iso(self) -> str:
        """Since when the next test is under way: the last reading, else the beginning."""
        entered = [self._runs[one.run].entered_at for one in self.thought.heard if one.run in self._runs]
        latest = max((moment for moment in entered if moment), default=self.search.started_at)
        return max(latest, self.search.started_at).isoformat()

    @cached_property
    def timings(self) -> dict[str, SearchTiming]:
        return {timing.run_ref: timing for timing in self.search.timings.all()}

    @cached_property
    def route(self) -> list[RouteStep]:
        """The readings so far, in the order on the record."""
        return [self._step(place, one) for place, one in enumerate(self.thought.heard)]

    def _step(self, place: int, one: Heard) -> RouteStep:
        test, run = self.thought.terms.tests[one.test], self._runs[one.run]
        timing = self.timings.get(one.run)
        took = sum(filter(None, [timing.minutes, timing.access_minutes])) if timing else None
        return RouteStep(
            number=place + 1,
            run=one.run,
            label=test.label,
            read=test.outcome(one.outcome).label if one.outcome else "",
            why=one.why,
            minutes=minutes_text(float(took)) if took else "",
            by=run.done_by,
            at=run.done,
        )

    @cached_property
    def zones(self) -> list[ZoneView]:
        """What may be opened, with whether it stands open."""
        open_now, told = self.thought.belief.open_zones, set(self.thought.told_open)
        return [
            ZoneView(
                name,
                zone.label,
                minutes_text(zone.open_minutes + zone.close_minutes),
                is_open=name in open_now,
                is_told=name in told,
            )
            for name, zone in self.thought.terms.zones.items()
            if zone.open_minutes + zone.close_minutes > 0
        ]

    @cached_property
    def unseen(self) -> list[Card]:
        """Looks that tell whether something is fitted at all, not taken yet: one tap each."""
        done = {one.test for one in self.thought.counted}
        return [
            Card(self.thought, test)
            for test in self.thought.terms.tests
            if self.search.listens.get(test, {}).get("code") == LOOK_WHETHER_FITTED and test not in done
        ]

    @cached_property
    def routes(self) -> list[RouteBeside]:
        """The usual routes and the technician's own, set beside each other."""
        named = {**usual_routes(self.thought.problem, self.thought.history), **self._own_routes}
        if not named:
            return []
        views = self.thought.kept(
            f"routes:{named}", lambda: compare(self.thought.problem, named, self.thought.history)
        )
        return [RouteBeside(view.name, view.words, view.name in self._own_routes) for view in views]

    @property
    def _own_routes(self) -> dict[str, list[str]]:
        known = set(self.thought.terms.tests)
        kept = {name: [test for test in tests if test in known] for name, tests in self.search.routes.items()}
        return {name: tests for name, tests in kept.items() if tests}

    @property
    def map_is_newer(self) -> bool:
        drawn = self.search.circuit_map
        return drawn is not None and drawn.version != self.search.map_version

    @cached_property
    def after(self) -> After:
        """What the search teaches once it has ended."""
        return After(self.thought, self.timings)

    @cached_property
    def circuit(self) -> Circuit | None:
        return circuit_of_search(self.thought)

    @cached_property
    def marks(self) -> Marks | None:
        if self.circuit is None:
            return None
        if not self.search.is_running:
            return marks_of(self.thought, self.circuit, cause=self.after.suspect)
        return marks_of(self.thought, self.circuit, next_test=self.card.test if self.card else "")

    @property
    def refines(self) -> bool:
        """Whether the card on the screen is the first answer of one that is still to be worked out."""
        return self.search.is_running and self.thought.is_first_answer

    @property
    def card_url(self) -> str:
        return reverse("search-card", args=[self.order.pk, self.search.pk])

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


def _cautions(kinds: dict[str, Any], one: Confirmation) -> list[str]:
    return kinds[one.code].cautions if one.code in kinds else []
