"""The audit's counts as its tables print them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnostics.comebacks import MIN_ORDERS_TO_COMPARE
from diagnostics.job.on_order import plain_name, test_kinds
from diagnostics.models.protocol import PHASES
from diagnostics.review.audit import Audit, SystemRate
from diagnostics.review.names import words
from diagnostics.review.steps import StepCount
from diagnostics.statistics.proportions import Proportion
from shared.wording import count_text, interval_text, percent_text

MOST_STEPS = 12  # The rest stand folded below.


@dataclass(frozen=True, slots=True)
class Bar:
    """A share ready for a strip: all in per cent, on an axis that ends at `most`."""

    share: Proportion
    most: int

    @property
    def value(self) -> float:
        return 100 * self.share.share

    @property
    def low(self) -> float:
        return 100 * self.share.low

    @property
    def high(self) -> float:
        return 100 * self.share.high

    @property
    def rate(self) -> str:
        """The share in words: "7.5"."""
        return percent_text(self.share.share)

    @property
    def interval(self) -> str:
        """The interval in words: "4.7 to 11.8"."""
        return interval_text(self.share.low, self.share.high)

    @property
    def words(self) -> str:
        """The share in words, for those who cannot see the strip."""
        return f"{self.rate} %, {self.interval}"


@dataclass(frozen=True, slots=True)
class StepRow:
    """One protocol step as printed. `among`: skipped where it came back, and elsewhere."""

    name: str
    phase: str
    count: StepCount
    bars: tuple[tuple[str, Bar | None], ...]
    among: str

    @property
    def detail(self) -> str:
        """What the answer rests on."""
        done, skipped = self.count.done_rate, self.count.skipped_rate
        if self.count.few:
            side, orders = self.count.few
            jobs = count_text(orders, "job").capitalize()
            return f"{jobs} with it {side}; {MIN_ORDERS_TO_COMPARE} are needed on each side."
        if done is None or skipped is None:
            return ""
        if self.count.answer == "cannot_tell":
            return "The two intervals overlap."
        points = percent_text(abs(skipped.share - done.share))
        return (
            f"{points} points {self.count.answer}, and the intervals lie apart. An association, not a cause."
        )


@dataclass(frozen=True, slots=True)
class Steps:
    """The steps skipped most often, the other skipped ones, and how many were never skipped."""

    first: tuple[StepRow, ...]
    rest: tuple[StepRow, ...]
    never: int
    most: int


@dataclass(frozen=True, slots=True)
class RateRow:
    """One way of counting the rate."""

    name: str
    share: Proportion
    few: bool

    @property
    def value(self) -> str:
        return percent_text(self.share.share)

    @property
    def interval(self) -> str:
        return interval_text(self.share.low, self.share.high)


@dataclass(frozen=True, slots=True)
class Headline:
    """The one figure of the page on its axis, in per cent."""

    value: str
    low: str
    high: str
    most: int

    @property
    def label(self) -> str:
        """The drawing in words."""
        return f"{self.value} percent, 95 percent interval {self.low} to {self.high}, on a scale from 0"


@dataclass(frozen=True, slots=True)
class Systems:
    """The systems in the order of their names, never in the order of their rates."""

    rows: tuple[tuple[str, SystemRate, Bar], ...]
    most: int


def step_rows(audit: Audit) -> Steps:
    """Return the steps that were skipped, by name. One query."""
    counts = audit.skipped_steps
    kinds = test_kinds(count.code for count in counts)
    most = _most([share for count in counts[:MOST_STEPS] for share in (count.done_rate, count.skipped_rate)])
    phases = dict(PHASES)
    rows = tuple(
        StepRow(
            name=plain_name(count.code, kinds),
            phase=phases[count.phase],
            count=count,
            bars=(("done", _bar(count.done_rate, most)), ("skipped", _bar(count.skipped_rate, most))),
            among=_among(count, audit),
        )
        for count in counts
    )
    return Steps(rows[:MOST_STEPS], rows[MOST_STEPS:], len(audit.kept_steps), most)


def system_rows(audit: Audit, names: Mapping[str, str]) -> Systems:
    """Return the systems with their rates."""
    most = _most([row.share for row in audit.by_system if not row.too_few])
    rows = [(names.get(row.system, words(row.system)), row, Bar(row.share, most)) for row in audit.by_system]
    return Systems(tuple(sorted(rows, key=lambda row: row[0].lower())), most)


def rate_rows(audit: Audit) -> list[RateRow]:
    """Return the rate as it is published: provisional, reviewed twice, and of jobs without a fault found."""
    every, not_found = audit.rates.all_orders, audit.rates.no_fault_found
    named = (
        ("Provisional verdict", every, every.provisional),
        ("As reviewed, the undetermined left out", every, every.reviewed_lower),
        ("As reviewed, the undetermined counted", every, every.reviewed_upper),
        ("Of these, handed back with no fault found", not_found, not_found.provisional),
    )
    return [RateRow(name, share, rate.too_few_to_compare) for name, rate, share in named if share]


def headline(audit: Audit) -> Headline | None:
    """Return the provisional rate for the drawing, None of no orders."""
    share = audit.rates.all_orders.provisional
    if share is None:
        return None
    return Headline(
        percent_text(share.share), percent_text(share.low), percent_text(share.high), _most([share])
    )


def _among(count: StepCount, audit: Audit) -> str:
    share = count.skipped_rate
    if share is None:
        return ""
    return (
        f"Skipped in {share.count} of {audit.came_back} that came back and in {share.of - share.count} of "
        f"{audit.others} others."
    )


def _bar(share: Proportion | None, most: int) -> Bar | None:
    return None if share is None else Bar(share, most)


def _most(shares: list[Proportion | None]) -> int:
    """The end of the axis in per cent, a round number that holds every interval."""
    highest = max((100 * share.high for share in shares if share is not None), default=10)
    return min(100, max(10, int(-(-highest // 10) * 10)))
