"""Was the complaint seen before anything was changed? R1, R2, R3 and R21."""

from __future__ import annotations

from collections.abc import Iterator

from diagnostics.evidence import wording
from diagnostics.evidence.finding import Raised
from diagnostics.evidence.terms import Terms, best_outcome
from diagnostics.evidence.trials import has_valid_plan
from diagnostics.judging import is_blank
from diagnostics.snapshot import Complaint


def not_verified(terms: Terms) -> Iterator[Raised]:
    """R1: a symptom complaint without any attempt."""
    for complaint in terms.symptoms:
        if not terms.attempts[complaint.id]:
            text = (
                f"No attempt to see {wording.said(complaint)} is recorded; try it under its conditions and "
                "write down how often it showed in how many tries."
            )
            yield _raise("R1", complaint, text)


def fires_never_reproduced(terms: Terms, complaint: Complaint) -> bool:
    """Whether R2 holds: attempts, none of them reproduced it, and no valid trial plan."""
    attempts = terms.attempts[complaint.id]
    return best_outcome(attempts) in ("partly", "not_reproduced") and not has_valid_plan(complaint.plan)


def never_reproduced(terms: Terms) -> Iterator[Raised]:
    """R2: best outcome partly or not reproduced, and no valid plan."""
    for complaint in terms.symptoms:
        if fires_never_reproduced(terms, complaint):
            seen = (
                "only partly seen" if best_outcome(terms.attempts[complaint.id]) == "partly" else "not seen"
            )
            tried = wording.count(len(terms.attempts[complaint.id]), "attempt")
            text = (
                f"{wording.said(complaint)} was {seen} in {tried} and no trial plan is written; reproduce "
                "it, or plan how many trials under which conditions will count as proof."
            )
            yield _raise("R2", complaint, text)


def without_conditions(terms: Terms) -> Iterator[Raised]:
    """R3: any attempt with blank conditions."""
    for complaint in terms.symptoms:
        bare = [a for a in terms.attempts[complaint.id] if is_blank(a.conditions)]
        if bare:
            on = wording.listed([wording.day(a.on.on) for a in bare])
            text = (
                f"The attempt of {on} to see {wording.said(complaint)} does not say under which conditions; "
                "write them down."
            )
            yield _raise("R3", complaint, text)


def always_connected(terms: Terms) -> Iterator[Raised]:
    """R21: all matching series had test equipment connected, or so had all attempts that saw nothing."""
    for complaint in terms.symptoms:
        matching = [s.trial for s in terms.series[complaint.id] if s.is_matching]
        attempts = terms.attempts[complaint.id]
        if matching and all(t.equipment_connected for t in matching):
            tried = wording.count(sum(t.n for t in matching), "trial")
            text = (
                f"Test equipment was connected in all of the {tried} of {wording.said(complaint)} after the "
                "repair; try it again with nothing connected."
            )
            yield _raise("R21", complaint, text)
        elif best_outcome(attempts) == "not_reproduced" and all(a.equipment_connected for a in attempts):
            tried = wording.count(len(attempts), "attempt")
            text = (
                f"{wording.said(complaint)} was not seen in {tried}, all with test equipment connected; try "
                "it again with nothing connected."
            )
            yield _raise("R21", complaint, text)


def _raise(rule: str, complaint: Complaint, text: str) -> Raised:
    return Raised(rule, complaint.id, text, (complaint.id,))
