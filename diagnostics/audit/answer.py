"""The whole audit of a scope as plain values, as the command `audit --json` prints it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from diagnostics.audit.batches import batches
from diagnostics.audit.breakdown import Row, breakdown
from diagnostics.audit.checks import check_rows
from diagnostics.audit.compared import CheckRow
from diagnostics.audit.curve import ComebackCurve, curve
from diagnostics.audit.people import People, people
from diagnostics.audit.plain_values import to_plain
from diagnostics.audit.rates import Headline, headline
from diagnostics.audit.scope import Scope
from diagnostics.audit.signals import cusum_of
from diagnostics.statistics.proportions import Proportion
from diagnostics.statistics.ratios import Ratio
from diagnostics.statistics.survival import Point


def answer(scope: Scope, by: str = "") -> dict[str, Any]:
    """Return the audit of a scope.

    Parameters
    ----------
    scope : Scope
        The question.
    by : str
        A field of `breakdown.BY`, whose rows are added.

    Returns
    -------
    dict
        Shares from 0 to 1, days as whole numbers, dates as text; None where there is nothing to say.
    """
    found = headline(scope)
    drawn = curve(scope)
    return {
        "as_of": scope.as_of.isoformat(),
        "from": scope.since.isoformat() if scope.since else None,
        "to": scope.until.isoformat() if scope.until else None,
        "location": scope.location or None,
        "levels": sorted(scope.levels),
        "counted": scope.counted,
        **_rates(found),
        "curve": [point_values(point, drawn) for point in drawn.points],
        "competing": _competing(drawn),
        "skipped": [check_values(row) for row in check_rows(scope).rows],
        "gaps": [check_values(row) for row in check_rows(scope, "gaps").rows],
        **_units(people(scope), "technicians"),
        **_units(people(scope, "location"), "locations"),
        "batches": to_plain(batches(scope).rows),
        "cusum": cusum_of(scope).as_json(),
        "by": {"field": by, "rows": row_values(breakdown(scope, by))} if by else None,
    }


def _rates(found: Headline) -> dict[str, Any]:
    return {
        "jobs": found.jobs,
        "too_young": found.too_young,
        "fewest_to_compare": found.fewest,
        "rate": {
            "provisional": share_values(found.provisional),
            "reviewed_low": share_values(found.reviewed_low),
            "reviewed_high": share_values(found.reviewed_high),
        },
        "no_fault_found": share_values(found.no_fault_found),
        "naive": share_values(found.naive),
        "windows": [
            {
                "days": window.days or None,
                "km": None if window.km is None else float(window.km),
                "is_policy": window.is_policy,
                **share_values(window.share),
            }
            for window in found.windows
        ],
    }


def share_values(share: Proportion | None) -> dict[str, Any]:
    """Return a rate; of no job, nothing but the counts."""
    if share is None:
        return {"events": 0, "eligible": 0, "value": None, "low": None, "high": None}
    return {
        "events": share.count,
        "eligible": share.of,
        "value": share.share,
        "low": share.low,
        "high": share.high,
    }


def point_values(point: Point, drawn: ComebackCurve) -> dict[str, Any]:
    """Return the curve on one day."""
    return {
        "days": point.day,
        "value": point.value,
        "low": point.low,
        "high": point.high,
        "at_risk": point.at_risk,
        "drawn": point.day <= drawn.drawn_to,
    }


def _competing(drawn: ComebackCurve) -> dict[str, Any]:
    """Return the share back and gone by the end of the window where a vehicle that left cannot come back."""
    end = drawn.competing
    return {
        "left": drawn.left,
        "days": drawn.window_days,
        "value": end.event if end else None,
        "gone": end.gone if end else None,
        "neither": end.neither if end else None,
    }


def check_values(row: CheckRow) -> dict[str, Any]:
    """Return one step or gap, jobs that skipped it against jobs that did it."""
    return {
        "step": row.code,
        "phase": row.phase,
        "required": row.counts.required,
        "done": _side(row.when_done),
        "waived": _side(row.when_waived),
        "skipped": _side(row.when_skipped),
        "difference": to_plain(row.difference),
        "risk_ratio": ratio_values(row.ratio),
        "risk_ratio_mh": ratio_values(row.adjusted.ratio if row.adjusted else None),
        "difference_mh": to_plain(row.adjusted.difference if row.adjusted else None),
        "p": row.p,
        "p_by": row.p_by or None,
        "q": row.q,
        "answer": row.answer,
        "more_jobs": row.gate.more,
    }


def _side(share: Proportion | None) -> dict[str, int]:
    return {"n": share.of if share else 0, "comebacks": share.count if share else 0}


def ratio_values(ratio: Ratio | None) -> dict[str, float | None]:
    """Return a ratio; None where it is undefined or has no end."""
    return to_plain(ratio or Ratio(None, None, None))


def _units(found: People, name: str) -> dict[str, Any]:
    rows = [
        {
            "id": unit.id,
            "eligible": unit.eligible,
            "comebacks": unit.comebacks,
            "expected": unit.expected,
            "adjusted": unit.adjusted,
            "low": unit.low,
            "high": unit.high,
            "shrunk": unit.shrunk,
            "flag": unit.flag,
        }
        for unit in found.rows
    ]
    return {
        name: rows,
        f"{name}_compared": {
            "fewest": found.fewest,
            "phi": found.found.spread.phi,
            "widened": found.found.widened,
            "adjusted_for": list(found.adjusted_for),
            "not_adjusted_for": list(found.not_adjusted_for),
        },
    }


def row_values(rows: Iterable[Row]) -> list[dict[str, Any]]:
    """Return the rows of a breakdown."""
    return [
        {
            "key": row.key,
            "label": row.label,
            **share_values(row.share),
            "flag": row.flag,
            "limits": to_plain(row.limits) or None,
        }
        for row in rows
    ]
