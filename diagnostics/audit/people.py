"""Comebacks of technicians and shops against what the mix of their jobs lets expect. Never a ranking."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from diagnostics.audit.breakdown import Limits, Place
from diagnostics.audit.scope import Scope
from diagnostics.statistics.funnel import Overdispersion
from diagnostics.statistics.proportions import Proportion
from diagnostics.statistics.ratios import Ratio

Of = Literal["technician", "location"]


@dataclass(frozen=True, slots=True)
class Unit:
    """One technician or shop. Below the fewest jobs to compare there are counts and nothing else.

    expected : comebacks that the shop's rates of such jobs let expect.
    ratio : comebacks over expected, with exact Poisson limits.
    adjusted, low, high : that ratio times the rate of the shop, with its limits. Shares.
    shrunk, weight_own : the rate drawn towards the shop's as far as few jobs ask, and how much own jobs weigh.
    limits : of the ratio, by chance alone; 1 is the shop.
    without_own : whether own jobs were left out of what is expected.
    """

    id: str
    label: str
    eligible: int
    comebacks: int
    expected: float | None
    share: Proportion | None
    ratio: Ratio | None
    adjusted: float | None
    low: float | None
    high: float | None
    shrunk: float | None
    weight_own: float | None
    limits: Limits | None
    flag: Place
    without_own: bool = False


@dataclass(frozen=True, slots=True)
class FunnelLine:
    """The limits of the ratio where so many comebacks are expected."""

    expected: float
    limits: Limits


@dataclass(frozen=True, slots=True)
class People:
    """All technicians, or all shops, in the order of their names.

    whole : the rate of all; None of no job.
    spread : how much more they differ than chance makes them; the limits are widened by it where `widened`.
    """

    of: Of
    rows: tuple[Unit, ...]
    whole: Proportion | None
    spread: Overdispersion
    widened: bool
    lines: tuple[FunnelLine, ...]
    fewest: int
    adjusted_for: tuple[str, ...]
    not_adjusted_for: tuple[str, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class Own:
    """A technician's own figure, without anybody else's. Below the fewest jobs `unit` has counts only."""

    unit: Unit
    whole: Proportion | None
    fewest: int
    sentence: str


def people(scope: Scope, of: Of = "technician") -> People:
    """Return the technicians, or the shops, of the jobs whose window has run.

    A comeback is counted to who did the job that was come back from, not to who took the vehicle back.
    """
    raise NotImplementedError


def own(scope: Scope, technician: str) -> Own:
    """Return one technician's own figure."""
    raise NotImplementedError
