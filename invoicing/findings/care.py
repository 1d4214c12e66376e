"""What to watch for, and the cautions that must print."""

from __future__ import annotations

from collections.abc import Iterable

from diagnostics.evidence.chain import NOT_YET_PROVED, PROVED_GONE, ChainStatus
from diagnostics.evidence.terms import Terms, best_outcome
from diagnostics.snapshot import Order
from invoicing import wording
from invoicing.findings.names import Names

NOTE_IT = "If it returns, note the time, weather, speed and any warning light, and call us."


def watch(terms: Terms, chains: Iterable[ChainStatus], names: Names) -> tuple[str, ...]:
    """Return what the customer should look out for, by the outcome of each complaint."""
    lines = []
    for chain in chains:
        complaint = terms.complaints[chain.complaint]
        name = names.symptom(complaint)
        if chain.outcome == PROVED_GONE and complaint.pattern == "constant":
            continue
        if chain.outcome == PROVED_GONE:
            lines.append(f"“{name}” came and went, so watch for it a while longer. {NOTE_IT}")
        elif chain.outcome == NOT_YET_PROVED:
            lines.append(f"Whether “{name}” returns. {NOTE_IT}")
        elif best_outcome(terms.attempts[complaint.id]) == "not_reproduced":
            lines.append(wording.W_6)
        else:
            lines.append(f"“{name}” is still there. {NOTE_IT}")
    for planned in terms.order.planned_return:
        by = f" by {wording.day(planned.due_on)}" if planned.due_on else ""
        reason = f": {wording.bare(planned.reason)}" if planned.reason.strip() else ""
        lines.append(f"We agreed to look again{by}{reason}.")
    return tuple(dict.fromkeys(lines))


def cautions(order: Order, chains: Iterable[ChainStatus]) -> tuple[str, ...]:
    """Return the cautions that this job calls for.

    The record has no flag for most of them, so they are told from the component, the system and
    the kind of work; one too many does no harm.

    References
    ----------
    paperwork.md section 12, "Cautions that must print when their flag is set". The distance for
    wheel nuts is common practice; the maker's figure wins.
    """
    lines = []
    if any(chain.outcome == NOT_YET_PROVED for chain in chains):
        lines.append(
            "This repair is not yet proved. Do not rely on it where a breakdown would put you in danger."
        )
    if any(work.part is not None and not work.part.condition for work in order.work):
        lines.append(
            "For a part above it is not recorded whether it is new, used or rebuilt. Ask us before you "
            "rely on it."
        )
    if any(work.kind == "reset" for work in order.work):
        lines.append(
            "A warning light or a memory was reset. The vehicle’s self-tests may not be complete. If a light "
            "comes on, call us."
        )
    touched = _touched(order)
    if _names_any(touched, ("wheel", "tyre", "tire")):
        lines.append(
            "A wheel was off. Have the wheel nuts tightened again after 50 to 100 km (30 to 60 miles), or as "
            "the maker says."
        )
    if _names_any(touched, ("battery",)):
        lines.append(
            "The battery was disconnected. Clock, radio stations and windows may need setting again."
        )
    if _names_any(touched, ("airbag", "belt tensioner", "squib")) or _has_system(order, "restraint"):
        lines.append("This job touched airbags or belt tensioners. Only a qualified person may work on them.")
    if _names_any(touched, ("high voltage", "high-voltage", "traction battery", "orange cable")):
        lines.append("This vehicle has high voltage. Only a qualified person may work on it.")
    return tuple(lines)


def _touched(order: Order) -> list[str]:
    return [wording.code_words(one).lower() for one in (*(w.component for w in order.work), *order.disturbed)]


def _names_any(components: Iterable[str], words: tuple[str, ...]) -> bool:
    return any(word in component for component in components for word in words)


def _has_system(order: Order, system: str) -> bool:
    return bool(order.work) and any(complaint.system == system for complaint in order.complaints)
