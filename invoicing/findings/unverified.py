"""What could not be verified: what the plan asked for and was left out, and every gap in safety or proof."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from diagnostics.evidence import Finding, trials_needed
from diagnostics.evidence.proved import clean_trials
from diagnostics.evidence.terms import Terms
from diagnostics.snapshot import Test
from invoicing import wording
from invoicing.findings.names import Names
from shared.wording import count_text

# These concern how a reading was taken; they are told when the reading carries the repair or its proof.
ONLY_IF_IT_CARRIES = frozenset({"R5", "R6", "R8"})
ONE_PERSON = "This shop has one person, so nobody else could approve this."


def unverified(terms: Terms, findings: Iterable[Finding], names: Names) -> tuple[str, ...]:
    """Return in plain words what this sheet can not vouch for.

    Parameters
    ----------
    terms : Terms
        The order's.
    findings : findings of `evaluate`
        Gaps and pending ones are told; explained ones too, each with its reason. Rules that concern
        only the shop's own records (R7, R10, R24, R25) are left out.

    References
    ----------
    practice.md section 6: a gap left open is printed for the customer when it concerns safety or proof.
    """
    carrying = _carrying(terms)
    told, left_out = [], []
    for finding in findings:
        say = _SAY.get(finding.rule)
        if say is None or (finding.rule in ONLY_IF_IT_CARRIES and finding.subject not in carrying):
            continue
        if finding.rule == "R4" and finding.explanation is None:
            left_out.append(_step_name(finding, terms, names))
        elif text := say(finding, terms, names):
            told.append(text + _reason(finding))
    if left_out:
        told.insert(0, f"Our plan asks for these, and they were not done: {'; '.join(left_out)}.")
    return tuple(dict.fromkeys(told))


def _carrying(terms: Terms) -> set[str]:
    cited = {c.test.id for cause in terms.order.causes for c in terms.cited(cause.evidence)}
    cited.update(c.test.id for done in terms.work for c in done.cited)
    return cited | {c.test.id for c in terms.tests if not c.is_before}


def _reason(finding: Finding) -> str:
    if finding.explanation is None:
        return ""
    exempt = f" {ONE_PERSON}" if finding.exempt else ""
    return f" Left so on purpose: {wording.sentence(finding.explanation.reason)}{exempt}"


def _about(finding: Finding, terms: Terms, names: Names) -> str:
    complaint = terms.complaints.get(finding.subject)
    return f"“{names.symptom(complaint)}”" if complaint else "the complaint"


def _test(finding: Finding, terms: Terms, names: Names) -> Test | None:
    counted = terms.test_by_id.get(finding.subject)
    return counted.test if counted else None


def _test_name(finding: Finding, terms: Terms, names: Names) -> str:
    test = _test(finding, terms, names)
    if test is None:
        return "A test"
    at = f" ({test.point.strip()})" if test.point.strip() else ""
    return f"{names.test(test.code)}{at}"


def _component(finding: Finding, terms: Terms) -> str:
    work = next((done.work for done in terms.work if done.work.id == finding.subject), None)
    return wording.part_words(work.component) if work else "part"


def _step_name(finding: Finding, terms: Terms, names: Names) -> str:
    ref, _, code = finding.subject.partition(":")
    complaint = terms.complaints.get(ref)
    steps = [s for s in complaint.required if s.code == code] if complaint else []
    after = bool(steps) and all(step.phase == "after" for step in steps)
    return f"{names.test(code)}{' (after the repair)' if after else ''}"


def _skipped(finding: Finding, terms: Terms, names: Names) -> str:
    return f"{_step_name(finding, terms, names)}: our plan asks for it, and it was not done."


def _assumed(finding: Finding, terms: Terms, names: Names) -> str:
    text = next((a.text for a in terms.order.assumptions if a.id == finding.subject), "")
    said = text.strip().removesuffix(".")  # The sentence around it has a stop of its own.
    return f"We rely on this without a test: {wording.quoted(said)}." if said else ""


def _marginal(finding: Finding, terms: Terms, names: Names) -> str:
    if finding.subject in terms.test_by_id:
        return (
            f"{_test_name(finding, terms, names)}: after the repair it passes by no more than the "
            "instrument’s accuracy."
        )
    return (
        f"The readings behind the work on the {_component(finding, terms)} fail by no more than the "
        "instrument’s accuracy."
    )


def _not_proved(finding: Finding, terms: Terms, names: Names) -> str:
    complaint = terms.complaints.get(finding.subject)
    if complaint is None:
        return ""
    needed = trials_needed(complaint, terms.attempts[complaint.id], policy=terms.policy)
    clean = clean_trials(terms, complaint)
    return (
        f"Whether {_about(finding, terms, names)} is gone: it takes "
        f"{count_text(needed, 'clean try', 'clean tries')} to tell, and so far there "
        f"{'is' if clean == 1 else 'are'} {clean or 'none'}."
    )


def _claimed(finding: Finding, terms: Terms, names: Names) -> str:
    claim = next((c for c in terms.order.claims if c.id == finding.subject), None)
    event = next((e for e in terms.order.events if claim and e.id == claim.event), None)
    what = f" {wording.quoted(event.what)}" if event else ""
    return f"The change soon after{what} may be chance. We have not put it back to see the fault return."


def _declined(finding: Finding, terms: Terms, names: Names) -> str:
    item = next((d for d in terms.order.declined if d.id == finding.subject), None)
    if item is None or item.risk != "safety":
        return ""
    return f"The {wording.part_words(item.component)}, which you declined: no date to look again is agreed."


_SAY: dict[str, Callable[[Finding, Terms, Names], str]] = {
    "R1": lambda f, t, n: f"We have not tried to see {_about(f, t, n)} ourselves.",
    "R2": lambda f, t, n: (
        f"We did not see {_about(f, t, n)} ourselves, and did not set how many clean tries would be proof."
    ),
    "R3": lambda f, t, n: f"We did not write down the conditions when we tried to see {_about(f, t, n)}.",
    "R4": _skipped,
    "R5": lambda f, t, n: f"{_test_name(f, t, n)}: judged, but no value was written down.",
    "R6": lambda f, t, n: f"{_test_name(f, t, n)}: measured, but there is no limit to judge it by.",
    "R8": lambda f, t, n: f"{_test_name(f, t, n)}: taken with an instrument that was due for a check.",
    "R9": lambda f, t, n: f"{_test_name(f, t, n)}: not as it should be, and we have not followed it up.",
    "R11": lambda f, t, n: f"The {_component(f, t)} was replaced, and no reading shows that it was faulty.",
    "R12": lambda f, t, n: f"No reading sets the {_component(f, t)} apart from other possible causes.",
    "R13": lambda f, t, n: (
        f"The {wording.code_words(f.subject)} could also be a cause. No test rules it out."
    ),
    "R14": _assumed,
    "R15": _claimed,
    "R16": _marginal,
    "R17": lambda f, t, n: (
        f"{_test_name(f, t, n)}: it failed before the repair and was not taken again after it."
    ),
    "R18": lambda f, t, n: f"{_test_name(f, t, n)}: the last reading after the repair still fails.",
    "R19": _not_proved,
    "R20": lambda f, t, n: (
        f"{wording.sentence(_about(f, t, n) + ' came back in our last tries after the repair')}"
    ),
    "R21": lambda f, t, n: (
        f"Test equipment was connected whenever we tried {_about(f, t, n)}. Without it, we have not tried."
    ),
    "R22": lambda f, t, n: (
        f"The work on the {_component(f, t)} bears on safety. No second person has checked it."
    ),
    "R23": _declined,
    "R26": lambda f, t, n: (
        f"The {_component(f, t)} had been replaced before. We have not examined why the earlier one failed."
    ),
}
