"""The required steps of an order: what each asks for, and what was read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnostics.evidence import Finding
from diagnostics.job.on_order import caution_texts, plain_name, reading_words
from diagnostics.job.records import Records, waived_by_itself
from diagnostics.models import RequiredStep, TestKind
from diagnostics.snapshot import Instrument, Order
from shared.wording import limits_text


@dataclass(frozen=True, slots=True)
class Step:
    """One required step. `state` is the ring that stands for it: joined, explained, open."""

    row: RequiredStep
    kind: TestKind | None
    name: str
    state: str
    words: str
    cautions: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        return f"step-{self.row.pk}"

    @property
    def subject(self) -> str:
        """What a finding of R4 calls this step."""
        return f"{self.row.complaint.ref}:{self.row.code}"

    @property
    def limits(self) -> str:
        if self.kind is None or self.kind.kind != TestKind.Kind.NUMERIC:
            return ""
        return limits_text(self.kind.lo, self.kind.hi, self.kind.unit)

    @property
    def is_open(self) -> bool:
        return self.state == "open"


def required_steps(
    order: Order,
    findings: tuple[Finding, ...],
    records: Records,
    kinds: dict[str, TestKind],
    instruments: Mapping[str, Instrument],
) -> list[Step]:
    """Return the required steps of all complaints, in the order on the record."""
    found = {finding.subject: finding for finding in findings if finding.rule == "R4"}
    texts = caution_texts(kinds)
    return [_step(row, records, found, order, kinds, texts, instruments) for row in records.steps]


def _step(row: RequiredStep, records: Records, found, order: Order, kinds, texts, instruments) -> Step:
    kind = kinds.get(row.code)
    finding = None if records.is_done(row) else found.get(f"{row.complaint.ref}:{row.code}")
    return Step(
        row=row,
        kind=kind,
        name=plain_name(row.code, kinds),
        state=_state(row, finding),
        words=_words(row, finding, order, kind, instruments),
        cautions=tuple(texts[code] for code in (kind.cautions if kind else ()) if code in texts),
    )


def _state(row: RequiredStep, finding: Finding | None) -> str:
    if finding is None:
        return "joined"
    return "explained" if finding.state == "explained" or waived_by_itself(row) else "open"


def _words(
    row: RequiredStep, finding: Finding | None, order: Order, kind: TestKind | None, instruments
) -> str:
    if finding is None:
        read = [test for test in order.tests if _is_it(test, row)]
        return reading_words(read[-1], instruments) if read else "done"
    if finding.state == "explained":
        return f"left out by {finding.explanation.by}" if finding.explanation else "left out"
    if waived_by_itself(row):
        return f"left out by {row.waiver_by}"
    return f"open, {kind.minutes} min" if kind else "open"


def _is_it(test, row: RequiredStep) -> bool:
    return (test.code, test.phase, test.complaint) == (row.code, row.phase, row.complaint.ref)
