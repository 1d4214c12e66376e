"""The evidence chain of one symptom complaint, and the words the customer reads (practice.md section 7)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from diagnostics.evidence.cause import is_isolated
from diagnostics.evidence.finding import Finding
from diagnostics.evidence.rules import LINKS
from diagnostics.evidence.terms import Terms
from diagnostics.judging import same_text
from diagnostics.snapshot import Complaint, Order

PROVED_GONE = "proved gone"
NOT_YET_PROVED = "repaired, not yet proved"
WATCHING = "not found, watching"
DECLINED = "known and declined"


@dataclass(frozen=True, slots=True)
class ChainStatus:
    """Where the chain of one complaint stands, for machines (`status`, `link`) and people (`words`)."""

    complaint: str
    status: Literal["complete", "broken", "explained"]
    link: str  # one of LINKS, '' when complete
    outcome: str  # the customer's words

    @property
    def words(self) -> str:
        """`complete`, `broken at <link>` or `explained at <link>`."""
        return f"{self.status} at {self.link}" if self.link else self.status


def chain_status(order: Order, findings: Iterable[Finding], complaint: Complaint) -> ChainStatus:
    """Return the chain status of one complaint of the order.

    Parameters
    ----------
    order : Order
        The order the complaint is on.
    findings : findings of `evaluate` for that order
        Those of other complaints, and those of rules that belong to no link, are passed over.
    complaint : Complaint
        A symptom complaint of the order.

    Returns
    -------
    ChainStatus
        Broken at the first link with a gap or pending finding, else explained at the first with an
        explained one, else complete. Without reason-cause work: broken at the first link that is not
        on record, whatever the findings say.

    References
    ----------
    practice.md section 7.
    """
    return _status(Terms(order, {}), tuple(findings), complaint)


def chain_statuses(order: Order, findings: Iterable[Finding]) -> Mapping[str, ChainStatus]:
    """Return the chain status of each symptom complaint, by complaint id, in record order."""
    return statuses(Terms(order, {}), tuple(findings))


def statuses(terms: Terms, findings: tuple[Finding, ...]) -> Mapping[str, ChainStatus]:
    """Return the same from terms that were worked out already."""
    return {complaint.id: _status(terms, findings, complaint) for complaint in terms.symptoms}


def _status(terms: Terms, findings: tuple[Finding, ...], complaint: Complaint) -> ChainStatus:
    if not terms.cause_work.get(complaint.id):
        outcome = DECLINED if _is_declined(terms.order, complaint) else WATCHING
        return ChainStatus(complaint.id, "broken", _first_missing(terms, complaint), outcome)
    mine = [f for f in findings if complaint.id in f.complaints]
    for status, states in (("broken", ("gap", "pending")), ("explained", ("explained",))):
        at = {f.about.link for f in mine if f.state in states}
        link = next((link for link in LINKS if link in at), "")
        if link:
            return ChainStatus(
                complaint.id, "broken" if status == "broken" else "explained", link, NOT_YET_PROVED
            )
    return ChainStatus(complaint.id, "complete", "", PROVED_GONE)


def _first_missing(terms: Terms, complaint: Complaint) -> str:
    """The first link not on record: attempt, failing reading, isolated cause, else the work itself.

    A failing reading is on record if it names the complaint, or if a cause of the complaint cites it.
    """
    causes = [c for c in terms.order.causes if c.complaint == complaint.id]
    cited = {id(counted) for cause in causes for counted in terms.cited(cause.evidence)}
    failing = any(
        c.is_failing_before and (c.test.complaint == complaint.id or id(c) in cited) for c in terms.tests
    )
    on_record = {
        "attempt": bool(terms.attempts.get(complaint.id)),
        "failing reading": failing,
        "cause": any(is_isolated(cause, terms) for cause in causes),
    }
    return next((link for link, is_there in on_record.items() if not is_there), "work")


def _is_declined(order: Order, complaint: Complaint) -> bool:
    return any(same_text(item.system, complaint.system) for item in order.declined)
