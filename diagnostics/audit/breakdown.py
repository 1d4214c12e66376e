"""The comeback rate by one field: systems, parts, batches, steps, months ... By name, never by rate."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from diagnostics.audit.scope import Scope
from diagnostics.statistics.proportions import Proportion

Place = Literal["too few", "within", "outside 95", "outside 99.9"]


@dataclass(frozen=True, slots=True)
class Limits:
    """How far chance alone carries a share of so many jobs from that of all: 95 % and 99.9 %. Shares."""

    low: float
    high: float
    far_low: float
    far_high: float


@dataclass(frozen=True, slots=True)
class Field:
    """One way to break the jobs down.

    is_many : whether a job can stand in several rows.
    owner_only : whether it names persons.
    """

    key: str
    label: str
    is_many: bool = False
    owner_only: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """Jobs alike in one field, and how many of them came back.

    query : the parameters of the page of the jobs behind it.
    """

    key: str
    label: str
    share: Proportion | None
    too_few: bool
    limits: Limits | None
    query: Mapping[str, str]

    @property
    def place(self) -> Place:
        """Where it lies in the limits of chance."""
        if self.too_few or self.share is None or self.limits is None:
            return "too few"
        if not self.limits.far_low <= self.share.share <= self.limits.far_high:
            return "outside 99.9"
        return "within" if self.limits.low <= self.share.share <= self.limits.high else "outside 95"

    @property
    def is_out(self) -> bool:
        """Whether it lies beyond the outer limits."""
        return self.place == "outside 99.9"


BY: dict[str, Field] = {
    field.key: field
    for field in (
        Field("location", "Shop"),
        Field("system", "System"),
        Field("symptom", "Symptom"),
        Field("pattern", "Always or now and then"),
        Field("component", "Component at fault", is_many=True),
        Field("condition", "Condition of the part", is_many=True),
        Field("supplier", "Supplier of the part", is_many=True),
        Field("batch", "Part number and batch", is_many=True),
        Field("outcome", "Handed back as"),
        Field("chain", "Chain of proof"),
        Field("step", "Required step", is_many=True),
        Field("month", "Month of hand-over"),
        Field("vehicle_age", "Age of the vehicle"),
        Field("technician", "Technician", owner_only=True),
    )
}


def breakdown(scope: Scope, by: str) -> tuple[Row, ...]:
    """Return the rate of the jobs whose window has run, by one field of `BY`, in the order of the labels."""
    raise NotImplementedError
