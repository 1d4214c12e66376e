"""Technicians and shops of a scope, compared with what the mix of their jobs lets expect."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from django.db.models import Case, Count, F, IntegerField, Value, When

from diagnostics.audit.breakdown import age_band
from diagnostics.audit.mix import Cell
from diagnostics.audit.policy import FEWEST_OTHERS, FEWEST_TO_COMPARE
from diagnostics.audit.rates import fewest_to_compare
from diagnostics.audit.scope import Scope
from diagnostics.audit.units import Compared, Unit, alone, compare
from diagnostics.audit.wording import mix_sentence, unit_sentence
from diagnostics.statistics.proportions import Proportion
from shop.models import Location

Of = Literal["technician", "location"]

UNIT_OF: dict[Of, F] = {"technician": F("technician"), "location": F("location__code")}
KM_BANDS = (50_000, 100_000, 150_000, 200_000)
UNKNOWN_BAND = -1

# From coarse to fine; all are known before the work begins.
TRAITS = ("system", "symptom", "is_intermittent", "difficulty", "age_band", "km_band")
ADJUSTED_FOR = (
    "system",
    "symptom",
    "whether it comes and goes",
    "difficulty",
    "age of the vehicle",
    "distance on it",
)
NOT_ADJUSTED_FOR = (
    "time given for the job",
    "tools at hand",
    "what the customer chose",
    "anything else that is not on record",
)


@dataclass(frozen=True, slots=True)
class People:
    """All technicians, or all shops, in the order of their names.

    fewest : eligible jobs; with fewer there are counts only.
    sentence : what the comparison allowed for, and what not.
    """

    of: Of
    found: Compared
    fewest: int
    adjusted_for: tuple[str, ...]
    not_adjusted_for: tuple[str, ...]
    sentence: str

    @property
    def rows(self) -> tuple[Unit, ...]:
        """The units."""
        return self.found.rows


@dataclass(frozen=True, slots=True)
class Own:
    """A technician's own figure and the rate of all, without anybody else's.

    unit : None of no eligible job; counts only below `fewest`, and the share without a comparison where
        there are too few others for them to stay unnamed.
    whole : None in that case, too.
    """

    unit: Unit | None
    whole: Proportion | None
    fewest: int
    sentence: str
    mix: str


def people(scope: Scope, of: Of = "technician") -> People:
    """Return the technicians, or the shops, of the jobs whose window has run. Three queries at most.

    A comeback is counted to who did the job that was come back from, not to who took the vehicle in again.
    """
    fewest = max(FEWEST_TO_COMPARE, fewest_to_compare(scope))
    labels = dict(Location.objects.values_list("code", "name")) if of == "location" else {}
    cells = cells_of(replace(scope, technician=""), of)
    found = compare(cells, {code: name or code for code, name in labels.items()}, fewest)
    return People(
        of=of,
        found=found,
        fewest=fewest,
        adjusted_for=ADJUSTED_FOR,
        not_adjusted_for=NOT_ADJUSTED_FOR,
        sentence=mix_sentence(ADJUSTED_FOR, NOT_ADJUSTED_FOR),
    )


def own(scope: Scope, technician: str) -> Own:
    """Return one technician's own figure; the others are counted, and none of them is returned.

    With one colleague only, any comparison would tell the figure of that colleague, so there is none.
    """
    found = people(scope)
    unit = next((row for row in found.rows if row.id == technician), None) if technician else None
    if sum(row.id != technician for row in found.rows) < FEWEST_OTHERS:
        unit = alone(unit) if unit else None
        return Own(unit, None, found.fewest, unit_sentence(unit, found.fewest), "")
    return Own(unit, found.found.whole, found.fewest, unit_sentence(unit, found.fewest), found.sentence)


def cells_of(scope: Scope, of: Of) -> Sequence[Cell]:
    """Return the ripe jobs of each unit by what was known of them before the work. One grouped query."""
    jobs = scope.ripe().annotate(unit=UNIT_OF[of], age_band=age_band(), km_band=_km_band())
    groups = jobs.values_list("unit", *TRAITS).annotate(jobs=Count("pk"), back=Count("event"))
    return [Cell(unit, tuple(traits), n, back) for unit, *traits, n, back in groups.iterator()]


def _km_band() -> Case:
    bands: list[Any] = [When(odometer_km__lt=end, then=Value(band)) for band, end in enumerate(KM_BANDS)]
    unknown = When(odometer_km__isnull=True, then=Value(UNKNOWN_BAND))
    return Case(unknown, *bands, default=Value(len(KM_BANDS)), output_field=IntegerField())
