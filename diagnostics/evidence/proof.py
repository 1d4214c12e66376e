"""What may be relied on: when an assumption is open, and when a reversal is valid."""

from __future__ import annotations

from diagnostics.evidence.terms import Terms
from diagnostics.judging import is_blank
from diagnostics.snapshot import Assumption, Reversal


def is_assumption_open(assumption: Assumption, terms: Terms) -> bool:
    """Return whether an assumption is open.

    It is open when its status is open or not given, or when it is confirmed or refuted without
    citing a test, of any kind, that was done on this order. An accepted one is not open.
    """
    if assumption.status == "accepted":
        return False
    if assumption.status in ("confirmed", "refuted"):
        return not terms.cited(assumption.evidence)
    return True


def is_valid_reversal(reversal: Reversal) -> bool:
    """Return whether a reversal proves that its event made the difference.

    At least three phases, strictly alternating between exactly two conditions, each tried at least
    once, the symptom present in every phase of the one and absent in every phase of the other.
    A phase without a condition names none, so it is no phase of such a series.
    """
    phases = reversal.phases
    if len(phases) < 3 or any(p.n < 1 or is_blank(p.condition) for p in phases):
        return False
    first, second = phases[0], phases[1]
    if first.condition.strip() == second.condition.strip() or first.present == second.present:
        return False
    return all(
        phase.condition.strip() == phases[i % 2].condition.strip() and phase.present == phases[i % 2].present
        for i, phase in enumerate(phases)
    )
