"""The customer's own trials: driven by them, told by them, under conditions nobody of the shop has seen.

They never count as the shop's trials (practice.md section 8 asks for the complaint's own conditions, written
down); they are summed apart and say whose they are.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from diagnostics.evidence.trials import zero_recurrence_upper
from diagnostics.trials.standing import time_standing
from diagnostics.trials.words import up_to_100
from shared.wording import and_list, count_text, days_text, distance_text


@dataclass(frozen=True, slots=True)
class OwnTrial:
    """What the customer told of one stretch of driving; what they did not tell is none."""

    days: int
    starts: int | None = None
    distance: Decimal | None = None
    unit: str = "km"
    recurrences: int = 0


def amounts(trial: OwnTrial) -> str:
    """Return days, starts and distance in one line."""
    return and_list(
        [
            days_text(trial.days) if trial.days else "one day",
            *([count_text(trial.starts, "start")] if trial.starts is not None else []),
            *([distance_text(trial.distance, trial.unit)] if trial.distance is not None else []),
        ]
    )


def clean_since_recurrence(trials: Sequence[OwnTrial]) -> list[OwnTrial]:
    """Return the stretches after the last one with a recurrence; the trials oldest first."""
    last = max((place for place, trial in enumerate(trials) if trial.recurrences), default=-1)
    return list(trials[last + 1 :])


def sentences(trials: Sequence[OwnTrial]) -> list[str]:
    """Return what the customer's own trials come to; nothing where there are none. Oldest first."""
    if not trials:
        return []
    if trials[-1].recurrences:
        times = count_text(trials[-1].recurrences, "time")
        return [
            f"With the customer it came back {times}: ask them in, and do not count on the shop's trials."
        ]
    clean = clean_since_recurrence(trials)
    starts = sum(trial.starts or 0 for trial in clean)
    together = OwnTrial(
        sum(trial.days for trial in clean),
        starts or None,
        sum((trial.distance for trial in clean if trial.distance is not None), Decimal()) or None,
        clean[0].unit,
    )
    told = [f"The customer's own: {amounts(together)} without it. Counted apart from the shop's trials."]
    if starts:
        told.append(
            "Were their starts like the ones that failed, up to "
            f"{up_to_100(zero_recurrence_upper(starts))} in 100 could still show it (95 % confidence)."
        )
    if together.distance:
        # Rounded down: a shorter distance between faults is the more careful bound.
        between = math.floor(time_standing(0, 1, float(together.distance)).between_at_least)
        told.append(f"By distance, one fault in every {distance_text(between, together.unit)} could remain.")
    return told
