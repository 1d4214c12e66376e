"""From a rule that fired to a finding: gap, explained or pending (practice.md section 6)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace

from diagnostics.evidence.finding import Finding, Raised, Signature, State, needs_second_name
from diagnostics.evidence.rules import RULES
from diagnostics.evidence.terms import is_signed
from diagnostics.judging import is_blank
from diagnostics.snapshot import Order

_WORST_FIRST: tuple[State, ...] = ("gap", "pending", "explained")


def settle(raised: Iterable[Raised], order: Order) -> list[Finding]:
    """Return one finding per rule and subject, in the order they were raised.

    Where one subject fires a rule more than once (a suspect of two complaints, a step required in
    both phases), it is explained only when each is.
    """
    written: dict[tuple[str, str], list[Signature]] = defaultdict(list)
    for explanation in order.explanations:
        if is_signed(explanation.reason, explanation.by):
            signature = Signature(explanation.reason, explanation.by, explanation.approved_by)
            written[explanation.rule, explanation.subject].append(signature)
    found: dict[tuple[str, str], Finding] = {}
    for one in raised:
        key = (one.rule, one.subject)
        finding = _settle_one(one, (*one.own, *written.get(key, ())), order)
        found[key] = _merge(found[key], finding) if key in found else finding
    return list(found.values())


def _settle_one(one: Raised, signatures: tuple[Signature, ...], order: Order) -> Finding:
    bare = Finding(
        one.rule, one.subject, _unexplained(one.rule, order), one.text, one.complaints, one.critical
    )
    if not signatures:
        return bare
    if not needs_second_name(one.rule, critical=one.critical):
        return replace(bare, state="explained", explanation=signatures[0])
    approved = next((s for s in signatures if is_approved(s, order)), None)
    if approved is not None:
        return replace(bare, state="explained", explanation=approved)
    if order.location.single_person:
        return replace(bare, state="explained", explanation=signatures[0], exempt=True)
    return replace(bare, unapproved=signatures[0])


def is_approved(signature: Signature, order: Order) -> bool:
    """Return whether a second person stands behind a reason: neither the explainer nor the technician."""
    second = signature.approved_by.strip()
    return not is_blank(second) and second not in (signature.by.strip(), order.technician.strip())


def _unexplained(rule: str, order: Order) -> State:
    return "gap" if RULES[rule].is_live or order.returned is not None else "pending"


def _merge(first: Finding, second: Finding) -> Finding:
    worse = min(first, second, key=lambda finding: _WORST_FIRST.index(finding.state))
    complaints = tuple(dict.fromkeys((*first.complaints, *second.complaints)))
    return replace(worse, complaints=complaints, critical=first.critical or second.critical)
