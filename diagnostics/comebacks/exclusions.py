"""Returns that are not the earlier repair's doing: X1 to X4, on file or only claimed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from diagnostics.comebacks.relation import Report
from diagnostics.judging import is_blank, same_text
from diagnostics.snapshot import Declined, Order

Exclusion = Literal["X1", "X2", "X3", "X4"]

# The order in which the first match decides. practice.md section 9.
EXCLUSIONS: tuple[Exclusion, ...] = ("X2", "X1", "X3", "X4")


def exclusions(index: Order, later: Order, report: Report) -> tuple[Exclusion | None, Exclusion | None]:
    """Return the exclusion that is on file, and the one that is only claimed.

    Parameters
    ----------
    index : Order
        The earlier order, handed back.
    later : Order
        The return; X3 and X4 read its events outside this shop.
    report : Report
        The complaint of `later` that gave the level; X1, X3 and X4 ask for its system.

    Returns
    -------
    pair of Exclusion or None
        First by `EXCLUSIONS` each: with its evidence, and without. Both can be there at once.

    References
    ----------
    .. [1] practice.md section 9, exclusions.
    """
    on_file: Exclusion | None = None
    claimed: Exclusion | None = None
    for exclusion in EXCLUSIONS:
        holds = _holds(exclusion, index, later, report)
        if holds is True and on_file is None:
            on_file = exclusion
        if holds is False and claimed is None:
            claimed = exclusion
    return on_file, claimed


def _holds(exclusion: Exclusion, index: Order, later: Order, report: Report) -> bool | None:
    """True with evidence, False without, None where it is not claimed at all."""
    if exclusion == "X2":
        return _planned(index, later) if later.visit == "planned" else None
    if exclusion == "X1":
        return _any_evidence(item.informed_on is not None for item in index.declined if _is_it(item, report))
    return _outside("damage" if exclusion == "X3" else "other_work", index, later, report)


def _planned(index: Order, later: Order) -> bool:
    if index.returned is None or is_blank(later.planned_ref):
        return False
    handed_over = index.returned.on
    return any(
        entry.id == later.planned_ref and entry.recorded_on <= handed_over for entry in index.planned_return
    )


def _is_it(item: Declined, report: Report) -> bool:
    # Only the component of a cause counts here: a located component is a suspicion, and section 9 lets it
    # stand in for a cause at level W alone.
    return same_text(item.system, report.system) and (
        same_text(item.symptom, report.symptom) or item.component.strip() in report.cause_components
    )


def _outside(kind: str, index: Order, later: Order, report: Report) -> bool | None:
    if index.returned is None:
        return None
    handed_over, arrived = index.returned.on, later.opened.on
    return _any_evidence(
        not is_blank(event.evidence)
        for event in later.outside_events
        if event.kind == kind
        and same_text(event.system, report.system)
        and handed_over <= event.on <= arrived
    )


def _any_evidence(found: Iterable[bool]) -> bool | None:
    evidence = tuple(found)
    return any(evidence) if evidence else None
