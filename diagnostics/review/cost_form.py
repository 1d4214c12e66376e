"""The form of what one return cost. It offers what the records say and fills in nothing by itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Sum

from diagnostics.audit.costing import CENT, Cost
from diagnostics.models import ReturnCost, ReturnVisit
from shared.wording import minutes_text, money_text
from shop.models import TimeEntry

AMOUNTS = ("loaded_rate", "parts", "transport", "goodwill", "credit")
NAMES = ("minutes", *AMOUNTS)
TAKE = "take"


class AmountField(forms.DecimalField):
    """An amount of money, nothing or more; empty is not known."""

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        super().__init__(
            **{"required": False, "min_value": 0, "max_digits": 9, "decimal_places": 2, "widget": widget}
            | kwargs,
            error_messages={
                "invalid": "Write an amount such as 42.50, without a currency sign.",
                "min_value": "Write an amount of nothing or more; a credit has its own field.",
                "max_decimal_places": "Write at most two decimals, such as 42.50.",
                "max_digits": "That is more than a return can cost. Check the amount.",
                "max_whole_digits": "That is more than a return can cost. Check the amount.",
            },
        )

    def clean(self, value: Any) -> Decimal | None:
        amount = super().clean(value)
        return None if amount is None else amount.quantize(CENT)


@dataclass(frozen=True, slots=True)
class Offer:
    """A value from the records that can be taken over: which field, the value, and who says so."""

    key: str
    field: str
    value: str
    text: str


class CostForm(forms.Form):
    """What this return cost the shop. Each part may stay unknown."""

    use_required_attribute = False

    minutes = forms.IntegerField(
        label="Minutes nobody can bill",
        required=False,
        min_value=0,
        max_value=100_000,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={
            "invalid": "Write whole minutes, such as 95.",
            "min_value": "Minutes cannot be below 0.",
            "max_value": "That is more than two months of one person. Check the minutes.",
        },
    )
    loaded_rate = AmountField(label="An hour costs the shop")
    parts = AmountField(label="Parts and consumables not recovered")
    transport = AmountField(label="Loan vehicle and transport")
    goodwill = AmountField(label="Goodwill given")
    credit = AmountField(label="Supplier credit", help_text="It is taken off.")
    note = forms.CharField(
        label="Note", required=False, max_length=1000, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, data: Any = None, *, kept: ReturnCost | None = None, typed: Any = None):
        initial = {name: getattr(kept, name) for name in (*NAMES, "note")} if kept else {}
        super().__init__(data, initial=initial | dict(typed or {}), auto_id="cost_%s")
        self.kept = kept

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        is_empty = all(cleaned.get(name) is None for name in NAMES) and not cleaned.get("note")
        if is_empty and not self.errors and self.kept is None:
            raise ValidationError("Write at least one amount. What is not known stays empty.", code="empty")
        return cleaned

    @property
    def amounts(self) -> dict[str, Decimal | int | None]:
        """What was typed, None where nothing was."""
        return {name: self.cleaned_data[name] for name in NAMES}


def taken(data: Mapping[str, str], offers: tuple[Offer, ...]) -> dict[str, str]:
    """Return what was typed with the offer that was taken in its place."""
    values = {name: data.get(name, "") for name in (*NAMES, "note")}
    for offer in offers:
        if offer.key == data.get(TAKE):
            values[offer.field] = offer.value
    return values


def currency_of(visit: ReturnVisit, kept: ReturnCost | None) -> str:
    """The currency in which a return's cost is written: the shop's, or the one it was begun in."""
    return kept.currency if kept else visit.return_order.location.currency


def cost_of(row: ReturnCost) -> Cost:
    """Return a stored cost as plain values."""
    return Cost(row.minutes, row.loaded_rate, row.parts, row.transport, row.goodwill, row.credit)


def offers(visit: ReturnVisit, currency: str) -> tuple[Offer, ...]:
    """Return what the records say of the time and the rate."""
    order = visit.return_order
    found = []
    entered = TimeEntry.objects.filter(order=order).aggregate(total=Sum("minutes"))["total"]
    if order.unbilled_minutes is not None:
        text = f"The order says {minutes_text(order.unbilled_minutes)} not billed"
        found.append(Offer("order", "minutes", str(order.unbilled_minutes), text))
    if entered:
        text = f"The time entries of job {order.number} say {minutes_text(entered)} worked"
        found.append(Offer("entries", "minutes", str(entered), text))
    rate = order.location.loaded_rate
    if rate is not None and order.location.currency == currency:
        text = f"The settings say {money_text(rate, currency)} an hour"
        found.append(Offer("rate", "loaded_rate", str(rate), text))
    return tuple(found)
