"""The calls of one page: whom to call, what to ask, what was found. A constant number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import QuerySet

from diagnostics.calls import asking
from diagnostics.models import Cause, FollowUp, WatchedJob
from shop.models import Complaint, DeclinedItem, RepairOrder

Kind = FollowUp.Kind


@dataclass(frozen=True, slots=True)
class Call:
    """One call: whom, about what, and what was said before. `due` is None where it is not due."""

    order: RepairOrder
    kind: str
    subject: str
    due: date | None
    ask: str
    found: tuple[str, ...]
    why: str
    earlier: tuple[FollowUp, ...]

    @property
    def kind_words(self) -> str:
        """What the call is about, in words."""
        return str(Kind(self.kind).label)

    @property
    def name(self) -> str:
        """The customer, or that none is known."""
        return str(self.order.customer) if self.order.customer else "customer not known"

    @property
    def phone(self) -> str:
        """The number to call; empty where none is on record."""
        return self.order.customer.phone if self.order.customer else ""

    @property
    def reach(self) -> str:
        """How the customer is best reached, where they said so."""
        return self.order.customer.reach if self.order.customer else ""


@dataclass(frozen=True, slots=True)
class _Read:
    orders: Mapping[int, RepairOrder]
    complaints: Mapping[tuple[int, str], Complaint]
    declined: Mapping[tuple[int, str], DeclinedItem]
    causes: Mapping[tuple[int, str], list[Cause]]
    links: Mapping[int, str]
    calls: Mapping[tuple[int, str, str], list[FollowUp]]


def calls_of(rows: Iterable[Mapping[str, Any]]) -> list[Call]:
    """Return the calls of some rows of `calls_due`, in their order."""
    rows = list(rows)
    read = _read({row["order"] for row in rows})
    return [_call(read, row["order"], row["about"], row["subject"], row["due"]) for row in rows]


def call_about(order_pk: int, kind: str, subject: str, due: date | None = None) -> Call | None:
    """Return one call, due or not; None where the order has nothing of that id."""
    read = _read({order_pk})
    known = read.declined if kind == Kind.DECLINED else read.complaints
    if order_pk not in read.orders or (order_pk, subject) not in known:
        return None
    return _call(read, order_pk, kind, subject, due)


def _read(pks: set[int]) -> _Read:
    orders = RepairOrder.objects.filter(pk__in=pks).select_related("customer", "vehicle", "location")
    causes, calls = defaultdict(list), defaultdict(list)
    for cause in Cause.objects.filter(order__in=pks):
        causes[cause.order_id, cause.complaint_ref].append(cause)
    for call in FollowUp.objects.filter(order__in=pks):
        calls[call.order_id, call.kind, call.subject].append(call)
    return _Read(
        orders={order.pk: order for order in orders},
        complaints=_by_ref(Complaint.objects.filter(order__in=pks)),
        declined=_by_ref(DeclinedItem.objects.filter(order__in=pks)),
        causes=causes,
        links=dict(WatchedJob.objects.filter(pk__in=pks).values_list("pk", "chain_link")),
        calls=calls,
    )


def _by_ref(records: QuerySet) -> dict[tuple[int, str], Any]:
    return {(record.order_id, record.ref): record for record in records}


def _call(read: _Read, pk: int, kind: str, subject: str, due: date | None) -> Call:
    order, causes = read.orders[pk], read.causes.get((pk, subject), [])
    if kind == Kind.DECLINED:
        item = read.declined[pk, subject]
        told = item.informed_on
        ask = asking.ask_declined(item.component, order.returned_on)
        why = "the customer was told of it then" if told else "nobody wrote down that the customer was told"
        found = [item.component]
    else:
        complaint = read.complaints[pk, subject]
        found = [", ".join(filter(None, [cause.component, cause.mode])) for cause in causes]
        if kind == Kind.TRIAL_PLAN:
            ask = asking.ask_trials(complaint.text, complaint.plan_n or 0, complaint.plan_conditions)
            why = "the trials were left to the customer"
        else:
            ask = asking.ask_unproved(complaint.text, order.returned_on)
            why = asking.not_proved(read.links.get(pk, ""))
    earlier = tuple(read.calls.get((pk, kind, subject), ()))
    return Call(order, str(kind), subject, due, ask, tuple(found), why, earlier)
