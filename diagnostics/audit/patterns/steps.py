"""Steps and gaps as their pages print them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import ceil

from django.urls import reverse

from diagnostics.audit import keeping
from diagnostics.audit.check_words import extra_text, price_text, say, state_word
from diagnostics.audit.checks import CheckTable, check_rows
from diagnostics.audit.compared import Cell, CheckRow
from diagnostics.audit.names import PHASE_WORDS, Names
from diagnostics.audit.pages.addresses import jobs_url
from diagnostics.audit.scope import Scope
from diagnostics.evidence.rules import RULES
from diagnostics.statistics.proportions import Difference, Proportion, proportion
from diagnostics.statistics.ratios import Ratio
from shared.wording import count_text, number_text, whole_text

MOST_ROWS = 12  # The rest stand folded below.
PHASES = {**PHASE_WORDS, "": ""}
GAP = "gap"  # Stands in an address where a step has its phase.
DIFFICULTY = {None: "not given", 1: "1, easy", 2: "2", 3: "3, hard"}


@dataclass(frozen=True, slots=True)
class Both:
    """The required steps and the other gaps of one scope."""

    steps: CheckTable
    gaps: CheckTable


def both(scope: Scope) -> Both:
    """Count steps and gaps; a constant number of queries."""
    return Both(check_rows(scope, "steps"), check_rows(scope, "gaps"))


STEPS = keeping.question("steps", both, Both)


@dataclass(frozen=True, slots=True)
class Side:
    """Jobs where it was done, or skipped: how many came back, and the addresses of these jobs."""

    word: str
    share: Proportion | None
    url: str
    back_url: str


@dataclass(frozen=True, slots=True)
class ShownRow:
    """One check as printed."""

    row: CheckRow
    name: str
    phase: str
    url: str
    sides: tuple[Side, Side]
    say: str
    extra: str
    price: str


@dataclass(frozen=True, slots=True)
class ShownTable:
    """One table: the first rows, those folded below, and where the axis of its strips ends (0 to 1)."""

    table: CheckTable
    first: tuple[ShownRow, ...]
    rest: tuple[ShownRow, ...]
    most: float

    @property
    def never(self) -> int:
        """How many were asked for and never skipped; they stand in no row."""
        return len(self.table.rows) - len(self.first) - len(self.rest)


@dataclass(frozen=True, slots=True)
class ShownCell:
    """One stratum of a check as printed."""

    system: str
    difficulty: str
    sides: tuple[Side, Side]


def shown_table(table: CheckTable, names: Names, query: dict[str, str]) -> ShownTable:
    """Return the checks that were skipped at least once, with the addresses of the jobs behind them."""
    skipped = [row for row in table.rows if row.counts.skipped]
    rows = tuple(shown_row(row, table, names, query) for row in skipped)
    first = rows[:MOST_ROWS]
    return ShownTable(table, first, rows[MOST_ROWS:], axis_end(side for row in first for side in row.sides))


def shown_row(row: CheckRow, table: CheckTable, names: Names, query: dict[str, str]) -> ShownRow:
    """Return one check as printed."""
    return ShownRow(
        row=row,
        name=name_of(row.code, row.phase, names),
        phase=PHASES[row.phase],
        url=reverse("audit-step", args=[row.code, row.phase or GAP]),
        sides=_sides(row, row.when_done, row.when_skipped, query),
        say=say(row),
        extra=extra_text(row),
        price=price_text(row, table.mean),
    )


def name_of(code: str, phase: str, names: Names) -> str:
    """Return what a step or a gap is called, without its phase."""
    if phase:
        return names.step(code, "")
    return RULES[code].title if code in RULES else code


def shown_cells(row: CheckRow, names: Names, query: dict[str, str]) -> Iterator[ShownCell]:
    """Yield the strata of a check with the addresses of the jobs in each, those with most to tell first."""
    for cell in sorted(row.counts.cells, key=_least_told):
        stratum = {"stratum": f"{cell.system}:{cell.difficulty or ''}"}
        done = proportion(cell.done_back, cell.done) if cell.done else None
        skipped = proportion(cell.skipped_back, cell.skipped) if cell.skipped else None
        yield ShownCell(
            system=names.system(cell.system),
            difficulty=DIFFICULTY.get(cell.difficulty, str(cell.difficulty)),
            sides=_sides(row, done, skipped, query | stratum),
        )


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of the comparison: what it is, a remark, its value and its interval."""

    label: str
    remark: str
    value: str
    interval: str = ""


