"""One field that finds a vehicle, a customer or a job."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Count, F, Max, Q, Value
from django.db.models.functions import Replace

from shop.models import Customer, RepairOrder, Vehicle
from shop.vin import clean_vin

MOST_RESULTS = 20
FEWEST_PHONE_DIGITS = 4
FEWEST_DIGITS_OF_A_PHONE = 6  # A plate of digits alone is shorter. Common practice, no source found.
VIN_LENGTH = 17  # ISO 3779.


@dataclass(frozen=True, slots=True)
class Found:
    """What one search found; `is_cut` where there is more than is shown."""

    vehicles: list[Vehicle]
    customers: list[Customer]
    orders: list[RepairOrder]

    @property
    def is_empty(self) -> bool:
        """Whether nothing was found."""
        return not (self.vehicles or self.customers or self.orders)

    @property
    def is_cut(self) -> bool:
        """Whether a list is as long as it may be."""
        return MOST_RESULTS in (len(self.vehicles), len(self.customers))


def entered_as(text: str) -> dict[str, str]:
    """Return which field of a new job a text that found nothing belongs to: VIN, phone, plate or name."""
    text = " ".join(text.split())
    digits = sum(letter.isdigit() for letter in text)
    if len(clean_vin(text)) == VIN_LENGTH and digits:
        return {"vin": clean_vin(text)}
    if digits >= FEWEST_DIGITS_OF_A_PHONE and not any(letter.isalpha() for letter in text):
        return {"phone": text}
    return {"plate": text.upper()} if digits else {"name": text}


def find(text: str) -> Found:
    """Return vehicles by plate, VIN, keeper or model; customers by name or phone; a job by number."""
    text = " ".join(text.split())
    if not text:
        return Found([], [], [])
    customers = Customer.objects.filter(_customer(text)).annotate(order_count=Count("orders"))
    return Found(
        vehicles=list(vehicles_like(text)[:MOST_RESULTS]),
        customers=list(customers.order_by("name", "pk")[:MOST_RESULTS]),
        orders=list(RepairOrder.objects.filter(number__iexact=text).with_people()[:1]),
    )


def vehicles_like(text: str):
    """Return the vehicles that a text may mean, last seen first."""
    packed = text.replace(" ", "")
    by_plate = Q(packed_plate__icontains=packed)
    by_vin = Q(vin__contains=clean_vin(text)) if len(packed) >= FEWEST_PHONE_DIGITS else Q()
    by_model = Q(make__icontains=text) | Q(model__icontains=text)
    return (
        Vehicle.objects.annotate(packed_plate=Replace("plate", Value(" "), Value("")))
        .filter(by_plate | by_vin | by_model | _customer(text, "keeper__"))
        .select_related("keeper")
        .annotate(last_opened_on=Max("orders__opened_on"), order_count=Count("orders"))
        .order_by(F("last_opened_on").desc(nulls_last=True), "pk")
    )


def _customer(text: str, prefix: str = "") -> Q:
    words = Q()
    for word in text.split():
        words &= Q(**{f"{prefix}name__icontains": word})
    digits = "".join(character for character in text if character.isdigit())
    if len(digits) < FEWEST_PHONE_DIGITS:
        return words
    # Phone numbers are kept as written; the digits match with one blank or hyphen anywhere between.
    return words | Q(**{f"{prefix}phone__regex": "[^0-9]*".join(digits[-9:])})
