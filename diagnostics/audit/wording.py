"""What is said of technicians and shops that are compared (statistics.md section 5). No Django."""

from __future__ import annotations

from collections.abc import Sequence

from diagnostics.audit.chance import Flag
from diagnostics.audit.units import Compared, Unit
from shared.wording import and_list, count_text, percent_text, whole_text

FLAGS: dict[Flag, str] = {
    "too few": "Too few to compare.",
    "within": "Within what chance and job mix explain.",
    "outside 95": "Outside what chance and job mix explain 19 times in 20. Of many compared some always are.",
    "outside 99.9": "Differs from what chance and job mix explain: look at the jobs.",
}


def mix_sentence(allowed: Sequence[str], not_allowed: Sequence[str]) -> str:
    """Return what a comparison allowed for, and what it could not."""
    return (
        f"Allowed for: {and_list(allowed)} of each job. Not allowed for: {and_list(not_allowed)}. "
        "What is left is an association, never a cause."
    )


def spread_sentence(found: Compared) -> str:
    """Return how much more the units differ than chance makes them, and what follows; empty of none."""
    compared = sum(1 for unit in found.rows if unit.limits)
    if compared < 2:
        return ""
    said = f"They differ {found.spread.phi:.1f} times as much as chance alone makes them"
    if found.widened:
        return f"{said}; the limits are wider by the root of it."
    return f"{said}; the limits are those of chance alone."


def unit_sentence(unit: Unit | None, fewest: int) -> str:
    """Return what is said of one technician or shop."""
    if unit is None:
        return "No finished job to count yet."
    if unit.adjusted is None or unit.low is None or unit.high is None:
        return _counts(unit, fewest)
    return (
        f"{whole_text(unit.comebacks)} of {whole_text(unit.eligible)} came back, {unit.expected:.1f} were "
        f"expected of such jobs. That is {percent_text(unit.adjusted)} %, likely between "
        f"{percent_text(unit.low)} and {percent_text(unit.high)}. {FLAGS[unit.flag]}"
    )


def _counts(unit: Unit, fewest: int) -> str:
    said = f"{whole_text(unit.comebacks)} of {whole_text(unit.eligible)} came back."
    if unit.share is None or unit.eligible < fewest:
        return f"Too few to compare: {said} A rate is shown from {count_text(fewest, 'finished job')} on."
    return (
        f"{said} That is {percent_text(unit.share.share)} %, likely between {percent_text(unit.share.low)} "
        f"and {percent_text(unit.share.high)}. Too few jobs of others to compare with."
    )