def figures(row: CheckRow) -> Iterator[Figure]:
    """Yield the comparison in full."""
    adjusted = row.adjusted
    if row.difference and row.ratio:
        yield Figure("Difference", "all jobs together", *_points(row.difference))
        yield Figure("Ratio", "all jobs together", *_times(row.ratio))
    if adjusted:
        yield Figure("Difference", "within strata", *_points(adjusted.difference))
        yield Figure("Ratio", "within strata", *_times(adjusted.ratio))
        dropped = f"{count_text(adjusted.dropped, 'job')} dropped: all of their stratum did it, or none"
        yield Figure("Jobs that could be compared", dropped, whole_text(adjusted.jobs))
    if adjusted and adjusted.breslow_day_p is not None:
        agree = "Breslow-Day: they do" if adjusted.holds else "Breslow-Day: they do not, read each of them"
        yield Figure("Do the strata agree?", agree, f"p {_p(adjusted.breslow_day_p)}")
    how_far = "Mantel-Fleiss; 5 or more are needed to judge"
    yield Figure("How far the count could move", how_far, number_text(f"{row.gate.mantel_fleiss:.1f}"))
    if row.p is not None:
        yield Figure("So much apart by chance alone", row.p_by, f"p {_p(row.p)}")
    if row.q is not None:
        yield Figure("The same, with all compared", "stands out at 0.10 or less", f"q {_p(row.q)}")


def points_text(share: float) -> str:
    """Return a difference of shares in points of a hundred, signed: "+4.6", "−5.4"."""
    shown = number_text(f"{100 * share:.1f}")
    return shown if share < 0 else f"+{shown}"


def _points(difference: Difference) -> tuple[str, str]:
    return points_text(difference.value), f"{points_text(difference.low)} to {points_text(difference.high)}"


def _times(ratio: Ratio) -> tuple[str, str]:
    interval = "" if ratio.low is None else f"{_ratio(ratio.low)} to {_ratio(ratio.high)}"
    return _ratio(ratio.value), interval


def _ratio(value: float | None) -> str:
    return "no end" if value is None else number_text(f"{value:.2f}")


def _p(p: float) -> str:
    return "below 0.001" if p < 0.001 else number_text(f"{p:.3f}")


def waived_side(row: CheckRow, query: dict[str, str]) -> Side:
    """Return the jobs that only waived it; they are compared with none."""
    return _side(row, "waived", row.when_waived, query)


def axis_end(sides: Iterable[Side]) -> float:
    """Return where an axis of shares ends: the next tenth that holds every interval, at least 0.1."""
    highest = max((side.share.high for side in sides if side.share), default=0.1)
    return min(1.0, max(0.1, ceil(10 * highest - 1e-9) / 10))


def _least_told(cell: Cell) -> tuple[float, str, int]:
    """By the weight of a stratum in the pool, the heaviest first."""
    weight = cell.skipped * cell.done / (cell.skipped + cell.done)
    return -weight, cell.system, cell.difficulty or 0


def _sides(
    row: CheckRow, done: Proportion | None, skipped: Proportion | None, query: dict[str, str]
) -> tuple[Side, Side]:
    return _side(row, "done", done, query), _side(row, "skipped", skipped, query)


def _side(row: CheckRow, state: str, share: Proportion | None, query: dict[str, str]) -> Side:
    which = {"check": row.code, "phase": row.phase, "state": state}
    return Side(
        state_word(row, state), share, jobs_url(query, which), jobs_url(query, which, {"back": "yes"})
    )
