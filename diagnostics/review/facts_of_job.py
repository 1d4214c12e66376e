"""The main facts of each link of one job, in lines short enough to be laid beside another job's."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from diagnostics.comebacks.carried import is_open
from diagnostics.evidence import RINGS, Finding, is_left_out
from diagnostics.job.on_order import plain_name
from diagnostics.judging import describe, limits_in_reading_unit
from diagnostics.models import TestKind
from diagnostics.review.names import words
from diagnostics.snapshot import Attempt, Complaint, Order, Test, TrialSeries, Work
from shared.moments import Moment

MOST_LINES = 9  # A longer section says how many more there are; the job page shows them all.

PATTERNS = {"constant": "always there", "intermittent": "comes and goes"}
SEEN = {"reproduced": "seen", "partly": "partly seen", "not_reproduced": "not seen"}
WORK = {
    "replace": "replaced",
    "repair": "repaired",
    "clean": "cleaned",
    "adjust": "adjusted",
    "reset": "reset",
}
VERDICTS = {"passed": "pass", "failed": "fail"}  # The rest are called alike on pages.


@dataclass(frozen=True, slots=True)
class Line:
    """One fact. `kind` says how it is set: said, text, observed or reading.

    Of a test, `text` is its name, and `note` what was observed.
    """

    kind: str
    text: str
    note: str = ""
    when: Moment | None = None
    value: Decimal | None = None
    unit: str = ""
    lo: Decimal | None = None
    hi: Decimal | None = None
    verdict: str = ""


@dataclass(frozen=True, slots=True)
class _Job:
    order: Order
    gaps: frozenset[tuple[str, str]]  # rule and subject of what is missing or will be
    findings: tuple[Finding, ...]
    kinds: Mapping[str, TestKind]
    symptoms: Mapping[str, str]

    def is_missing(self, rule: str, subject: str) -> bool:
        return (rule, subject) in self.gaps


def facts_by_ring(
    order: Order,
    findings: Sequence[Finding],
    *,
    kinds: Mapping[str, TestKind],
    symptoms: Mapping[str, str],
    sheets: Sequence[int],
    closing_reason: str = "",
) -> dict[str, tuple[Line, ...]]:
    """Return the lines of each of the seven rings, by the ring's name.

    Parameters
    ----------
    order : Order
        The job, whole.
    findings : sequence of Finding
        All findings of it.
    kinds, symptoms : by code
        What its tests and symptoms are called.
    sheets : sequence of int
        Versions of the findings sheet that were issued.
    closing_reason : str
        Why it was handed back with gaps open.
    """
    gaps = frozenset((f.rule, f.subject) for f in findings if f.state != "explained")
    job = _Job(order, gaps, tuple(findings), kinds, symptoms)
    lines = {name: tuple(told(job)) for name, told in _TOLD.items()}
    lines["papers"] = tuple(_papers(order, sheets, closing_reason))
    return {name: _shortened(lines[name]) for name in RINGS}


def line_of(test: Test, kinds: Mapping[str, TestKind]) -> Line:
    """Return one test as a line: a reading with its limits, or what was observed."""
    name = f"{plain_name(test.code, kinds)}{f', {test.point}' if test.point else ''}"
    verdict = describe(test)
    shown = VERDICTS.get(verdict.key, verdict.key)
    if test.status == "not_applicable":
        return Line("text", f"{name}: not applicable")
    if test.kind == "numeric" and test.value is not None:
        lo, hi = limits_in_reading_unit(test)
        return Line("reading", name, "", None, test.value, test.unit, lo, hi, shown)
    if test.kind == "numeric":
        return Line("text", f"{name}: claimed, no value")
    seen = test.observation.strip()
    if test.kind == "attribute":
        return Line("observed", name, seen or "claimed, nothing observed", verdict=shown)
    return Line("text", f"{name}: {seen or 'read'}")


def _reported(job: _Job) -> Iterator[Line]:
    for complaint in job.order.complaints:
        named = job.symptoms.get(complaint.symptom) or words(complaint.symptom)
        note = ", ".join(filter(None, [named or complaint.kind, PATTERNS.get(complaint.pattern or "", "")]))
        yield Line("said", complaint.text, note, job.order.opened)


def _seen(job: _Job) -> Iterator[Line]:
    for complaint in _symptoms(job.order):
        for attempt in complaint.attempts:
            yield Line("text", _tried(attempt))
        if complaint.plan:
            conditions = f": {complaint.plan.conditions}" if complaint.plan.conditions else ""
            yield Line("text", f"Trials agreed: {complaint.plan.n}{conditions}")
        if not complaint.attempts:
            yield Line("text", "Not tried: no attempt is on record.")


def _measured(job: _Job) -> Iterator[Line]:
    yield from (Line("text", text) for text in dict.fromkeys(_not_done(job)))
    before = [test for test in job.order.tests if test.phase == "before"]
    yield from (line_of(test, job.kinds) for test in _failures_first(before))
    if not before:
        yield Line("text", "Nothing was measured before the work.")


def _not_done(job: _Job) -> Iterator[str]:
    done = {(test.code.strip(), test.phase, test.complaint) for test in job.order.tests}
    yet = "" if job.order.returned else " yet"
    for complaint in job.order.complaints:
        for step in complaint.required:
            is_done = (step.code.strip(), step.phase, complaint.id) in done
            if is_left_out(step.waiver, critical=step.critical):
                continue
            if is_done or not job.is_missing("R4", f"{complaint.id}:{step.code}"):
                continue
            when = " after the repair" if step.phase == "after" else ""
            critical = ", a critical step" if step.critical else ""
            yield f"Not done{yet}{when}: {plain_name(step.code, job.kinds)}{critical}"


def _cause(job: _Job) -> Iterator[Line]:
    unproved = {c for f in job.findings if f.rule == "R12" and f.state != "explained" for c in f.complaints}
    for cause in job.order.causes:
        text = ", ".join(filter(None, [words(cause.component).capitalize(), cause.mode or cause.statement]))
        yield Line("text", text)
        if cause.complaint in unproved:
            yield Line("text", "No failing reading isolates it.")
    for assumption in job.order.assumptions:
        if is_open(assumption, job.order):
            yield Line("text", f"Assumed, not tested: {assumption.text}")
    for finding in job.findings:
        if finding.rule == "R13" and finding.state != "explained":
            yield Line("text", f"Suspect left open: {words(finding.subject)}")
    if not job.order.causes:
        yield Line("text", "No cause is on record.")


def _repair(job: _Job) -> Iterator[Line]:
    for item in job.order.work:
        yield Line("text", _done(item))
        if job.is_missing("R11", item.id):
            yield Line("text", "No failing reading called for it.")
        if job.is_missing("R22", item.id):
            yield Line("text", "Not checked by a second person.")
    for declined in job.order.declined:
        yield Line("text", f"Declined by the customer: {words(declined.component)}")
    if not job.order.work and not job.order.declined:
        yield Line("text", "No work is on record.")


def _proved(job: _Job) -> Iterator[Line]:
    after = [test for test in job.order.tests if test.phase == "after"]
    yield from (line_of(test, job.kinds) for test in after)
    yield from (Line("text", _tries(series)) for series in job.order.trials)
    if not after and not job.order.trials:
        yield Line("text", "Nothing was measured or tried again after the work.")


def _papers(order: Order, sheets: Sequence[int], closing_reason: str) -> Iterator[Line]:
    if sheets:
        yield Line("text", f"Findings sheet, version {max(sheets)}.")
    elif order.returned is not None:
        yield Line("text", "No findings sheet was issued.")
    if closing_reason:
        yield Line("text", f"Handed back with links open: “{closing_reason}”")


_TOLD: dict[str, Callable[[_Job], Iterator[Line]]] = {
    "reported": _reported,
    "seen": _seen,
    "measured": _measured,
    "cause": _cause,
    "repair": _repair,
    "proved": _proved,
}


def _symptoms(order: Order) -> Iterable[Complaint]:
    return (complaint for complaint in order.complaints if complaint.kind == "symptom")


def _tried(attempt: Attempt) -> str:
    outcome = SEEN.get(attempt.outcome, attempt.outcome)
    count = f", {attempt.k} of {attempt.n}" if attempt.k is not None and attempt.n is not None else ""
    conditions = attempt.conditions.strip() or "conditions not written down"
    connected = ", test equipment connected" if attempt.equipment_connected else ""
    return f"{outcome.capitalize()}{count}: {conditions}{connected}"


def _tries(series: TrialSeries) -> str:
    tries = f"{series.n} {'trial' if series.n == 1 else 'trials'}"
    outcome = f"came back in {series.recurrences} of {tries}" if series.recurrences else f"{tries}, all clean"
    other = "" if series.conditions_match else ", under other conditions"
    connected = ", test equipment connected" if series.equipment_connected else ""
    return f"{outcome[:1].upper()}{outcome[1:]}{other}{connected}."


def _done(item: Work) -> str:
    part = item.part
    about = [part.condition or "", f"batch {part.batch}" if part.batch else ""] if part else []
    text = f"{words(item.component).capitalize()} {WORK.get(item.kind, item.kind)}"
    return ", ".join([text, *filter(None, about)]) + "."


def _failures_first(tests: Sequence[Test]) -> list[Test]:
    """Readings that failed come first; in a long list they must not be cut off."""
    if len(tests) <= MOST_LINES:
        return list(tests)
    return sorted(tests, key=lambda test: describe(test).key not in ("failed", "above", "below"))


def _shortened(lines: tuple[Line, ...]) -> tuple[Line, ...]:
    if len(lines) <= MOST_LINES:
        return lines
    left = len(lines) - MOST_LINES + 1
    return (*lines[: MOST_LINES - 1], Line("text", "", f"and {left} more on the page of the job"))
