"""What Quarry Road Garage made of its returns: reviews, second codings and costs, for the stories first.

The exchange form has no place for them. They are written by the ordinary acts, so that the demo can hold
nothing that a shop could not write.
"""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from diagnostics import watching
from diagnostics.demo.people import ADVISOR, OWNER
from diagnostics.models import ReturnReview, ReturnVisit
from diagnostics.review import acts
from diagnostics.review.coding import Change, Coding, Rests
from diagnostics.review.page import ReturnPage
from diagnostics.review.people import had_a_hand
from diagnostics.review.suggesting import Fact
from shop.models import StaffMember

RATE = Decimal("58.00")
"""What an hour costs the shop; an invented figure."""
REVIEWED, NEWEST_WAITING = 30, 9
"""So many ordinary returns are reviewed; the newest wait, as in a shop that is a fortnight behind."""
APART = 14
SEED = 41
WAITED_AT_MOST = 45
LONG_AGO = {
    "comeback": (("confirmed", "unrelated", "undetermined"), (84, 11, 5)),
    "needs_review": (("unrelated", "confirmed", "undetermined"), (78, 17, 5)),
}
"""How returns of long ago were decided, by their verdict, in a hundred."""
ESCAPES = {"D": "test choice", "V": "trial", "S": "intake", "I": "hand-over", "P": "fitting", "W": "fitting"}
OTHERS = {"D1": "D4", "D4": "D1", "V3": "V2", "D7": "D1", "V1": "V3", "D5": "D4", "D3": "D1"}
"""What a second reader of the same records might choose instead."""


@dataclass(frozen=True, slots=True)
class Told:
    """The review of one story. `due_in` and `look_in` count days from the day the vehicle came back."""

    story: str
    codes: tuple[str, ...]
    escape: str
    says: str
    note: str
    kind: str
    change: str
    owner: str
    due_in: int
    look_in: int
    known: Mapping[str, str]
    costs: Mapping[str, int | Decimal | None]
    saw: str = ""
    is_coded_apart: bool = True


STORIES = (
    Told(
        "warm_air.return",
        ("D1", "D5"),
        "test choice",
        "The leak search would have taken an hour. The gas was weighed in and the loss called normal.",
        "A system that was low has leaked somewhere. Filling it is no repair.",
        "protocol",
        "The leak search is a critical step before any refrigerant is filled.",
        OWNER,
        10,
        45,
        {"measured": "The charge was 140 g low, and nobody asked where it went."},
        {"minutes": 190, "loaded_rate": RATE, "parts": Decimal("61.40"), "transport": Decimal("0.00"),
         "goodwill": Decimal("25.00"), "credit": Decimal("0.00")},
        "Four air conditioning jobs since, each with a leak search. Too few to tell.",
    ),
    Told(
        "wet_misfire.return",
        ("V2", "D1"),
        "trial",
        "It misfired in the wet. It was tried dry, with the code reader connected.",
        "The trial has to be the complaint's own: wet, and unplugged.",
        "wording",
        "The desk asks when and in which weather, and writes it into the complaint.",
        ADVISOR,
        7,
        60,
        {"reported": "The customer had said: only in the rain.", "proved": "It was sunny all week."},
        {"minutes": 125, "loaded_rate": RATE, "parts": Decimal("27.50"), "transport": None,
         "goodwill": Decimal("0.00"), "credit": None},
        is_coded_apart=False,
    ),
    Told(
        "charge_cable.return",
        ("D4", "D1"),
        "isolation",
        "The alternator was replaced with the cable never measured. The drop takes ten minutes.",
        "A second suspect was written down and left open.",
        "protocol",
        "Both charge drops stand before the alternator is named.",
        OWNER,
        9,
        20,
        {"cause": "The charge cable was on the list of suspects."},
        {"minutes": 112, "loaded_rate": RATE, "parts": Decimal("42.00"), "transport": Decimal("18.00"),
         "goodwill": None, "credit": Decimal("96.00")},
    ),
)  # fmt: skip


def put_on_record(story_orders: Mapping[str, str], *, at: datetime) -> None:
    """Write the reviews of the demo: the stories', then ordinary returns with codes from their facts."""
    owner = StaffMember.objects.get(signs_as=OWNER)
    for told in STORIES:
        _tell(told, story_orders[told.story], owner, at)
    _ordinary(set(story_orders.values()), owner, at)
    _long_ago(owner, at)


def _long_ago(owner: StaffMember, at: datetime) -> None:
    """The older returns were decided when they came, before the shop kept codes."""
    rng = random.Random(SEED)
    waiting = ReturnVisit.objects.filter(
        state="unreviewed",
        exclusion="",
        verdict__in=LONG_AGO,
        return_order__opened_on__lt=at.date() - timedelta(days=WAITED_AT_MOST),
    )
    decided: dict[str, list[int]] = defaultdict(list)
    for pk, verdict in waiting.order_by("pk").values_list("pk", "verdict"):
        states, shares = LONG_AGO[verdict]
        decided[rng.choices(states, shares)[0]].append(pk)
    for state, pks in decided.items():
        ReturnVisit.objects.filter(pk__in=pks).update(state=state, reviewed_by=owner.signs_as, reviewed_at=at)
    chosen = ReturnVisit.objects.filter(pk__in=[pk for pks in decided.values() for pk in pks])
    watching.refresh(chosen.values_list("index_order__vehicle", flat=True).distinct(), at=at)


