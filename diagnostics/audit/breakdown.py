"""The rate by one field at a time: one grouped query each, the rows by name and never by rate."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import quote, unquote

from django.db.models import Case, CharField, Count, F, Q, QuerySet, Value, When
from django.db.models.functions import Coalesce, TruncMonth

from diagnostics.audit import policy
from diagnostics.audit.chance import Flag, Limits, flag_of
from diagnostics.audit.names import Names
from diagnostics.audit.rates import fewest_to_compare
from diagnostics.audit.scope import Scope
from diagnostics.statistics.funnel import binomial_limits
from diagnostics.statistics.proportions import Proportion, proportion

JOIN = "/"  # Between the parts of a key in an address; within a part it is written %2F.
OF_PARTS = "order__workitem_set__part__"
HAS_PART = Q(**{f"{OF_PARTS}isnull": False})
CAUSE_WORK = Q(order__workitem_set__reason="cause")
AGES = (
    (0, 4, "up to 4 years"),
    (5, 9, "5 to 9 years"),
    (10, 14, "10 to 14 years"),
    (15, None, "15 years or more"),
)


@dataclass(frozen=True, slots=True)
class Field:
    """One way to part the jobs.

    key : the expressions whose values part them; joined by "/" in addresses.
    only : which of the joined records take part.
    many : whether a job can stand in several rows.
    """

    label: str
    plural: str
    key: Mapping[str, Any]
    name: Callable[[Names, tuple[Any, ...]], str]
    only: Q = field(default_factory=Q)
    many: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """One part of the jobs. `limits` holds the ends of chance around the rate of the whole, 95 % and 99.9 %.

    query : what asks for the jobs behind it, as the address of the list of jobs has it.
    """

    key: str
    label: str
    share: Proportion
    too_few: bool
    limits: Limits
    query: dict[str, str]

    @property
    def flag(self) -> Flag:
        """Where it lies between the limits."""
        return flag_of(self.share.share, self.limits)

    @property
    def is_out(self) -> bool:
        """Whether it lies beyond the outer limits."""
        return self.flag == "outside 99.9"


def age_band() -> Case:
    """Return the age of the vehicle at arrival in words, empty where its year is not known."""
    bands = [
        When(
            vehicle_years__gte=low,
            **({} if high is None else {"vehicle_years__lte": high}),
            then=Value(label),
        )
        for low, high, label in AGES
    ]
    return Case(*bands, default=Value(""), output_field=CharField())


def _or_none_named(name: str) -> Coalesce:
    """Return a text; nothing where there is no record to name it, as where the record leaves it empty."""
    return Coalesce(F(name), Value(""))


BY: dict[str, Field] = {
    "location": Field("Shop", "shops", {"a": F("location__code")}, lambda n, k: n.shop(k[0])),
    "system": Field(
        "System",
        "systems",
        {"a": _or_none_named("order__complaint_set__system")},
        lambda n, k: n.system(k[0]),
        many=True,
    ),
    "symptom": Field(
        "Symptom",
        "symptoms",
        {"a": F("order__complaint_set__symptom")},
        lambda n, k: n.symptom(k[0]),
        Q(order__complaint_set__kind="symptom"),
        many=True,
    ),
    "component": Field(
        "Component repaired as the cause",
        "components",
        {"a": F("order__workitem_set__component")},
        lambda n, k: n.plain(k[0]),
        CAUSE_WORK,
        many=True,
    ),
    "part_condition": Field(
        "Condition of the part",
        "conditions of parts",
        {"a": F(f"{OF_PARTS}condition")},
        lambda n, k: n.condition(k[0]),
        HAS_PART,
        many=True,
    ),
    "supplier": Field(
        "Supplier of the part",
        "suppliers",
        {"a": F(f"{OF_PARTS}supplier")},
        lambda n, k: k[0],
        Q(**{f"{OF_PARTS}supplier__gt": ""}),
        many=True,
    ),
    "batch": Field(
        "Part and batch",
        "batches",
        {"a": F(f"{OF_PARTS}number"), "b": F(f"{OF_PARTS}batch")},
        lambda n, k: f"{k[0] or 'part without a number'}, batch {k[1]}",
        Q(**{f"{OF_PARTS}batch__gt": ""}),
        many=True,
    ),
    "outcome": Field("Outcome", "outcomes", {"a": F("outcome")}, lambda n, k: n.outcome(k[0])),
    "chain": Field(
        "Chain", "states of the chain", {"a": F("chain"), "b": F("chain_link")}, lambda n, k: n.chain(*k)
    ),
    "step": Field(
        "Required step",
        "steps",
        {"a": F("checks__code"), "b": F("checks__phase")},
        lambda n, k: n.step(*k),
        Q(checks__phase__in=["before", "after"]),
        many=True,
    ),
    "month": Field(
        "Month of hand-over", "months", {"a": TruncMonth("returned_on")}, lambda n, k: n.month(k[0])
    ),
    "technician": Field(
        "Technician", "technicians", {"a": F("technician")}, lambda n, k: k[0] or "nobody named"
    ),
    "pattern": Field("Pattern", "patterns", {"a": F("is_intermittent")}, lambda n, k: n.pattern(k[0])),
    "age": Field("Age of the vehicle", "ages", {"a": age_band()}, lambda n, k: k[0] or "year not known"),
}
OWNER_ONLY = frozenset({"technician"})


def breakdown(scope: Scope, by: str) -> tuple[Row, ...]:
    """Return the rate of the ripe jobs of a scope by one field of `BY`.

    Rows are in the order of their names, months in the order of time. Two queries, and one for names.

    Raises
    ------
    KeyError
        If there is no such field.
    """
    wanted = BY[by]
    counts = list(counted(scope, wanted))
    whole = scope.ripe().aggregate(jobs=Count("pk"), back=Count("event"))
    base = whole["back"] / whole["jobs"] if whole["jobs"] else None
    fewest, names = fewest_to_compare(scope), Names()
    rows = [_row(by, wanted, key, back, jobs, base, fewest, names) for key, jobs, back in counts]
    return tuple(sorted(rows, key=lambda row: (row.key if by == "month" else row.label.lower(), row.key)))


def counted(scope: Scope, wanted: Field) -> Iterable[tuple[tuple[Any, ...], int, int]]:
    """Yield each part with its ripe jobs and those of them that came back."""
    jobs = parted(scope, wanted)
    distinct = {"distinct": True} if wanted.many else {}
    groups = jobs.values(*wanted.key).annotate(
        jobs=Count("pk", **distinct), back=Count("pk", filter=Q(event__isnull=False), **distinct)
    )
    for group in groups:
        yield tuple(group[name] for name in wanted.key), group["jobs"], group["back"]


def parted(scope: Scope, wanted: Field) -> QuerySet[Any]:
    """Return the ripe jobs of a scope with the values that part them; a job as often as it has values."""
    return scope.ripe().filter(wanted.only).annotate(**wanted.key)


def key_text(key: tuple[Any, ...]) -> str:
    """Return the value of a part as an address has it: 2026-03-01, True, "P-100/B7", "P%2F1/B7"."""
    texts = ["" if part is None else str(part) for part in key]
    return texts[0] if len(texts) == 1 else JOIN.join(quote(text, safe=" ") for text in texts)


def key_parts(text: str, size: int) -> list[str] | None:
    """Return the texts that `key_text` joined; None where there are not so many."""
    parts = [text] if size == 1 else [unquote(part) for part in text.split(JOIN)]
    return parts if len(parts) == size else None


def _row(
    by: str,
    wanted: Field,
    key: tuple[Any, ...],
    back: int,
    jobs: int,
    base: float | None,
    fewest: int,
    names: Names,
) -> Row:
    too_few = jobs < fewest
    limits = (
        ()
        if too_few or base is None
        else tuple(binomial_limits(base, jobs, alpha) for alpha in policy.FUNNEL_ALPHAS)
    )
    text = key_text(key)
    label = wanted.name(names, key)
    return Row(text, label, proportion(back, jobs), too_few, limits, {"by": by, "key": text})
