"""What the records of both jobs show of why the repair did not hold: facts, each with a code it speaks for.

A fact is offered as "the records show" and cited by a person. No code is ever chosen from it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from diagnostics.comebacks.carried import is_open
from diagnostics.evidence import Finding
from diagnostics.judging import is_blank, outcome, same_reading
from diagnostics.snapshot import Order, Test, Work

NAME_OF = Callable[[str], str]
"""What a test is called on pages, by its code."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact on record. `key` cites it, `code` is what it speaks for, `escape` where it could be seen."""

    key: str
    code: str
    escape: str
    text: str


@dataclass(frozen=True, slots=True)
class Speaks:
    """What a finding of the evidence rules speaks for."""

    code: str
    escape: str
    says: str


RULES: Mapping[str, Speaks] = {
    "R1": Speaks("D7", "verification", "Nobody tried to see the complaint"),
    "R2": Speaks("D7", "verification", "It was never fully seen, and no trials were planned"),
    "R4": Speaks("D1", "test choice", "Required and not done"),
    "R8": Speaks("S3", "reading", "The instrument was out of calibration"),
    "R9": Speaks("D3", "reading", "Outside its limits and not followed up"),
    "R11": Speaks("D4", "isolation", "Replaced without a failing reading"),
    "R12": Speaks("D4", "isolation", "Worked on, and no failing reading isolates it"),
    "R13": Speaks("D4", "isolation", "A rival suspect was left open"),
    "R15": Speaks("D6", "isolation", "Taken for the cause, and not reversed"),
    "R16": Speaks("D3", "reading", "No farther from its limit than the instrument is accurate"),
    "R17": Speaks("V1", "re-read", "Failed before the work and was not taken again"),
    "R18": Speaks("V1", "re-read", "Failed when it was last taken"),
    "R19": Speaks("V3", "trial", "Fewer clean trials than the complaint asks for"),
    "R20": Speaks("V3", "trial", "It came back in the trials, and no clean ones followed"),
    "R21": Speaks("V4", "trial", "Test equipment was connected every time"),
    "R22": Speaks("S4", "independent check", "No second person checked it"),
    "R24": Speaks("S2", "intake", "Diagnosis took longer than was authorised"),
    "R25": Speaks("I2", "hand-over", "Two people followed one another without a complete hand-off"),
    "R26": Speaks("P2", "isolation", "Replaced again, and nobody looked at why the old one failed"),
}


def facts(
    then: Order,
    findings: Iterable[Finding],
    now: Order,
    *,
    name_of: NAME_OF,
    batches: Mapping[str, int] | None = None,
) -> tuple[Fact, ...]:
    """Return what the records of a return show, in the order of the codes' groups as they arise.

    Parameters
    ----------
    then, now : Order
        The earlier job and the return, whole.
    findings : iterable of Finding
        Of the earlier job; only its gaps speak. No text of a finding is repeated, since some name people.
    name_of : callable
        What a test is called, by its code.
    batches : mapping of work item id to int, optional
        For work of the earlier job: how many other jobs with a part of that batch came back.

    References
    ----------
    .. [1] practice.md sections 5 and 10.
    """
    gaps = [finding for finding in findings if finding.state == "gap"]
    found = [
        *_of_findings(then, gaps, name_of),
        *_assumptions(then),
        *_trials(then),
        *_protocol(then),
        *_disturbed(then, now),
        *_same_part(then, now),
        *_batches(then, batches or {}),
        *_declined(then, now),
        *_absent_before(then, now, name_of),
        *_nothing(then),
    ]
    return tuple({fact.key: fact for fact in found}.values())


def _of_findings(then: Order, gaps: Iterable[Finding], name_of: NAME_OF) -> Iterator[Fact]:
    subjects = _Subjects(then, name_of)
    for gap in gaps:
        speaks = RULES.get(gap.rule)
        if speaks is not None:
            about = subjects.words(gap.rule, gap.subject)
            text = f"{about}: {_lower(speaks.says)}" if about else speaks.says
            yield Fact(f"{gap.rule}:{gap.subject}", speaks.code, speaks.escape, text)


class _Subjects:
    """What findings are about, in words that name no person."""

    def __init__(self, order: Order, name_of: NAME_OF) -> None:
        self.name_of = name_of
        self.tests = {test.id: test for test in order.tests}
        self.work = {item.id: item for item in order.work}
        self.claims = {claim.id: claim for claim in order.claims}
        self.events = {event.id: event for event in order.events}

    def words(self, rule: str, subject: str) -> str:
        """Return the subject of a finding: a test, a part, a step; empty where the rule says it all."""
        if rule == "R4":
            return self.name_of(subject.partition(":")[2])
        if rule == "R13":
            return _words(subject)
        if rule == "R15":
            claim = self.claims.get(subject)
            event = self.events.get(claim.event) if claim else None
            return event.what if event else ""
        if subject in self.tests and rule in ("R8", "R9", "R16", "R17", "R18"):
            return _test_words(self.tests[subject], self.name_of)
        if subject in self.work:
            return _words(self.work[subject].component)
        return ""


