"""The page of one return: both jobs, what the records show, and the forms that this person may fill."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

from diagnostics.audit.costing import COMPONENTS, Cost
from diagnostics.job.on_order import plain_name
from diagnostics.models import FollowUp, ReturnCost, ReturnReview, ReturnVisit
from diagnostics.review.codes import CODES, ESCAPE_POINTS, Code, label_of
from diagnostics.review.coding import KNOWN_STEPS
from diagnostics.review.coding_forms import CodingForm, LookForm
from diagnostics.review.cost_form import CostForm, Offer, cost_of, currency_of, offers
from diagnostics.review.forms import ReviewForm
from diagnostics.review.history import history
from diagnostics.review.people import had_a_hand
from diagnostics.review.side_by_side import SideBySide, side_by_side
from diagnostics.review.suggesting import Fact, facts
from diagnostics.review.timeline import Call, Entry, timeline
from shop.models import PartFitted


@dataclass(frozen=True, slots=True)
class Shown:
    """One code that the records speak for, with the facts."""

    code: Code
    facts: tuple[Fact, ...]

    @property
    def escape_points(self) -> str:
        """Where it was there to be seen, in words."""
        return ", ".join(dict.fromkeys(ESCAPE_POINTS[fact.escape] for fact in self.facts))


@dataclass(frozen=True, slots=True)
class Coded:
    """A coding as it is read: codes with what they rest on."""

    codes: tuple[tuple[str, tuple[str, ...], str], ...]  # label, facts, words
    escape_point: str
    known_then: tuple[tuple[str, str], ...]


class ReturnPage:
    """All that the page of one return shows to one person.

    A form that was refused is put in the place of its own: `page.form = refused`. `is_opened`: an owner who
    leaves coding apart to others.
    """

    def __init__(self, visit: ReturnVisit, user: Any, *, today: date, is_opened: bool = False) -> None:
        self.visit, self.user, self.today = visit, user, today
        self.is_opened = is_opened and user.has_role("owner")

    @cached_property
    def both(self) -> SideBySide:
        """Both jobs, link against link."""
        location = self.user.location
        return side_by_side(self.visit, unit=location.distance_unit if location else "km")

    @cached_property
    def facts(self) -> tuple[Fact, ...]:
        """What the records show, each fact with the code it speaks for."""
        both = self.both
        return facts(
            both.then.order,
            both.findings,
            both.now.order,
            name_of=lambda code: plain_name(code, both.kinds),
            batches=_batches(self.visit),
        )

    @property
    def shown(self) -> tuple[Shown, ...]:
        """The facts by code, in the order of the table of codes."""
        return tuple(
            Shown(code, of_code)
            for code in CODES.values()
            if (of_code := tuple(fact for fact in self.facts if fact.code == code.code))
        )

    @cached_property
    def timeline(self) -> tuple[Entry, ...]:
        """Both jobs as one line of days."""
        both = self.both
        names = {code: kind.name for code, kind in both.kinds.items()}
        calls = [
            Call(call.called_on, f"{call.get_kind_display()}: {call.get_outcome_display()}")
            for call in FollowUp.objects.filter(order_id=self.visit.index_order_id)
            if call.called_on <= self.visit.return_order.opened_on
        ]
        return timeline(
            both.then.order, both.now.order, name_of=names, instruments=both.instruments, calls=calls
        )

    # --- who may, and what is kept ---

    @property
    def may_decide(self) -> bool:
        """The owner says what a return was."""
        return self.user.has_role("owner")

    @cached_property
    def reviews(self) -> list[ReturnReview]:
        """The first coding and the one made apart, as far as they are there."""
        return list(self.visit.reviews.order_by("is_second"))

    @property
    def first(self) -> ReturnReview | None:
        """The coding that stands."""
        return next((review for review in self.reviews if not review.is_second), None)

    @property
    def second(self) -> ReturnReview | None:
        """The coding made apart."""
        return next((review for review in self.reviews if review.is_second), None)

    @cached_property
    def may_code_apart(self) -> bool:
        """Somebody else than the first reviewer, with no hand in either job, while nobody has done it."""
        if self.first is None or self.second is not None or self.first.reviewer == self.user.signs_as:
            return False
        if self.is_opened:
            return False
        return not had_a_hand(self.user.signs_as, self.both.then.order, self.both.now.order)

    @property
    def is_blind(self) -> bool:
        """Whether the first coding is kept out of sight: this person may still code apart."""
        return self.may_code_apart

    @property
    def history(self):
        """What was said before; not shown to somebody who still codes apart."""
        return [] if self.is_blind else history(self.visit, self.first)

    @property
    def coded(self) -> Coded | None:
        """The coding that stands, to read."""
        return None if self.first is None or self.is_blind else _coded(self.first)

    @property
    def coded_apart(self) -> Coded | None:
        """The second coding, to read."""
        return None if self.second is None else _coded(self.second)

    # --- forms ---

    @cached_property
    def form(self) -> ReviewForm | None:
        """The owner's review; out of sight for an owner who codes apart."""
        if not self.may_decide or self.is_blind:
            return None
        return self.review_form()

    def review_form(self, data: Any = None) -> ReviewForm:
        """Return the form of the review, as kept or as sent."""
        return ReviewForm(data, visit=self.visit, facts=self.facts, first=self.first)

    @cached_property
    def apart_form(self) -> CodingForm | None:
        """The form of the second coding."""
        return self.coding_form() if self.may_code_apart else None

    def coding_form(self, data: Any = None) -> CodingForm:
        """Return the form of a coding made apart, empty or as sent."""
        return CodingForm(data, facts=self.facts)

    @cached_property
    def look_form(self) -> LookForm | None:
        """The form of a look at the effect, once its day has come."""
        first = self.first
        if not self.may_decide or first is None or first.check_on is None or first.checked_on:
            return None
        if first.check_on > self.today:
            return None
        return LookForm(today=self.today)

    @cached_property
    def kept_cost(self) -> ReturnCost | None:
        """What was written of the cost."""
        return ReturnCost.objects.filter(visit=self.visit).first()

    @property
    def currency(self) -> str:
        """In which the cost is written."""
        return currency_of(self.visit, self.kept_cost)

    @cached_property
    def offers(self) -> tuple[Offer, ...]:
        """What the records say of time and rate."""
        return offers(self.visit, self.currency)

    @cached_property
    def cost_form(self) -> CostForm | None:
        """The form of the cost."""
        return CostForm(kept=self.kept_cost) if self.may_decide else None

    @property
    def cost(self) -> Cost | None:
        """What is known of the cost."""
        return cost_of(self.kept_cost) if self.kept_cost and self.may_decide else None

    @property
    def cost_rows(self) -> list[dict[str, Any]]:
        """Each part of the cost, the credit as what it takes off."""
        if self.cost is None:
            return []
        amounts = self.cost.amounts
        return [
            {"label": label, "amount": -amounts[key] if key == "credit" and amounts[key] else amounts[key]}
            for key, label in COMPONENTS.items()
        ]

    @property
    def unknown_costs(self) -> list[str]:
        """The parts of the cost that are not known, in words."""
        return [COMPONENTS[key] for key in self.cost.unknown] if self.cost else []


