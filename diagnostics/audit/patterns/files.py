"""The tables of steps and of signals as rows of a file."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from diagnostics.audit.check_words import say
from diagnostics.audit.checks import CheckTable
from diagnostics.audit.compared import CheckRow
from diagnostics.audit.names import Names
from diagnostics.audit.patterns.signals import Signals
from diagnostics.audit.patterns.steps import Both, name_of

CHECK_HEAD = [
    "kind",
    "code",
    "phase",
    "name",
    "required",
    "done",
    "waived",
    "skipped",
    "done_jobs",
    "done_back",
    "skipped_jobs",
    "skipped_back",
    "waived_jobs",
    "waived_back",
    "difference",
    "difference_low",
    "difference_high",
    "ratio",
    "ratio_low",
    "ratio_high",
    "mh_difference",
    "mh_difference_low",
    "mh_difference_high",
    "mh_ratio",
    "mh_ratio_low",
    "mh_ratio_high",
    "jobs_compared",
    "jobs_dropped",
    "breslow_day_p",
    "mantel_fleiss",
    "p",
    "p_by",
    "q",
    "stands_out",
    "says",
    "test_minutes",
    "extra_per_100",
    "extra_minutes",
    "extra_money",
    "currency",
]
CELL_HEAD = ["system", "difficulty", "done_jobs", "done_back", "skipped_jobs", "skipped_back", "compared"]
SIGNAL_HEAD = ["table", "name", "part_or_month", "count", "of", "low", "high", "figure", "remark"]


def check_lines(both: Both) -> Iterator[list[Any]]:
    """Yield the head and one row a check, steps first."""
    names = Names()
    yield list(CHECK_HEAD)
    for table in (both.steps, both.gaps):
        yield from (_check(row, table, names) for row in table.rows)


def cell_lines(row: CheckRow) -> Iterator[list[Any]]:
    """Yield the head and one row a stratum of one check."""
    yield list(CELL_HEAD)
    for cell in row.counts.cells:
        yield [
            cell.system,
            cell.difficulty,
            cell.done,
            cell.done_back,
            cell.skipped,
            cell.skipped_back,
            _word(cell.tells),
        ]


def signal_lines(found: Signals) -> Iterator[list[Any]]:
    """Yield the head and the rows of months, the running sum, batches, vehicles and instruments."""
    yield list(SIGNAL_HEAD)
    trend, watch = found.trend, found.watch
    for one in trend.periods:
        remark = "maturing" if one.is_maturing else "beyond the limits" if one.is_out else ""
        share = one.estimate if one.is_maturing else (one.count / one.of if one.of else None)
        yield ["month", one.label, one.first, one.count, one.of, one.low, one.high, share, remark]
    called = f"called on {watch.signal_on}" if watch.signal_on else ""
    yield ["running sum", "now", "", watch.came_back, watch.jobs, 0, watch.threshold, watch.now, called]
    for batch in found.batches.rows:
        says = "stands out" if batch.signal else ""
        yield ["batch", batch.number, batch.batch, batch.failed, batch.of, "", "", batch.ratio, says]
    for vehicle in found.vehicles:
        systems = "; ".join(f"{system} {jobs}" for system, jobs in vehicle.systems)
        yield ["vehicle", vehicle.name, "", vehicle.comebacks, "", "", "", vehicle.last_seen, systems]
    for one in found.instruments:
        yield [
            "instrument",
            one.code,
            one.kind,
            one.open_readings,
            one.readings,
            "",
            "",
            one.since,
            one.state_words,
        ]


def _check(row: CheckRow, table: CheckTable, names: Names) -> list[Any]:
    counts, adjusted, price = row.counts, row.adjusted, row.price
    return [
        table.kind,
        row.code,
        row.phase,
        name_of(row.code, row.phase, names),
        counts.required,
        counts.done,
        counts.waived,
        counts.skipped,
        *_share(row.when_done),
        *_share(row.when_skipped),
        *_share(row.when_waived),
        *_three(row.difference),
        *_three(row.ratio),
        *_three(adjusted and adjusted.difference),
        *_three(adjusted and adjusted.ratio),
        adjusted and adjusted.jobs,
        adjusted and adjusted.dropped,
        adjusted and adjusted.breslow_day_p,
        row.gate.mantel_fleiss,
        row.p,
        row.p_by,
        row.q,
        _word(row.listed),
        say(row),
        price and price.test_minutes,
        _first(price and price.extra),
        _first(price and price.extra_minutes),
        _first(price and price.extra_money),
        table.mean.currency,
    ]


def _share(share: Any) -> tuple[int, int]:
    return (share.of, share.count) if share else (0, 0)


def _three(value: Any) -> tuple[Any, Any, Any]:
    return (value.value, value.low, value.high) if value else (None, None, None)


def _first(three: Iterable[Any] | None) -> Any:
    return next(iter(three)) if three else None


def _word(is_so: bool) -> str:
    return "yes" if is_so else "no"
