"""What was wrong, and how strong that is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from diagnostics.evidence import Finding
from diagnostics.evidence.cause import is_isolated
from diagnostics.evidence.terms import Counted, Terms
from diagnostics.judging import is_blank, same_text
from diagnostics.snapshot import Cause, Complaint, Instrument
from invoicing import wording
from invoicing.findings.names import Names
from invoicing.findings.readings import said
from invoicing.findings.sheet import Found

# A rule that fires here means that something else could still be the cause, whatever reason was given.
WEAKENING_RULES = frozenset({"R11", "R12", "R13", "R15", "R16"})
MOST_SHOWN = 2


def strength(terms: Terms, findings: Iterable[Finding], complaint: Complaint) -> str:
    """Return how sure the cause of one complaint is, in fixed words.

    Parameters
    ----------
    terms : Terms
        The order's.
    findings : findings of `evaluate` for that order
        Explained ones weaken too: a reason is no reading.
    complaint : Complaint
        A complaint of the order.

    Returns
    -------
    str
        "Confirmed by test" if every cause of it is isolated by a failing reading and no rival is
        open; "Most likely, other causes not ruled out"; or "Not found" without a cause.

    References
    ----------
    paperwork.md section 7, "Strength of the cause in fixed wording".
    """
    causes = causes_of(terms, complaint)
    if not causes:
        return wording.NOT_FOUND
    weak = any(f.rule in WEAKENING_RULES and complaint.id in f.complaints for f in findings)
    if weak or not all(is_isolated(cause, terms) for cause in causes) or _has_open_rival(complaint, causes):
        return wording.MOST_LIKELY
    return wording.CONFIRMED


def causes_of(terms: Terms, complaint: Complaint) -> list[Cause]:
    """Return the causes recorded for a complaint."""
    return [cause for cause in terms.order.causes if cause.complaint == complaint.id]


def found(
    terms: Terms,
    findings: tuple[Finding, ...],
    complaint: Complaint,
    names: Names,
    instruments: Mapping[str, Instrument],
    *,
    about: str,
) -> Found:
    """Return what was wrong with one complaint, and the readings that show it."""
    causes = causes_of(terms, complaint)
    strong = strength(terms, findings, complaint)
    if not causes:
        return Found(about, "We did not find the cause.", (), strong)
    text = " ".join(cause_text(cause) for cause in causes)
    return Found(about, text, _shown(terms, causes, names, instruments), strong)


def _shown(
    terms: Terms, causes: list[Cause], names: Names, instruments: Mapping[str, Instrument]
) -> tuple[str, ...]:
    """The readings behind the causes, those that isolate one first, then failing ones, then the rest."""
    components = [cause.component for cause in causes]
    cited = {
        id(counted): counted
        for cause in causes
        for counted in terms.cited(cause.evidence)
        if counted.outcome is not None
    }

    def rank(one: Counted) -> tuple[bool, bool, bool]:
        isolates = any(same_text(one.test.isolates, component) for component in components)
        return not isolates, not one.is_failing_before, one.test.kind != "numeric"

    ranked = sorted(cited.values(), key=rank)
    lines = [wording.sentence(said(one.test, names, instruments)) for one in ranked[:MOST_SHOWN]]
    if len(ranked) > MOST_SHOWN:
        lines.append(f"{len(ranked) - MOST_SHOWN} more in the table of all readings.")
    return tuple(lines)


def cause_text(cause: Cause) -> str:
    """Return a cause as one sentence."""
    if not is_blank(cause.statement):
        return wording.sentence(cause.statement)
    component = wording.part_words(cause.component)
    return wording.sentence(
        f"{component}: {cause.mode}" if not is_blank(cause.mode) else f"the {component} failed"
    )


def _has_open_rival(complaint: Complaint, causes: list[Cause]) -> bool:
    return any(
        suspect.state == "open" and not any(same_text(suspect.component, cause.component) for cause in causes)
        for suspect in complaint.suspects
    )
