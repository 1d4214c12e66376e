"""What the earlier job asked for and did not do, with what is known of it now."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagnostics.comebacks import Carried, carried
from diagnostics.evidence import Finding, is_left_out
from diagnostics.job.on_order import plain_name
from diagnostics.judging import describe
from diagnostics.models import TestKind
from diagnostics.models.protocol import PHASES
from diagnostics.review.facts_of_job import WORK, Line, line_of
from diagnostics.review.names import words
from diagnostics.snapshot import Complaint, Order, RequiredStep

PHASE_WORDS = dict(PHASES)


@dataclass(frozen=True, slots=True)
class SkippedStep:
    """One required step that was not done: skipped, or waived with a reason."""

    code: str
    name: str
    phase: str
    critical: bool
    waived: str  # the reason, empty where it was skipped
    minutes: int | None
    now: Line | None  # the same test in the later job

    @property
    def state(self) -> str:
        """The sign beside it."""
        return "explained" if self.waived else "open"


@dataclass(frozen=True, slots=True)
class Undone:
    """All that the earlier job left unproved."""

    steps: tuple[SkippedStep, ...]
    parts: tuple[str, ...]
    assumptions: tuple[str, ...]
    not_reread: tuple[Line, ...]
    still_failing: tuple[Line, ...]
    trials: tuple[str, ...]  # only complaints with fewer clean trials than needed

    @property
    def minutes(self) -> int:
        """How long the skipped steps take together, as far as it is known. [min]"""
        return sum(step.minutes or 0 for step in self.steps if not step.waived)

    @property
    def is_nothing(self) -> bool:
        """Whether the earlier job did all it was asked for."""
        return not (
            self.steps
            or self.parts
            or self.assumptions
            or self.not_reread
            or self.still_failing
            or self.trials
        )


def undone(
    index: Order, findings: Sequence[Finding], later: Order, *, kinds: Mapping[str, TestKind]
) -> Undone:
    """Return what `index` left unproved, and what `later` read where it was skipped.

    Parameters
    ----------
    index, later : Order
        The earlier job and the return, whole.
    findings : sequence of Finding
        Of the earlier job.
    kinds : mapping of code to TestKind
        The tests of both jobs that are in force.
    """
    left = carried(index, findings)
    by_id = {test.id: test for test in index.tests}
    assumed = {assumption.id: assumption.text for assumption in index.assumptions}
    return Undone(
        steps=tuple(_steps(index, findings, later, kinds)),
        parts=parts_words(index, left),
        assumptions=tuple(assumed[id] for id in left.open_assumptions),
        not_reread=tuple(line_of(by_id[id], kinds) for id in left.not_reread),
        still_failing=tuple(line_of(by_id[id], kinds) for id in left.still_failing),
        trials=trials_words(index, left),
    )


def parts_words(index: Order, left: Carried) -> tuple[str, ...]:
    """Return the parts fitted without a failing reading: "Battery replaced"."""
    items = {item.id: item for item in index.work}
    return tuple(
        f"{words(items[id].component).capitalize()} {WORK.get(items[id].kind, items[id].kind)}"
        for id in left.unsupported_parts
    )


def trials_words(index: Order, left: Carried) -> tuple[str, ...]:
    """Return the trials of each complaint that had fewer clean ones than needed."""
    texts = {complaint.id: complaint.text for complaint in index.complaints}
    several = len(left.trials) > 1
    return tuple(
        f"{done.words}{f', for “{texts[done.complaint]}”' if several else ''}"
        for done in left.trials
        if done.clean < done.needed
    )


def _steps(
    index: Order, findings: Sequence[Finding], later: Order, kinds: Mapping[str, TestKind]
) -> list[SkippedStep]:
    found = {finding.subject: finding for finding in findings if finding.rule == "R4"}
    done = {(test.code.strip(), test.phase, test.complaint) for test in index.tests if test.status == "done"}
    return [
        _skipped(step, found[f"{complaint.id}:{step.code}"], later, kinds)
        for complaint, step in _required(index)
        if f"{complaint.id}:{step.code}" in found
        and (step.code.strip(), step.phase, complaint.id) not in done
    ]


def _required(index: Order) -> list[tuple[Complaint, RequiredStep]]:
    return [(complaint, step) for complaint in index.complaints for step in complaint.required]


def _skipped(
    step: RequiredStep, finding: Finding, later: Order, kinds: Mapping[str, TestKind]
) -> SkippedStep:
    explained = finding.state == "explained" and finding.explanation
    left_out = is_left_out(step.waiver, critical=step.critical)
    own_reason = step.waiver.reason if step.waiver and left_out else ""
    same = [
        test
        for test in later.tests
        if test.code.strip() == step.code.strip() and test.phase == step.phase and test.status == "done"
    ]
    # A failing reading tells more of what was missed than the passing one after the repair.
    same.sort(key=lambda test: describe(test).key not in ("failed", "above", "below"))
    return SkippedStep(
        code=step.code,
        name=plain_name(step.code, kinds),
        phase=PHASE_WORDS.get(step.phase, step.phase),
        critical=step.critical,
        waived=explained.reason if explained else own_reason,
        minutes=kinds[step.code].minutes if step.code in kinds else None,
        now=line_of(same[0], kinds) if same else None,
    )
