"""What the earlier order left unproved, to be seen when the vehicle returns."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from diagnostics.evidence.terms import Terms, latest
from diagnostics.evidence.trials import trials_needed
from diagnostics.judging import done_by_hand_over
from diagnostics.snapshot import Assumption, Complaint, Order


class Finding(Protocol):
    """What is read of a finding of the evidence rules."""

    @property
    def rule(self) -> str: ...

    @property
    def subject(self) -> str: ...

    @property
    def state(self) -> str: ...


@dataclass(frozen=True, slots=True)
class TrialsDone:
    """Clean trials of one symptom complaint since it last recurred, and how many were needed. [1]"""

    complaint: str
    clean: int
    needed: int

    @property
    def words(self) -> str:
        """As shown in the notice: "3 clean trials of 5 needed"."""
        return f"{self.clean} clean {'trial' if self.clean == 1 else 'trials'} of {self.needed} needed"


@dataclass(frozen=True, slots=True)
class Carried:
    """What the notice of a return shows of the earlier order; each list in the order on the record."""

    skipped_steps: tuple[str, ...]  # step codes
    unsupported_parts: tuple[str, ...]  # work item ids
    open_assumptions: tuple[str, ...]  # assumption ids
    not_reread: tuple[str, ...]  # test ids: failed before the work and never taken again
    still_failing: tuple[str, ...]  # test ids: failed when last taken
    trials: tuple[TrialsDone, ...]  # one for each symptom complaint


def carried(index: Order, findings: Iterable[Finding]) -> Carried:
    """Return what `index` left unproved.

    Parameters
    ----------
    index : Order
        The earlier order.
    findings : iterable of Finding
        All findings of `index`. Only gaps are shown: what was explained or is pending is not carried.

    Returns
    -------
    Carried
        The steps of R4, the parts of R11, the readings of R17 and R18, the open assumptions, and the
        trials of each symptom complaint, counted as R19 counts them.

    References
    ----------
    .. [1] practice.md section 4, open assumption and matching trials; section 5, R4, R11 and R17 to R19;
       section 8, trials needed.
    """
    gaps = {(finding.rule, finding.subject) for finding in findings if finding.state == "gap"}
    return Carried(
        skipped_steps=_skipped_steps(index, {subject for rule, subject in gaps if rule == "R4"}),
        unsupported_parts=tuple(item.id for item in index.work if ("R11", item.id) in gaps),
        open_assumptions=tuple(item.id for item in index.assumptions if is_open(item, index)),
        not_reread=tuple(test.id for test in index.tests if ("R17", test.id) in gaps),
        still_failing=tuple(test.id for test in index.tests if ("R18", test.id) in gaps),
        trials=_trials(index),
    )


def is_open(assumption: Assumption, order: Order) -> bool:
    """Say whether an assumption is open: not settled, or settled without a test done on this order.

    A test of any kind will do; one not applicable, or done after hand-over, will not.
    """
    if assumption.status in ("confirmed", "refuted"):
        done = {t.id for t in order.tests if t.status == "done" and done_by_hand_over(t.on, order)}
        return done.isdisjoint(assumption.evidence)
    return assumption.status != "accepted"


def _skipped_steps(index: Order, subjects: set[str]) -> tuple[str, ...]:
    steps = (
        step.code
        for complaint in index.complaints
        for step in complaint.required
        if f"{complaint.id}:{step.code}" in subjects
    )
    return tuple(dict.fromkeys(steps))


def _trials(index: Order) -> tuple[TrialsDone, ...]:
    terms = Terms(index, {})  # Trials ask for no instrument.
    return tuple(_trials_done(terms, complaint) for complaint in terms.symptoms)


def _trials_done(terms: Terms, complaint: Complaint) -> TrialsDone:
    series = terms.series.get(complaint.id, [])
    recurred = latest(one for one in series if one.trial.recurrences > 0)
    clean = sum(
        one.trial.n
        for one in series
        if one.is_matching and (recurred is None or one.place.is_later_than(recurred.place))
    )
    return TrialsDone(complaint.id, clean, trials_needed(complaint, terms.attempts[complaint.id]))
