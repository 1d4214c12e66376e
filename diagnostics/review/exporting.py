"""Reviewed returns for other programs: codes, levels, days and costs, and nobody's name, plate or words."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import Any

from django.db.models import QuerySet

from diagnostics.models import ReturnReview, ReturnVisit
from diagnostics.review.cost_form import NAMES, cost_of
from shared.lists import Column

NDJSON_TYPE = "application/x-ndjson; charset=utf-8"
CHUNK = 500
CODED = ("primary", "contributing", "escape_point")


def exported(visits: QuerySet[ReturnVisit]) -> QuerySet[ReturnVisit]:
    """Return the returns with all that an export reads, in a constant number of queries a chunk."""
    return visits.select_related("cost", "return_order").prefetch_related("reviews")


def lines(visits: QuerySet[ReturnVisit]) -> Iterator[str]:
    """Yield one JSON object a line."""
    for visit in exported(visits).iterator(chunk_size=CHUNK):
        yield json.dumps(record(visit), ensure_ascii=False) + "\n"


def record(visit: ReturnVisit) -> dict[str, Any]:
    """Return one return as plain values. Money is text; what is not known is null."""
    first, second = _reviews(visit)
    return {
        "return": visit.pk,
        "came_back": visit.return_order.opened_on.isoformat(),
        "level": visit.level,
        "days": visit.days,
        "km": None if visit.km is None else str(visit.km),
        "system": visit.system,
        "symptom": visit.symptom,
        "verdict": visit.verdict,
        "reason": visit.reason,
        "state": visit.state,
        "exclusion": visit.review_exclusion or None,
        "skipped": visit.skipped,
        **_codes(first),
        "change": first.change_kind or None if first else None,
        "check_on": _day(first.check_on if first else None),
        "checked_on": _day(first.checked_on if first else None),
        "apart": _codes(second) if second else None,
        "cost": _cost(visit),
    }


def _codes(review: ReturnReview | None) -> dict[str, Any]:
    return {name: getattr(review, name) if review else None for name in CODED}


def _cost(visit: ReturnVisit) -> dict[str, Any] | None:
    cost = getattr(visit, "cost", None)
    if cost is None:
        return None
    amounts = {name: getattr(cost, name) for name in NAMES}
    known = cost_of(cost).known
    return {
        "currency": cost.currency,
        "minutes": amounts.pop("minutes"),
        **{name: _text(amount) for name, amount in amounts.items()},
        "known": _text(known),
    }


def _reviews(visit: ReturnVisit) -> tuple[ReturnReview | None, ReturnReview | None]:
    found = {review.is_second: review for review in visit.reviews.all()}
    return found.get(False), found.get(True)


def _text(amount: Any) -> str | None:
    return None if amount is None else str(amount)


def _day(day: Any) -> str | None:
    return day.isoformat() if day else None


def _flat(key: str) -> Column:
    def value(visit: ReturnVisit) -> Any:
        found = record(visit)[key]
        return " ".join(found) if isinstance(found, list) else found

    sort = ("return_order__opened_on",) if key == "came_back" else ()
    return Column(key, key, value, sort)


def _inside(outer: str, key: str) -> Column:
    def value(visit: ReturnVisit) -> Any:
        found = (record(visit)[outer] or {}).get(key)
        return " ".join(found) if isinstance(found, list) else found

    return Column(f"{outer}_{key}", f"{outer} {key}", value)


def _columns(*groups: Iterable[Column]) -> tuple[Column, ...]:
    return tuple(column for group in groups for column in group)


FLAT = (
    "return", "came_back", "level", "days", "km", "system", "symptom", "verdict", "reason", "state",
    "exclusion", "skipped", *CODED, "change", "check_on", "checked_on",
)  # fmt: skip
COLUMNS = _columns(
    map(_flat, FLAT),
    (_inside("apart", key) for key in CODED),
    (_inside("cost", key) for key in ("currency", *NAMES, "known")),
)
"""The same as columns of a CSV file; a return costs one row."""
