"""What shop asks of the rooms that build on it, without knowing them.

A room to the right registers here when it starts; shop calls inside its own transaction.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

_complaint_entered: list[Callable[..., None]] = []
_vehicles_changed: list[Callable[..., None]] = []


def on_complaint_entered(function: Callable[..., None]) -> Callable[..., None]:
    """Register `function(complaint, at=)`: the required steps of the protocol in force are set there."""
    _complaint_entered.append(function)
    return function


def on_vehicles_changed(function: Callable[..., None]) -> Callable[..., None]:
    """Register `function(vehicle_ids, at=)`: the pairs of visits are recomputed there."""
    _vehicles_changed.append(function)
    return function


def complaint_entered(complaint: Any, *, at: Any) -> None:
    """Tell that a complaint was entered."""
    for function in _complaint_entered:
        function(complaint, at=at)


def vehicles_changed(vehicle_ids: list[int], *, at: Any) -> None:
    """Tell that visits of these vehicles changed in a way that bears on returns."""
    for function in _vehicles_changed:
        function(vehicle_ids, at=at)