def _assumptions(then: Order) -> Iterator[Fact]:
    for assumption in then.assumptions:
        if assumption.status == "refuted":
            yield Fact(
                f"assumed:{assumption.id}", "D5", "isolation", f"Assumed, and refuted: {assumption.text}"
            )
        elif is_open(assumption, then):
            yield Fact(
                f"assumed:{assumption.id}", "D5", "isolation", f"Assumed and never tested: {assumption.text}"
            )


def _trials(then: Order) -> Iterator[Fact]:
    for complaint in then.complaints:
        series = [one for one in then.trials if one.complaint == complaint.id]
        if series and not any(one.conditions_match for one in series):
            text = "No trial was under the conditions of the complaint"
            yield Fact(f"trials:{complaint.id}", "V2", "trial", text)


def _protocol(then: Order) -> Iterator[Fact]:
    for complaint in then.complaints:
        if complaint.kind == "symptom" and not complaint.required:
            text = f"No protocol asked for a test of {_lower(_words(complaint.symptom)) or 'this complaint'}"
            yield Fact(f"protocol:{complaint.id}", "S1", "test choice", text)


def _disturbed(then: Order, now: Order) -> Iterator[Fact]:
    disturbed = {_folded(component) for component in then.disturbed}
    for cause in now.causes:
        if _folded(cause.component) in disturbed:
            text = f"{_words(cause.component)}: moved for access then, the cause now"
            yield Fact(f"disturbed:{cause.id}", "W2", "fitting", text)


def _same_part(then: Order, now: Order) -> Iterator[Fact]:
    fitted = {_folded(item.component) for item in then.work if item.kind == "replace"}
    for cause in now.causes:
        if _folded(cause.component) in fitted:
            text = f"{_words(cause.component)}: replaced then, the cause now"
            yield Fact(f"again:{cause.id}", "P2", "fitting", text)


def _batches(then: Order, batches: Mapping[str, int]) -> Iterator[Fact]:
    for item in then.work:
        others = batches.get(item.id, 0)
        if others and item.part:
            jobs = "1 other job" if others == 1 else f"{others} other jobs"
            text = f"{_part_words(item)}, batch {item.part.batch}: {jobs} with this batch came back too"
            yield Fact(f"batch:{item.id}", "P4", "fitting", text)


def _declined(then: Order, now: Order) -> Iterator[Fact]:
    systems = {complaint.system for complaint in now.complaints if complaint.system}
    for item in then.declined:
        if item.system not in systems:
            continue
        told = _day(item.informed_on)
        if told:
            text = f"{_words(item.component)}: declined, told on {told}"
            yield Fact(f"declined:{item.id}", "C1", "hand-over", text)
        else:
            text = f"{_words(item.component)}: declined, and no date says that the customer was told"
            yield Fact(f"declined:{item.id}", "I4", "hand-over", text)


def _absent_before(then: Order, now: Order, name_of: NAME_OF) -> Iterator[Fact]:
    for test in now.tests:
        if test.phase != "before" or outcome(test) != "fail":
            continue
        earlier = {outcome(one) for one in then.tests if same_reading(one, test)} - {None}
        if earlier == {"pass"}:
            text = f"{_test_words(test, name_of)}: never outside its limits in the earlier job, outside now"
            yield Fact(f"absent:{test.id}", "F1", "reading", text)


def _nothing(then: Order) -> Iterator[Fact]:
    if not any(test.status == "done" and outcome(test) is not None for test in then.tests):
        yield Fact("nothing", "U1", "test choice", "The earlier job has no test with a result on record")


def _test_words(test: Test, name_of: NAME_OF) -> str:
    return f"{name_of(test.code)}, {test.point}" if not is_blank(test.point) else name_of(test.code)


def _part_words(item: Work) -> str:
    assert item.part is not None
    return item.part.description.strip() or _words(item.component)


def _words(code: str) -> str:
    text = code.replace("_", " ").strip()
    return text[:1].upper() + text[1:]


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]


def _folded(component: str) -> str:
    return component.strip().casefold()


def _day(day: date | None) -> str:
    return f"{day.day} {day:%b %Y}" if day else ""
