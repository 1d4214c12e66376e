"""How each list of an order's snapshot lies in its table: one description for reading and writing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, fields
from typing import Any

from django.db import models
from django.db.models import Q

from diagnostics import models as records
from diagnostics import snapshot
from shared.moments import Moment
from shop import models as shop


@dataclass(frozen=True, slots=True)
class Columns:
    """The columns that keep one value of the snapshot, and the way there and back."""

    names: tuple[str, ...]
    read: Callable[..., Any] | None = None  # None: the value itself
    write: Callable[[Any], tuple[Any, ...]] | None = None
    is_elsewhere: bool = False  # In another table, whose rows are written on their own.


def plain(name: str) -> Columns:
    return Columns((name,))


def choice(name: str) -> Columns:
    """A choice that may be open: None in the snapshot, an empty text in the column."""
    return Columns((name,), lambda value: value or None, lambda value: (value or "",))


def moment(name: str) -> Columns:
    return Columns(
        (f"{name}_on", f"{name}_at"),
        lambda on, at: None if on is None else Moment(on, at),
        lambda value: (value.on, value.instant) if value else (None, None),
    )


def texts(name: str) -> Columns:
    """A list of texts, or None for one that was never written."""
    return Columns(
        (name,),
        lambda value: None if value is None else tuple(value),
        lambda value: (None if value is None else list(value),),
    )


def marked(flag: str, made: type[Any], *names: str) -> Columns:
    """A value of its own whose presence one column marks: its texts may all be empty."""
    attributes = tuple(part.name for part in fields(made))
    return Columns(
        (flag, *names),
        lambda present, *values: made(*values) if present else None,
        lambda value: (
            (False, *[""] * len(names))
            if value is None
            else (True, *[getattr(value, attribute) for attribute in attributes])
        ),
    )


PLAN = Columns(
    ("plan_n", "plan_conditions"),
    lambda n, conditions: None if n is None else snapshot.TrialPlan(n, conditions),
    lambda plan: (plan.n, plan.conditions) if plan else (None, ""),
)
PHASES = Columns(
    ("phases",),
    lambda phases: tuple(snapshot.Phase(**phase) for phase in phases),
    lambda phases: (
        [{"condition": phase.condition, "present": phase.present, "n": phase.n} for phase in phases],
    ),
)
PART_COLUMNS = {
    "description": plain("description"),
    "number": plain("number"),
    "quantity": plain("quantity"),
    "condition": choice("condition"),
    "supplier": plain("supplier"),
    "batch": plain("batch"),
}
PART = Columns(
    ("part__pk", *[f"part__{name}" for name in PART_COLUMNS]),
    lambda pk, description, number, quantity, condition, supplier, batch: (
        None
        if pk is None
        else snapshot.Part(description, number, quantity, condition or None, supplier, batch)
    ),
    is_elsewhere=True,
)


# Keys of the records that a list lies in, or the query that gives them.
Parents = Iterable[int] | models.QuerySet[Any]


@dataclass(frozen=True, slots=True)
class Rows:
    """One list of the snapshot and its table, in the order of the record."""

    name: str
    made: type[Any]
    model: type[models.Model]
    columns: Mapping[str, Columns]
    parent: str = "order"
    only: Q = field(default_factory=Q)

    def load(self, parent_pks: Parents, **more: Callable[[int], Any]) -> dict[int, list[Any]]:
        """Return the values by parent, from one query; `more` adds attributes by the row's own key."""
        as_they_are, made_of = self._read_in_order()
        names = [*as_they_are.values(), *[name for _, columns in made_of for name in columns.names]]
        found: dict[int, list[Any]] = {}
        for row in self._select(parent_pks, names):
            given = dict(zip(as_they_are, row[2:], strict=False))
            start = 2 + len(as_they_are)
            for attribute, columns in made_of:
                end = start + len(columns.names)
                given[attribute] = columns.read(*row[start:end])
                start = end
            for attribute, look_up in more.items():
                given[attribute] = look_up(row[1])
            found.setdefault(row[0], []).append(self.made(**given))
        return found

    def keys(self, parent_pks: Parents) -> dict[tuple[int, int], int]:
        """Return the key of each row by its parent and place."""
        chosen = self._chosen(parent_pks).values_list(f"{self.parent}_id", "position", "pk")
        return {(parent, place): pk for parent, place, pk in chosen}

    @property
    def written_columns(self) -> list[str]:
        """The columns of this table, in the order of `written`."""
        return [name for part in self.columns.values() if not part.is_elsewhere for name in part.names]

    def written(self, value: Any) -> list[Any]:
        """Return what the columns keep of one value."""
        kept: list[Any] = []
        for attribute, columns in self.columns.items():
            if columns.is_elsewhere:
                continue
            if columns.write is None:
                kept.append(getattr(value, attribute))
            else:
                kept += columns.write(getattr(value, attribute))
        return kept

    def _select(self, parent_pks: Parents, names: list[str]) -> Any:
        parent = f"{self.parent}_id"
        return self._chosen(parent_pks).order_by(parent, "position", "pk").values_list(parent, "pk", *names)

    def _chosen(self, parent_pks: Parents) -> models.QuerySet[Any]:
        chosen = parent_pks if isinstance(parent_pks, models.QuerySet) else list(parent_pks)
        return self.model.objects.filter(self.only, **{f"{self.parent}_id__in": chosen})

    def _read_in_order(self) -> tuple[dict[str, str], list[tuple[str, Columns]]]:
        """Return the column of each attribute that is a column as it is, and the columns of the others."""
        as_they_are = {name: part.names[0] for name, part in self.columns.items() if part.read is None}
        return as_they_are, [(name, part) for name, part in self.columns.items() if part.read is not None]


