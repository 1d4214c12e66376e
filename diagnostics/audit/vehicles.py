"""Vehicles that keep coming back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from diagnostics.audit.scope import Scope


@dataclass(frozen=True, slots=True)
class KeepsReturning:
    """One vehicle: its jobs of one system within a year, and how many of its jobs came back."""

    vehicle: int
    name: str
    systems: tuple[tuple[str, int], ...]
    comebacks: int
    last_seen: date


def keep_returning(scope: Scope) -> tuple[KeepsReturning, ...]:
    """Return the vehicles with 3 jobs of one system or 2 comebacks within a year, the newest first."""
    raise NotImplementedError
