"""The signals of the audit as their page prints them: trend, running sum, batches, vehicles, instruments."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from diagnostics.audit import keeping, policy
from diagnostics.audit.batches import Batches, batches
from diagnostics.audit.breakdown import key_text
from diagnostics.audit.by_month import LANEY, Trend
from diagnostics.audit.drawing import Chart, Month, cusum_drawing, p_chart_drawing
from diagnostics.audit.instruments import Leaning, leaning_on
from diagnostics.audit.names import Names
from diagnostics.audit.pages.addresses import jobs_url
from diagnostics.audit.scope import Scope
from diagnostics.audit.screen import Batch
from diagnostics.audit.signals import Watch, cusum_of, p_chart_of
from diagnostics.audit.vehicles import KeepsReturning, keep_returning
from shared.wording import and_list, count_text, number_text, percent_text, whole_text

MOST_ROWS = 20  # Of batches and of vehicles; the file has them all.
BATCH_RULE = (
    f"A batch stands out where at least {policy.BATCH_FAILED} of its jobs came back, at least "
    f"{policy.BATCH_RATIO:g} times as often as those of other batches of the same part number, with a "
    f"chi-square of at least {policy.BATCH_CHI_SQUARE:g}. Screening, not proof: look at the parts themselves."
)


@dataclass(frozen=True, slots=True)
class Signals:
    """Everything the page shows of one scope."""

    trend: Trend
    watch: Watch
    batches: Batches
    vehicles: tuple[KeepsReturning, ...]
    instruments: tuple[Leaning, ...]


def signals(scope: Scope) -> Signals:
    """Count what the page shows; a constant number of queries."""
    return Signals(
        trend=p_chart_of(scope),
        watch=cusum_of(scope),
        batches=batches(scope),
        vehicles=keep_returning(scope),
        instruments=leaning_on(scope.as_of),
    )


SIGNALS = keeping.question("signals", signals, Signals)


@dataclass(frozen=True, slots=True)
class ShownBatch:
    """One batch as printed."""

    batch: Batch
    ratio: str
    chi_square: str
    say: str
    url: str
    back_url: str


@dataclass(frozen=True, slots=True)
class ShownVehicle:
    """One vehicle as printed."""

    vehicle: KeepsReturning
    say: str


@dataclass(frozen=True, slots=True)
class ShownSignals:
    """The page. `months` and `sum` are None where there is nothing to draw."""

    months: Chart | None
    months_say: str
    limits_say: str
    sum: Chart | None
    sum_say: str
    sum_rule: str
    batches: tuple[ShownBatch, ...]
    vehicles: tuple[ShownVehicle, ...]


def shown_signals(found: Signals, query: dict[str, str]) -> ShownSignals:
    """Return the page of what was counted."""
    names = Names()
    return ShownSignals(
        months=_months(found.trend),
        months_say=trend_words(found.trend),
        limits_say=limits_words(found.trend),
        sum=_sum(found.watch),
        sum_say=watch_words(found.watch),
        sum_rule=watch_rule(found.watch),
        batches=tuple(_batch(one, query) for one in found.batches.rows[:MOST_ROWS]),
        vehicles=tuple(ShownVehicle(one, _vehicle_words(one, names)) for one in found.vehicles[:MOST_ROWS]),
    )


def trend_words(trend: Trend) -> str:
    """Return what the chart by month allows to be said."""
    mature = [one for one in trend.periods if not one.is_maturing and one.of]
    if trend.center is None:
        return "No month of this period has had its whole window yet."
    out = [one for one in mature if one.is_out]
    whole = f"All mature {trend.by}s together: {percent_text(trend.center)} %."
    if not out:
        return (
            f"{whole} No {trend.by} lies beyond the limits of chance; ups and downs inside them say nothing."
        )
    named = and_list([f"{one.label} ({one.count} of {one.of})" for one in out])
    return f"{whole} Beyond the limits of chance: {named}. Look at the jobs; it may still be chance."


def limits_words(trend: Trend) -> str:
    """Return what the limits of chance are."""
    if trend.limits == LANEY and trend.sigma_z is not None:
        wider = number_text(f"{trend.sigma_z:.1f}")
        return f"Limits of chance: Laney’s, {wider} times as wide, since the {trend.by}s differ by more than chance."
    return "Limits of chance: three sigmas, exact ones where few comebacks are expected."


def watch_words(watch: Watch) -> str:
    """Return what the running sum says now."""
    if not watch.jobs:
        return "No job of this period has had its whole window yet."
    stands = f"It stands at {number_text(f'{watch.now:.2f}')}; it calls at {watch.threshold:g}."
    if watch.above_since is not None:
        return (
            f"It calls. {stands} It has stood above since the job handed back on {_day(watch.above_since)}. "
            "It may be chance; read the last jobs that came back before changing anything."
        )
    if watch.signal_on is not None:
        called = f"It called first with the job handed back on {_day(watch.signal_on)}"
        return f"It does not call now. {stands} {called}, and has come down since."
    return f"It has not called. {stands}"


def watch_rule(watch: Watch) -> str:
    """Return how the sum is made and how often it is wrong."""
    base, odds = percent_text(watch.base), f"{watch.odds_ratio:g}"
    return (
        "Job after job in order of hand-over, each once its window has run: "
        f"{_signed(watch.w_event)} for one that came back, {_signed(watch.w_no_event)} for one that did not, "
        f"never below 0. It looks for odds {odds} times those of {base} %. At {base} % it calls falsely "
        f"about every {_about(watch.false_alarm_every)} jobs; where the odds did rise so far it takes about "
        f"{_about(watch.found_after)}. The mix of jobs is not allowed for."
    )


def _months(trend: Trend) -> Chart | None:
    if not trend.periods:
        return None
    months = [
        Month(one.label, one.count, one.of, one.low, one.high, one.is_out, one.is_maturing, one.estimate)
        for one in trend.periods
    ]
    return p_chart_drawing(months, center=trend.center, limits=trend.limits, by=trend.by)


def _sum(watch: Watch) -> Chart | None:
    if not watch.path:
        return None
    before = watch.first - 1
    labels = [(job - before, label) for job, label in watch.labels if job > before]
    signal = watch.signal - before if watch.signal and watch.signal > before else None
    return cusum_drawing(watch.path, threshold=watch.threshold, signal=signal, labels=labels)


def _batch(one: Batch, query: dict[str, str]) -> ShownBatch:
    which = {"by": "batch", "key": key_text((one.number, one.batch))}
    return ShownBatch(
        batch=one,
        ratio=_ratio(one),
        chi_square="" if one.chi_square is None else number_text(f"{one.chi_square:.1f}"),
        say="stands out" if one.signal else "no other batch" if not one.others_of else "does not stand out",
        url=jobs_url(query, which),
        back_url=jobs_url(query, which, {"back": "yes"}),
    )


def _ratio(one: Batch) -> str:
    if one.ratio is not None:
        return f"{number_text(f'{one.ratio:.1f}')} times"
    return "none of the others" if one.others_of else ""


def _vehicle_words(one: KeepsReturning, names: Names) -> str:
    said = [f"{count_text(jobs, 'job')} of {names.system(system)}" for system, jobs in one.systems]
    if one.comebacks:
        said.append(f"{count_text(one.comebacks, 'job')} that came back")
    text = and_list(said)
    return f"{text[:1].upper()}{text[1:]}"


def _signed(value: float) -> str:
    shown = number_text(f"{value:.3f}")
    return shown if value < 0 else f"+{shown}"


def _about(jobs: float) -> str:
    """A number of jobs to two figures: "1,300"."""
    step = 10 ** max(0, len(str(int(jobs))) - 2)
    return whole_text(round(jobs / step) * step)


def _day(day: date) -> str:
    return f"{day.day} {day:%b %Y}"