def _coded(review: ReturnReview) -> Coded:
    return Coded(
        codes=tuple(_rests(review, code) for code in (review.primary, *review.contributing)),
        escape_point=ESCAPE_POINTS.get(review.escape_point, review.escape_point),
        known_then=tuple(
            (words, review.known_then[link])
            for link, words in KNOWN_STEPS.items()
            if link in review.known_then
        ),
    )


def _rests(review: ReturnReview, code: str) -> tuple[str, tuple[str, ...], str]:
    rests = review.evidence.get(code, {})
    return label_of(code), tuple(text for _, text in rests.get("facts", [])), rests.get("says", "")


def _batches(visit: ReturnVisit) -> dict[str, int]:
    """Return for work of the earlier job how many other jobs with that part batch came back."""
    fitted = (
        PartFitted.objects.filter(work__order_id=visit.index_order_id).exclude(batch="").exclude(number="")
    )
    parts = list(fitted.values_list("work__ref", "number", "batch"))
    if not parts:
        return {}
    others: dict[tuple[str, str], set[int]] = {}
    rows = (
        PartFitted.objects.filter(
            number__in=[number for _, number, _ in parts],
            batch__in=[batch for _, _, batch in parts],
            work__order__returns_from_it__counts=True,
            work__order__returns_from_it__verdict=ReturnVisit.Verdict.COMEBACK,
        )
        .exclude(work__order_id=visit.index_order_id)
        .values_list("number", "batch", "work__order_id")
    )
    for number, batch, order in rows:
        others.setdefault((number, batch), set()).add(order)
    return {ref: len(others.get((number, batch), ())) for ref, number, batch in parts}
