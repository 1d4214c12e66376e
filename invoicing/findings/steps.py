"""The chain as the customer sees it: only what the proof of the repair asks for opens a link."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from diagnostics.evidence import ChainStatus, Finding
from diagnostics.evidence.chain import PROVED_GONE
from diagnostics.snapshot import Order
from invoicing.findings.sheet import Step

_LINKS = {
    "seen": ("attempt",),
    "measured": ("failing reading",),
    "cause": ("cause",),
    "repair": ("work",),
    "proved": ("re-read", "trials"),
}
_NAMES = {
    "seen": "Did we see it?",
    "measured": "We measured",
    "cause": "What was wrong",
    "repair": "We repaired",
    "proved": "How we know",
}
_WORDS = {
    "joined": "done",
    "explained": "done, with a reason for what was left out",
    "open": "something is missing",
    "ahead": "not reached",
}


def steps(order: Order, findings: Iterable[Finding], chains: Sequence[ChainStatus]) -> tuple[Step, ...]:
    """Return the links from `told` to `proved` with their states.

    An unnamed instrument or a late entry concerns the shop's own record and opens nothing here.

    References
    ----------
    practice.md section 7, rules of the links.
    """
    placed = tuple(findings)
    recorded = _recorded(order, chains)
    told = Step("You told us", "joined", _WORDS["joined"])
    return (told, *(_step(name, links, placed, is_recorded=recorded[name]) for name, links in _LINKS.items()))


def _recorded(order: Order, chains: Sequence[ChainStatus]) -> dict[str, bool]:
    return {
        "seen": any(complaint.attempts for complaint in order.complaints),
        "measured": any(test.status == "done" for test in order.tests),
        "cause": bool(order.causes),
        "repair": bool(order.work),
        "proved": any(test.phase == "after" for test in order.tests)
        or bool(order.trials)
        or any(chain.outcome == PROVED_GONE for chain in chains),
    }


def _step(name: str, links: Sequence[str], findings: Sequence[Finding], *, is_recorded: bool) -> Step:
    states = {finding.state for finding in findings if finding.about.link in links}
    if not is_recorded:
        state = "open" if "gap" in states else "ahead"
    elif states & {"gap", "pending"}:
        state = "open"
    else:
        state = "explained" if "explained" in states else "joined"
    return Step(_NAMES[name], state, _WORDS[state])
