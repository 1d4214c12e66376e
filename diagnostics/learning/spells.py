"""Reads the months before a change, for the warning that things get better by themselves."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, Max, Q

from diagnostics.learning.policy import BAD_SPELL_FEWEST, BAD_SPELL_MONTHS
from diagnostics.learning.spans import ripe_until
from diagnostics.learning.spell import Spell, bad_spell
from diagnostics.models import WatchedJob
from shared.wording import percent_text
from shop.models import Location

SPELL = timedelta(days=BAD_SPELL_MONTHS * 365 // 12)
YEAR = timedelta(days=365)


@dataclass(frozen=True, slots=True)
class Warned:
    """A bad spell, and of which jobs: of the symptom, or of its whole system where those are too few."""

    spell: Spell
    is_of_system: bool

    @property
    def usual(self) -> str:
        """The share of the year before, in per cent."""
        return percent_text(self.spell.year_share)

    @property
    def better_anyway(self) -> str:
        """How often in 100 the next months are better with nothing changed."""
        return percent_text(self.spell.better_anyway, 0)


def spell_before(system: str, symptom: str, day: date) -> Warned | None:
    """Return the bad spell before a day, of the symptom, else of its system; None where there is none."""
    window = Location.objects.aggregate(most=Max("window_days"))["most"] or 0
    last = ripe_until(day, window)
    for of_system, which in ((False, Q(symptom=symptom)), (True, Q())):
        counts = _counts(WatchedJob.objects.filter(which, system=system), last)
        if counts["year_jobs"] >= BAD_SPELL_FEWEST:
            spell = bad_spell(**counts)
            return Warned(spell, of_system) if spell else None
    return None


def _counts(jobs, last: date) -> dict[str, int]:
    spell = Q(returned_on__gt=last - SPELL, returned_on__lte=last)
    year = Q(returned_on__gt=last - SPELL - YEAR, returned_on__lte=last - SPELL)
    back = Q(back_days__isnull=False)
    return jobs.filter(returned_on__gt=last - SPELL - YEAR, returned_on__lte=last).aggregate(
        back=Count("pk", filter=spell & back),
        jobs=Count("pk", filter=spell),
        year_back=Count("pk", filter=year & back),
        year_jobs=Count("pk", filter=year),
    )
