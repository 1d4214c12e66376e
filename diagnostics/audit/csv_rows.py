"""Every table of the audit as rows of a file: shares from 0 to 1, days as whole numbers, nothing rounded."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from diagnostics.audit.breakdown import BY, OWNER_ONLY, breakdown
from diagnostics.audit.curve import curve
from diagnostics.audit.people import Of, people
from diagnostics.audit.rates import headline
from diagnostics.audit.scope import Scope
from diagnostics.statistics.proportions import Proportion

TABLES = ("rate", "curve", "breakdown", "people", "shops")

Line = list[Any]

SHARE = ["came back", "jobs", "share", "95 % from", "to"]
RANGE = ["within 95 % of chance from", "to", "within 99.9 % of chance from", "to"]
UNIT = [
    "jobs",
    "came back",
    "expected",
    "came back over expected",
    "adjusted share",
    "95 % from",
    "to",
    "share leaning on all",
]


def csv_rows(scope: Scope, table: str, *, by: str = "", with_names: bool = True) -> Iterator[Line]:
    """Yield the head and the rows of one of `TABLES`.

    Parameters
    ----------
    scope : Scope
        The question of the page.
    table : str
        "breakdown" takes a field of `breakdown.BY` in `by`.
    with_names : bool
        Whether technicians are named; else they are numbered in the order of their names.

    Raises
    ------
    KeyError
        If there is no such table or field.
    """
    if table == "breakdown":
        return _breakdown(scope, by, with_names)
    tables: dict[str, Callable[[], Iterator[Line]]] = {
        "rate": lambda: _rate(scope),
        "curve": lambda: _curve(scope),
        "people": lambda: _units(scope, "technician", with_names),
        "shops": lambda: _units(scope, "location", True),
    }
    return tables[table]()


def _rate(scope: Scope) -> Iterator[Line]:
    found = headline(scope)
    yield ["counted", *SHARE, "as known on"]
    shares = {
        "by the verdict": found.provisional,
        "as reviewed, undetermined left out": found.reviewed_low,
        "as reviewed, undetermined counted": found.reviewed_high,
        "handed back with no fault found": found.no_fault_found,
        "so far, of all handed back": found.naive,
    }
    for window in found.windows:
        name = f"within {window.days} days" if window.days else "within the window of each shop"
        shares[f"{name}, by the verdict"] = window.share
    for name, share in shares.items():
        yield [name, *_share(share), scope.as_of.isoformat()]
    yield ["too young to count", None, found.too_young, None, None, None, scope.as_of.isoformat()]


def _curve(scope: Scope) -> Iterator[Line]:
    yield ["day", "share back", "95 % from", "to", "still watched", "drawn"]
    found = curve(scope)
    for point in found.points:
        is_drawn = "yes" if point.day <= found.drawn_to else "no"
        yield [point.day, point.value, point.low, point.high, point.at_risk, is_drawn]


def _breakdown(scope: Scope, by: str, with_names: bool) -> Iterator[Line]:
    wanted = BY[by]
    yield [wanted.label.lower(), *SHARE, *RANGE, "can say"]
    for number, row in enumerate(breakdown(scope, by), start=1):
        name = row.label if with_names or by not in OWNER_ONLY else str(number)
        yield [name, *_share(row.share, row.too_few), *_limits(row.limits), row.flag]


def _units(scope: Scope, of: Of, with_names: bool) -> Iterator[Line]:
    yield [of if of == "technician" else "shop", *UNIT, *RANGE, "can say"]
    for number, unit in enumerate(people(scope, of).rows, start=1):
        yield [
            unit.label if with_names else str(number),
            unit.eligible,
            unit.comebacks,
            unit.expected,
            unit.ratio.value if unit.ratio else None,
            unit.adjusted,
            unit.low,
            unit.high,
            unit.shrunk,
            *_limits(unit.limits),
            unit.flag,
        ]


def _share(share: Proportion | None, too_few: bool = False) -> Line:
    """A share with its interval; the counts alone where there are too few for a rate."""
    if share is None:
        return [0, 0, None, None, None]
    if too_few:
        return [share.count, share.of, None, None, None]
    return [share.count, share.of, share.share, share.low, share.high]


def _limits(limits: tuple[tuple[float, float], ...]) -> Line:
    return [end for pair in limits for end in pair] or [None] * 4
