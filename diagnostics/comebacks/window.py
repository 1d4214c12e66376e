"""How long after hand-over a return can count: days and distance, whichever ends first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

from diagnostics.snapshot import Location, Order

InWindow = Literal["true", "false", "unknown", "conflict"]


@dataclass(frozen=True, slots=True)
class Window:
    """Both limits are inclusive. Common practice, no source found; each location may set its own."""

    days: int = 90
    km: Decimal = Decimal(6000)


def window_of(location: Location) -> Window:
    """Return the window that a location grants its own work. [days, km]"""
    return Window(location.window_days, location.window_km)


def days_between(index: Order, later: Order) -> int | None:
    """Return the calendar days from hand-over to arrival, None before hand-over. [days]

    Below 0 the vehicle was booked in before the earlier order was handed back.
    """
    return None if index.returned is None else (later.opened.on - index.returned.on).days


def distance_km(index: Order, later: Order) -> Decimal | None:
    """Return what was driven from hand-over to arrival, None where an odometer is missing. [km]

    Exact: miles are converted by definition. Below 0 the two readings contradict each other.
    """
    arrived, left = later.odo_in_km, index.odo_out_km
    return None if arrived is None or left is None else arrived - left


def in_window(days: int | None, km: Decimal | None, window: Window) -> InWindow:
    """Say whether a return lies inside the window.

    Parameters
    ----------
    days : int or None
        From `days_between`; None is outside, since no window has begun. [days]
    km : Decimal or None
        From `distance_km`. [km]
    window : Window
        The limits; day 0 and both limits themselves are inside.

    Returns
    -------
    InWindow
        "unknown" and "conflict" only while the days are inside: outside them no distance matters.

    References
    ----------
    .. [1] practice.md section 9, window.
    """
    if days is None or not 0 <= days <= window.days:
        return "false"
    if km is None:
        return "unknown"
    if km < 0:
        return "conflict"
    return "true" if km <= window.km else "false"


def window_has_passed(returned_on: date, window: Window, as_of: date) -> bool:
    """Say whether every day of the window is over on `as_of`.

    On the window's last day a return still counts, so that day has not passed yet.
    """
    return (as_of - returned_on).days > window.days
