"""All rules over one order."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence

from diagnostics.evidence import cause, handover, measured, proved, repair, seen, support
from diagnostics.evidence.chain import ChainStatus, statuses
from diagnostics.evidence.explain import settle
from diagnostics.evidence.finding import Finding, Raised
from diagnostics.evidence.policy import POLICY, Policy
from diagnostics.evidence.rules import RULES
from diagnostics.evidence.terms import Terms
from diagnostics.snapshot import Instrument, Order

# In the order of their numbers, which is the order of the findings.
_RULES: tuple[Callable[[Terms], Iterable[Raised]], ...] = (
    seen.not_verified,
    seen.never_reproduced,
    seen.without_conditions,
    measured.required_skipped,
    measured.claimed,
    measured.cannot_be_judged,
    measured.instrument_not_named,
    measured.out_of_calibration,
    support.not_followed_up,
    measured.entered_late,
    support.unsupported_part,
    cause.not_isolated,
    cause.rival_left_open,
    cause.assumption_left_open,
    cause.coincidence_not_reversed,
    proved.marginal_decides,
    proved.not_read_again,
    proved.closed_on_failing,
    proved.not_proved_gone,
    proved.recurred_in_trials,
    seen.always_connected,
    repair.check_missing,
    repair.declined_without_follow_up,
    repair.over_authorised_time,
    handover.hand_off_missing,
    repair.repeated_replacement,
)


def evaluate(
    order: Order,
    *,
    instruments: Mapping[str, Instrument],
    earlier: Sequence[Order] = (),
    policy: Policy = POLICY,
) -> tuple[Finding, ...]:
    """Return what the evidence rules R1 to R26 find on one order.

    Parameters
    ----------
    order : Order
        One visit, whole.
    instruments : mapping of id to Instrument
        The shop's list, withdrawn instruments included.
    earlier : sequence of Order
        Earlier orders of the same vehicle, for R26; this order and later ones are passed over.
    policy : Policy
        The shop's numbers; the defaults of practice.md if not given.

    Returns
    -------
    tuple of Finding
        By rule number, then by order on the record; one per rule and subject. Live rules give gaps
        or explained findings; close rules give pending ones while the order is open.

    References
    ----------
    practice.md sections 4 to 6.
    """
    return _findings(Terms(order, instruments, earlier, policy))


def examine(
    order: Order, *, instruments: Mapping[str, Instrument], earlier: Sequence[Order] = ()
) -> tuple[tuple[Finding, ...], tuple[ChainStatus, ...]]:
    """Return the findings of an order, as `evaluate` does, and the chain of each symptom complaint."""
    _, findings, chains = settled(order, instruments=instruments, earlier=earlier)
    return findings, tuple(chains.values())


def settled(
    order: Order,
    *,
    instruments: Mapping[str, Instrument],
    earlier: Sequence[Order] = (),
    rules: Collection[str] = tuple(RULES),
) -> tuple[Terms, tuple[Finding, ...], Mapping[str, ChainStatus]]:
    """Return the same with the terms they were found by, the chains by complaint.

    With fewer `rules` only those are asked; the chains are the same as long as each rule with a link is.
    """
    terms = Terms(order, instruments, earlier, POLICY)
    findings = _findings(terms, rules)
    return terms, findings, statuses(terms, findings)


def _findings(terms: Terms, rules: Collection[str] = tuple(RULES)) -> tuple[Finding, ...]:
    asked = (rule for code, rule in zip(RULES, _RULES, strict=True) if code in rules)
    return tuple(settle((raised for rule in asked for raised in rule(terms)), terms.order))
