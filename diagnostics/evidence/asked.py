"""What a job was asked for, step by step and rule by rule, and what became of each. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import Literal, NamedTuple

from diagnostics.evidence import Finding, has_valid_plan
from diagnostics.evidence.cause import borne_on
from diagnostics.evidence.explain import settle
from diagnostics.evidence.measured import steps_not_done
from diagnostics.evidence.proved import clean_trials
from diagnostics.evidence.terms import Terms
from diagnostics.evidence.trials import trials_needed
from diagnostics.judging import reading_key
from diagnostics.snapshot import Complaint

CheckState = Literal["done", "waived", "skipped"]

PARTS_THAT_NEED_A_READING = frozenset({"cause", "consequential"})

_OF_FINDING: Mapping[str, CheckState] = {"explained": "waived", "gap": "skipped", "pending": "skipped"}
_WORST_LAST: tuple[CheckState, ...] = ("done", "waived", "skipped")


class Check(NamedTuple):
    """One thing a job was asked for. `code` is a step's, or a rule's without a phase."""

    code: str
    phase: str
    complaint: str  # '' where the record names none
    state: CheckState
    system: str
    symptom: str
    difficulty: int | None


def checks_of(terms: Terms, findings: Iterable[Finding]) -> tuple[Check, ...]:
    """Return what a handed-back order was asked for.

    Parameters
    ----------
    terms : Terms
        Of the order.
    findings : iterable of Finding
        All findings of the order.

    Returns
    -------
    tuple of Check
        One for each complaint, code and phase, sorted; of several the worst state stands. Required steps; R1
        for each symptom complaint; R11 where a part was replaced as the cause or its consequence; R14 where
        something was assumed; R17 where cause work rests on a failing reading that can be taken again; R19
        where there is cause work or a valid trial plan. Where R2 or R20 spoke in R19's place, R19's own
        question, enough clean trials, decides between done and not; the finding that spoke between waived and
        skipped.

    References
    ----------
    .. [1] practice.md sections 4 to 6; section 11, skipped-test analysis.
    """
    by_rule: dict[str, dict[str, CheckState]] = defaultdict(dict)
    for finding in findings:
        by_rule[finding.rule][finding.subject] = _OF_FINDING[finding.state]
    worst: dict[tuple[str, str, str], CheckState] = {}
    for key, state in _all(terms, by_rule):
        worst[key] = _worse(worst.get(key, "done"), state)
    return tuple(sorted(_check(terms, key, state) for key, state in worst.items()))


Asked = tuple[tuple[str, str, str], CheckState]
Found = Mapping[str, Mapping[str, CheckState]]


def _all(terms: Terms, found: Found) -> Iterator[Asked]:
    yield from _steps(terms)
    yield from _seen(terms, found["R1"])
    yield from _supported(terms, found["R11"])
    yield from _assumed(terms, found["R14"])
    yield from _read_again(terms, found["R17"])
    yield from _proved(terms, found)


def _steps(terms: Terms) -> Iterator[Asked]:
    """Each step by itself: the finding of R4 puts both phases of a code together."""
    for complaint in terms.order.complaints:
        for step in complaint.required:
            yield (step.code.strip(), step.phase, complaint.id), "done"
    for complaint, step, raised in steps_not_done(terms):
        (finding,) = settle([raised], terms.order)
        yield (step.code.strip(), step.phase, complaint.id), _OF_FINDING[finding.state]


def _seen(terms: Terms, found: Mapping[str, CheckState]) -> Iterator[Asked]:
    for complaint in terms.symptoms:
        yield ("R1", "", complaint.id), found.get(complaint.id, "done")


def _supported(terms: Terms, found: Mapping[str, CheckState]) -> Iterator[Asked]:
    for done in terms.work:
        if done.work.kind == "replace" and done.work.reason in PARTS_THAT_NEED_A_READING:
            yield ("R11", "", done.complaint), found.get(done.work.id, "done")


def _assumed(terms: Terms, found: Mapping[str, CheckState]) -> Iterator[Asked]:
    for assumption in terms.order.assumptions:
        complaint = next(iter(borne_on(assumption, terms)), "")
        yield ("R14", "", complaint), found.get(assumption.id, "done")


def _read_again(terms: Terms, found: Mapping[str, CheckState]) -> Iterator[Asked]:
    """The finding names the first test of a reading; every work item that rests on the reading shares it."""
    of_reading = {
        reading_key(terms.test_by_id[subject].test): state
        for subject, state in found.items()
        if subject in terms.test_by_id
    }
    for done in terms.work:
        for counted in done.failing if done.is_for_cause else ():
            if counted.test.repeatable:
                yield ("R17", "", done.complaint), of_reading.get(reading_key(counted.test), "done")


def _proved(terms: Terms, found: Found) -> Iterator[Asked]:
    for complaint in terms.symptoms:
        if terms.cause_work.get(complaint.id) or has_valid_plan(complaint.plan):
            yield ("R19", "", complaint.id), _proof(terms, complaint, found)


def _proof(terms: Terms, complaint: Complaint, found: Found) -> CheckState:
    needed = trials_needed(complaint, terms.attempts[complaint.id], policy=terms.policy)
    if clean_trials(terms, complaint) >= needed:
        return "done"
    spoke = [found[rule][complaint.id] for rule in ("R2", "R19", "R20") if complaint.id in found[rule]]
    return max(spoke, key=_WORST_LAST.index)


def _check(terms: Terms, key: tuple[str, str, str], state: CheckState) -> Check:
    code, phase, complaint = key
    about = terms.complaints.get(complaint)
    if about is None:
        return Check(code, phase, complaint, state, "", "", None)
    return Check(code, phase, complaint, state, about.system.strip(), about.symptom.strip(), about.difficulty)


def _worse(a: CheckState, b: CheckState) -> CheckState:
    return max(a, b, key=_WORST_LAST.index)