def _same(*names: str) -> dict[str, Columns]:
    return {name: plain(name) for name in names}


COMPLAINTS = Rows(
    "complaints",
    snapshot.Complaint,
    shop.Complaint,
    {
        "id": plain("ref"),
        **_same("kind", "text", "system", "symptom", "component", "difficulty"),
        "pattern": choice("pattern"),
        "plan": PLAN,
    },
)
INSIDE_COMPLAINT = (
    Rows(
        "attempts",
        snapshot.Attempt,
        records.Attempt,
        {"on": moment("done"), **_same("outcome", "conditions", "n", "k", "equipment_connected")},
        parent="complaint",
    ),
    Rows(
        "required",
        snapshot.RequiredStep,
        records.RequiredStep,
        {
            **_same("code", "phase", "critical"),
            "waiver": marked(
                "is_waived",
                snapshot.Waiver,
                "waiver_reason",
                "waiver_by",
                "waiver_approved_by",
                "waiver_assumption",
            ),
        },
        parent="complaint",
    ),
    Rows(
        "suspects",
        snapshot.Suspect,
        records.Suspect,
        {**_same("component", "state"), "evidence": texts("evidence")},
        parent="complaint",
    ),
)
TESTS = Rows(
    "tests",
    snapshot.Test,
    records.TestRun,
    {
        "id": plain("ref"),
        **_same("code", "phase", "kind", "point", "value", "unit", "lo", "hi", "limit_unit", "observation"),
        **_same("info_only", "isolates", "repeatable", "status"),
        "on": moment("done"),
        "complaint": plain("complaint_ref"),
        "result": choice("result"),
        "instrument": plain("instrument_ref"),
        "by": plain("done_by"),
        "entered_on": moment("entered"),
        "disposition": marked("is_disposed", snapshot.SignedReason, "disposition_reason", "disposition_by"),
    },
    only=Q(superseded_by__isnull=True),
)
WORK_COLUMNS = {
    "id": plain("ref"),
    **_same("kind", "component", "reason", "safety", "note", "failure_analysis"),
    "on": moment("done"),
    "complaint": plain("complaint_ref"),
    "cause": plain("cause_ref"),
    "evidence": texts("evidence"),
    "by": plain("done_by"),
}
WORK = Rows("work", snapshot.Work, shop.WorkItem, {**WORK_COLUMNS, "part": PART})
PARTS = Rows("part", snapshot.Part, shop.PartFitted, PART_COLUMNS, parent="work")
DISTURBED = Rows("disturbed", str, shop.DisturbedComponent, {})
# What a comparison of two visits needs, besides complaints, work and disturbed components.
FOR_COMPARISON = (
    Rows(
        "causes",
        snapshot.Cause,
        records.Cause,
        {
            "id": plain("ref"),
            "complaint": plain("complaint_ref"),
            **_same("component", "statement", "mode"),
            "evidence": texts("evidence"),
        },
    ),
    Rows(
        "declined",
        snapshot.Declined,
        shop.DeclinedItem,
        {
            "id": plain("ref"),
            **_same("component", "risk", "system", "symptom", "informed_on", "follow_up_on"),
            "test": plain("test_ref"),
        },
    ),
    Rows(
        "planned_return",
        snapshot.PlannedReturn,
        shop.PlannedReturn,
        {"id": plain("ref"), **_same("recorded_on", "due_on", "reason", "system")},
    ),
    Rows(
        "outside_events",
        snapshot.OutsideEvent,
        shop.OutsideEvent,
        {**_same("kind", "system", "evidence"), "on": plain("happened_on")},
    ),
)
OTHERS = (
    Rows(
        "trials",
        snapshot.TrialSeries,
        records.TrialSeries,
        {
            "complaint": plain("complaint_ref"),
            "on": moment("done"),
            **_same("n", "recurrences", "conditions_match", "equipment_connected"),
        },
    ),
    Rows(
        "checks",
        snapshot.Check,
        records.IndependentCheck,
        {"work": plain("work_ref"), "by": plain("checked_by"), "on": moment("done")},
    ),
    Rows(
        "assumptions",
        snapshot.Assumption,
        records.Assumption,
        {
            "id": plain("ref"),
            **_same("text", "bears_on"),
            "status": choice("status"),
            "evidence": texts("evidence"),
            "accepted": marked("is_accepted", snapshot.SignedReason, "accepted_reason", "accepted_by"),
        },
    ),
    Rows(
        "events",
        snapshot.Event,
        records.Event,
        {
            "id": plain("ref"),
            "at": moment("happened"),
            **_same("kind", "what", "change"),
            "complaint": plain("complaint_ref"),
        },
    ),
    Rows(
        "claims",
        snapshot.Claim,
        records.Claim,
        {
            "id": plain("ref"),
            "complaint": plain("complaint_ref"),
            "event": plain("event_ref"),
            "role": plain("role"),
        },
    ),
    Rows("reversals", snapshot.Reversal, records.Reversal, {"event": plain("event_ref"), "phases": PHASES}),
    Rows(
        "authorisations",
        snapshot.Authorisation,
        shop.Authorisation,
        {"minutes": plain("minutes"), "on": moment("given")},
    ),
    Rows(
        "time",
        snapshot.TimeEntry,
        shop.TimeEntry,
        {
            "by": plain("done_by"),
            "on": moment("done"),
            **_same("minutes", "kind"),
            "complaint": plain("complaint_ref"),
        },
    ),
    Rows(
        "handoffs",
        snapshot.HandOff,
        records.HandOff,
        {
            "complaint": plain("complaint_ref"),
            **_same("giver", "receiver", "known", "acknowledged_by"),
            "on": moment("done"),
            "ruled_out": texts("ruled_out"),
            "suspected": texts("suspected"),
            "next": plain("next_step"),
        },
    ),
    Rows(
        "explanations",
        snapshot.Explanation,
        records.Explanation,
        {**_same("rule", "subject", "reason", "approved_by"), "by": plain("signed_by")},
    ),
)
