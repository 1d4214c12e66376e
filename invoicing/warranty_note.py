"""The warranty note as data: what is promised on one order, until when, and how to claim."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from diagnostics.snapshot import Order, Work
from invoicing import warranty, wording
from invoicing.findings.compose import vehicle_text
from invoicing.findings.done import part_text
from invoicing.findings.sheet import Covered, Letterhead
from shared.wording import count_text, distance_text

COVERED_KINDS = ("replace", "repair", "adjust")  # Cleaning and a reset promise nothing that could fail.
_VERBS = {"replace": "replaced", "repair": "repaired", "adjust": "adjusted"}


class NothingToPromise(ValueError):
    """The order holds no work that could be warranted, or was not handed back."""


@dataclass(frozen=True, slots=True)
class Grant:
    """The promise as numbers, ready to be kept.

    `distance` is in `distance_unit`, `last_reading` in the odometer's unit; None where the odometer
    was not read at hand-over, so that the date alone counts.
    """

    starts_on: date
    months: int
    last_day: date
    distance: int
    distance_unit: str
    last_reading: int | None
    odometer_unit: str
    items: tuple[str, ...]

    @property
    def last_reading_text(self) -> str:
        """The last covered reading as printed, or an empty text."""
        return "" if self.last_reading is None else distance_text(self.last_reading, self.odometer_unit)

    @property
    def in_short(self) -> Covered:
        """Last day, last reading and items, for the findings sheet."""
        return Covered(wording.day(self.last_day), self.last_reading_text, self.items)


@dataclass(frozen=True, slots=True)
class WarrantyNote:
    """The whole note, in the order in which it is read. Only text and lists of text."""

    shop: Letterhead
    job: str
    customer: str
    vehicle: str
    vin: str
    heading: str
    starts: str
    odometer_out: str
    last_day: str
    last_reading: str
    until: str
    who: str
    promise: str
    items: tuple[str, ...]
    excluded: tuple[str, ...]
    pays: tuple[tuple[str, str], ...]
    ends_early: tuple[str, ...]
    steps: tuple[str, ...]
    rights: str
    foot: tuple[str, ...]


def grant_of(order: Order, *, months: int, distance: int, distance_unit: str) -> Grant:
    """Return what the shop promises on one order.

    Parameters
    ----------
    order : Order
        Handed back, with at least one part fitted or work done that can fail.
    months, distance, distance_unit : int, int, {'km', 'mi'}
        The shop's terms. A distance of 0 means none is set. [month], [distance_unit]

    Raises
    ------
    NothingToPromise
        If the order is open, or holds no such work, or the shop promises no months.

    References
    ----------
    paperwork.md section 6, computation 1 to 3.
    """
    if order.returned is None:
        raise NothingToPromise(
            f"Job {order.id} has not been handed back. The warranty starts on that day: hand it back first."
        )
    items = tuple(item_text(work) for work in order.work if work.kind in COVERED_KINDS)
    if not items:
        raise NothingToPromise(
            f"Nothing was fitted or repaired in job {order.id}, so there is nothing to promise."
        )
    if months < 1:
        raise NothingToPromise(
            "This shop's terms give no months of warranty. Set them on the location first."
        )
    start = order.returned.on
    reading = None
    if order.odo_out is not None and distance:
        allowance = warranty.allowance_in(distance, distance_unit, order.odo_unit)
        reading = warranty.last_reading(order.odo_out, allowance)
    return Grant(
        starts_on=start,
        months=months,
        last_day=warranty.last_day(start, months),
        distance=distance,
        distance_unit=distance_unit,
        last_reading=reading,
        odometer_unit=order.odo_unit,
        items=items,
    )


def item_text(work: Work) -> str:
    """Return one covered line: "Battery, replaced: Battery 12 V 60 Ah, new"."""
    name = wording.part_words(work.component)
    part = f": {part_text(work.part)}" if work.part else ""
    return f"{name[:1].upper()}{name[1:]}, {_VERBS[work.kind]}{part}"


def warranty_note(order: Order, grant: Grant, *, shop: Letterhead) -> WarrantyNote:
    """Return the warranty note of one order.

    Parameters
    ----------
    order : Order
        The order the grant is for.
    grant : Grant
        From `grant_of`, or as kept when the first note was issued.
    shop : Letterhead
        Who promises.

    References
    ----------
    paperwork.md section 6, "Warranty note, content", after 16 CFR 701.3; wording W-10 and W-0 of section 12.
    """
    return WarrantyNote(
        shop=shop,
        job=order.id,
        customer=order.customer.name if order.customer else "",
        vehicle=vehicle_text(order.vehicle),
        vin=order.vehicle.vin,
        heading=f"Limited warranty: {_term(grant)}",
        starts=wording.day(grant.starts_on),
        odometer_out=distance_text(order.odo_out, order.odo_unit) if order.odo_out is not None else "",
        last_day=wording.day(grant.last_day),
        last_reading=grant.last_reading_text,
        until=_until(grant),
        who="The customer named above, for the vehicle named above. It does not pass to a later owner.",
        promise=wording.W_10,
        items=grant.items,
        excluded=_EXCLUDED,
        pays=_PAYS,
        ends_early=_ENDS_EARLY,
        steps=_steps(shop),
        rights=_RIGHTS,
        foot=(wording.W_0, wording.CARE),
    )


def _term(grant: Grant) -> str:
    months = count_text(grant.months, "month")
    if grant.last_reading is None:
        return months
    return f"{months} or {distance_text(grant.distance, grant.distance_unit)}, whichever comes first"


def _until(grant: Grant) -> str:
    day = wording.day(grant.last_day)
    if grant.last_reading is None:
        return f"Covered to the end of {day}. The odometer does not count."
    return (
        f"Covered to the end of {day}, or to an odometer reading of {grant.last_reading_text}, whichever "
        "comes first. Both are inside."
    )


def _steps(shop: Letterhead) -> tuple[str, ...]:
    call = f"Call us on {shop.phone}" if shop.phone else "Call us"
    return (
        "If it is not safe to drive, stop and switch off.",
        f"{call} and say what happens. The day you tell us counts.",
        "Bring the vehicle and this note.",
        "If you are far away, call before anybody else works on it. We agree with you how it is put right.",
    )


_EXCLUDED = (
    "Parts and systems of the vehicle that are not in the list.",
    "Wear that is normal for the part, and fluids used up by driving.",
    "Damage from a crash, water, misuse, or a change made to the vehicle later.",
    "Missed maintenance, but only where it caused the fault.",
)
_PAYS = (
    ("The part", "We pay"),
    ("Fitting and other labour", "We pay"),
    ("Finding the fault, if it lies in the items listed", "We pay"),
    ("Towing, and a vehicle to use meanwhile", "You pay, unless we agree otherwise"),
)
_ENDS_EARLY = ("somebody else changes the listed work or part without asking us first.",)
_RIGHTS = (
    "This promise comes beside the rights that the law gives you. It does not limit them. You may also have "
    "other rights, which differ from place to place."
)
