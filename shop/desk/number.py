"""What the desk is told about a vehicle's number, with years and names to take over. It refuses nothing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from shop.models import Vehicle
from shop.vin.decoding import Decoded, decode
from shop.vin.entry import oddities, suggestion
from shop.vin.words import Said, said

LONGEST_NUMBER = 100


@dataclass(frozen=True, slots=True)
class AboutNumber:
    """What was typed oddly, what was likely meant, what the number says, and what the data know of it."""

    odd: tuple[str, ...]
    meant: str
    said: Said | None
    decoded: Decoded | None
    year_differs: bool = False


def about_number(text: str, *, at: datetime) -> AboutNumber | None:
    """Return what there is to say about a number as typed; none where nothing was typed."""
    if not text.strip():
        return None
    odd = tuple(oddity.sentence for oddity in oddities(text))
    # The models of a year come to market in the year before.
    return AboutNumber(odd, suggestion(text), said(text, latest=at.year + 1), decode(text))


def about_vehicle(vehicle: Vehicle, *, at: datetime) -> AboutNumber | None:
    """Return what the number of a vehicle on record says; the data are asked only where a field is empty."""
    what = said(vehicle.vin, latest=at.year + 1)
    if what is None:
        return None
    is_described = vehicle.make and vehicle.model and vehicle.engine and vehicle.year
    differs = bool(vehicle.year and what.years and vehicle.year not in what.years)
    return AboutNumber((), "", what, None if is_described else decode(vehicle.vin), differs)