def _tell(told: Told, number: str, owner: StaffMember, at: datetime) -> None:
    visit = _visits().filter(return_order__number=number).first()
    if visit is None:
        return
    page = ReturnPage(visit, owner, today=at.date())
    came = visit.return_order.opened_on
    change = Change(
        told.kind,
        told.change,
        told.owner,
        came + timedelta(days=told.due_in),
        came + timedelta(days=told.look_in),
    )
    coding = _coding(told.codes, told.escape, page.facts, says=told.says)
    coding = replace(coding, known_then=told.known, change=change)
    _decide(visit, "confirmed", coding, owner, at, note=told.note)
    acts.keep_cost(visit, told.costs, currency="GBP", note="", by=owner, at=at)
    if told.saw:
        review = ReturnReview.objects.get(visit=visit, is_second=False)
        acts.keep_look(review, said=told.saw, on=at.date(), by=owner)
    if told.is_coded_apart:
        _code_apart(page, coding, at)


def _ordinary(told: set[str], owner: StaffMember, at: datetime) -> None:
    rng = random.Random(SEED)
    returns = _visits().filter(verdict="comeback", return_order__returned_on__isnull=False)
    newest = list(returns.exclude(return_order__number__in=told).order_by("-return_order__opened_on", "-pk"))
    for place, visit in enumerate(newest[NEWEST_WAITING : NEWEST_WAITING + REVIEWED]):
        page = ReturnPage(visit, owner, today=at.date())
        coding = _weighed(page.facts, rng)
        state = "undetermined" if coding.primary == "U1" else "confirmed"
        _decide(visit, state, coding, owner, at)
        if rng.random() < 0.8:
            acts.keep_cost(visit, _costs(visit, rng), currency="GBP", note="", by=owner, at=at)
        if place < APART:
            _code_apart(page, _read_again(coding, page.facts, rng), at)


def _weighed(facts: Sequence[Fact], rng: random.Random) -> Coding:
    """A code for which the records speak; where they speak for none, it cannot be told."""
    codes = list(dict.fromkeys(fact.code for fact in facts if fact.code != "U1"))
    if not codes:
        return _coding(("U1",), "test choice", facts, says="Nothing on record tells the one from the other.")
    chosen = rng.sample(codes, k=min(len(codes), rng.choice((1, 1, 2))))
    escape = next(fact.escape for fact in facts if fact.code == chosen[0])
    return _coding(tuple(chosen), escape, facts)


def _read_again(coding: Coding, facts: Sequence[Fact], rng: random.Random) -> Coding:
    """What a second reader chose: mostly the same, sometimes the neighbour of it."""
    if rng.random() < 0.72:
        return coding
    code = OTHERS.get(coding.primary, "U1")
    return _coding((code,), ESCAPES.get(code[0], "isolation"), facts, says="As I read the same records.")


def _coding(codes: tuple[str, ...], escape: str, facts: Sequence[Fact], *, says: str = "") -> Coding:
    evidence = {}
    for place, code in enumerate(codes):
        cited = tuple((fact.key, fact.text) for fact in facts if fact.code == code)
        words = says if place == 0 or not cited else ""
        evidence[code] = Rests(cited, words)
    return Coding(codes[0], escape, codes[1:], evidence)


def _costs(visit: ReturnVisit, rng: random.Random) -> dict[str, Any]:
    """What the owner found in the books: the time nearly always, the rest more seldom."""
    minutes = visit.return_order.unbilled_minutes or 15 * rng.randint(2, 9)
    return {
        "minutes": minutes,
        "loaded_rate": RATE,
        "parts": _maybe(rng, 0.7, 0, 140),
        "transport": _maybe(rng, 0.5, 0, 35),
        "goodwill": _maybe(rng, 0.6, 0, 40),
        "credit": _maybe(rng, 0.5, 0, 0),
    }


def _maybe(rng: random.Random, share: float, low: int, high: int) -> Decimal | None:
    """An amount in half pounds for this share of the returns; of the others it is not known."""
    amount = Decimal(rng.randint(2 * low, 2 * high)) / 2
    return amount.quantize(Decimal("0.01")) if rng.random() < share else None


def _decide(
    visit: ReturnVisit, state: str, coding: Coding, owner: StaffMember, at: datetime, note: str = ""
) -> None:
    acts.decide(visit, state=state, note=note, coding=coding, by=owner, at=at)


def _code_apart(page: ReturnPage, coding: Coding, at: datetime) -> None:
    """Have a technician with no hand in either job code it apart, where there is one."""
    both = page.both
    for person in StaffMember.objects.filter(is_technician=True, is_owner=False).order_by("signs_as"):
        if not had_a_hand(person.signs_as, both.then.order, both.now.order):
            acts.code_apart(page.visit, replace(coding, change=Change()), by=person, at=at)
            return


def _visits():
    return ReturnVisit.objects.filter(counts=True).select_related(
        "index_order", "return_order__vehicle", "return_order__location"
    )
