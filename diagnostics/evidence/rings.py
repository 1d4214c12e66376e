"""The seven rings of the job page: reported, seen, measured, cause, repair, proved, papers."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from diagnostics.evidence.finding import Finding
from diagnostics.snapshot import Order

RingState = Literal["joined", "explained", "open", "ahead"]

RINGS = ("reported", "seen", "measured", "cause", "repair", "proved", "papers")
STATE_WORDS: dict[RingState, str] = {
    "joined": "joined",
    "explained": "explained",
    "open": "open",
    "ahead": "not reached",
}


@dataclass(frozen=True, slots=True)
class Ring:
    """One section of the job page and what is placed in it."""

    name: str
    state: RingState
    findings: tuple[Finding, ...] = ()

    @property
    def words(self) -> str:
        """The state as printed beside the ring."""
        return STATE_WORDS[self.state]

    @property
    def open_findings(self) -> tuple[Finding, ...]:
        """What would join the ring: its gaps and pending findings."""
        return tuple(f for f in self.findings if f.state != "explained")


def rings(order: Order, findings: Iterable[Finding], *, sheet_issued: bool) -> tuple[Ring, ...]:
    """Return the seven rings of an order in the order of the page.

    Parameters
    ----------
    order : Order
        The order the page shows.
    findings : findings of `evaluate` for that order
        Each is placed in the ring of its rule.
    sheet_issued : bool
        Whether the findings sheet was issued.

    Returns
    -------
    tuple of Ring
        *open*: a gap, or a pending finding in a ring that is reached. *explained*: every finding in it is.
        *joined*: something is recorded and nothing is missing. *ahead*: not reached yet. A ring is
        reached when it, a later one, or the one before it has something recorded.

    References
    ----------
    The chain of the design: reported, seen, measured, cause, repair, proved, papers.
    """
    placed = tuple(findings)
    recorded = _recorded(order, sheet_issued)
    built = []
    for i, name in enumerate(RINGS[:-1]):
        here = tuple(f for f in placed if f.about.ring == name)
        is_reached = any(recorded[max(i - 1, 0) :])
        built.append(Ring(name, _state(here, is_recorded=recorded[i], is_reached=is_reached), here))
    return (*built, Ring("papers", _papers_state(order, sheet_issued)))


def _recorded(order: Order, sheet_issued: bool) -> list[bool]:
    return [
        bool(order.complaints),
        any(c.attempts or c.plan for c in order.complaints),
        any(t.phase == "before" for t in order.tests),
        bool(order.causes or order.claims or order.assumptions) or any(c.suspects for c in order.complaints),
        bool(order.work or order.declined),
        bool(order.trials) or any(t.phase == "after" for t in order.tests),
        sheet_issued,
    ]


def _state(findings: tuple[Finding, ...], *, is_recorded: bool, is_reached: bool) -> RingState:
    states = {finding.state for finding in findings}
    if "gap" in states:
        return "open"
    if "pending" in states:
        return "open" if is_reached else "ahead"
    if "explained" in states:
        return "explained"
    return "joined" if is_recorded else "ahead"


def _papers_state(order: Order, sheet_issued: bool) -> RingState:
    if sheet_issued:
        return "joined"
    return "open" if order.returned is not None else "ahead"
