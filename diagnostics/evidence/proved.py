"""Is the complaint proved gone? R16 to R20."""

from __future__ import annotations

from collections.abc import Iterator

from diagnostics.evidence import wording
from diagnostics.evidence.finding import Raised
from diagnostics.evidence.seen import fires_never_reproduced
from diagnostics.evidence.terms import Counted, Series, Terms, WorkDone, first, latest
from diagnostics.evidence.trials import shown_in_tries, trials_needed
from diagnostics.judging import distance_inside, distance_outside, known_accuracy, reading_key
from diagnostics.snapshot import Complaint


def marginal_decides(terms: Terms) -> Iterator[Raised]:
    """R16: (a) work rests only on readings within their instrument's accuracy, or (b) so does the proof."""
    for done in terms.work:
        if done.is_for_cause and done.failing and all(_is_marginal(c, terms) for c in done.failing):
            text = (
                f"The work on the {wording.words(done.work.component)} rests on "
                f"{wording.reading(done.failing[0].test)}, which is no farther outside than the instrument's "
                f"accuracy of {_accuracy(done.failing[0], terms)}; read it again with a better instrument, "
                "or find a second reading."
            )
            yield Raised("R16", done.work.id, text, terms.complaints_of(done.complaint))
    yield from _marginal_proofs(terms)


def _marginal_proofs(terms: Terms) -> Iterator[Raised]:
    failed = {reading_key(c.test) for c in terms.tests if c.is_failing_before and c.test.kind == "numeric"}
    for counted in terms.tests:
        if counted.is_before or counted.outcome != "pass" or reading_key(counted.test) not in failed:
            continue
        if len(terms.after_with_outcome(counted.test)) == 1 and _is_marginal(counted, terms):
            text = (
                f"The only reading after the work, {wording.reading(counted.test)}, passes by no more than "
                f"the instrument's accuracy of {_accuracy(counted, terms)}; read it again, with a better "
                "instrument if there is one."
            )
            yield Raised("R16", counted.test.id, text, terms.complaints_of_evidence(counted.test))


def _is_marginal(counted: Counted, terms: Terms) -> bool:
    """Whether a judged numeric reading lies no farther from its limit than its known accuracy."""
    accuracy = known_accuracy(counted.test, terms.instruments)
    if accuracy is None:
        return False
    distance = distance_outside(counted.test) if counted.outcome == "fail" else distance_inside(counted.test)
    return distance is not None and distance <= accuracy


def _accuracy(counted: Counted, terms: Terms) -> str:
    return wording.quantity(known_accuracy(counted.test, terms.instruments), counted.test.unit)


def not_read_again(terms: Terms) -> Iterator[Raised]:
    """R17: failing evidence of reason-cause work without a phase-after same reading that has an outcome.

    One finding per reading, on its first such test in time. It belongs to the complaint of the test and
    to that of the work the test condemned: neither is proved gone before the reading is taken again.
    """
    unread: dict[tuple[str, str], list[tuple[Counted, WorkDone]]] = {}
    for done in terms.work:
        for counted in done.failing if done.is_for_cause else ():
            if counted.test.repeatable and not terms.after_with_outcome(counted.test):
                unread.setdefault(reading_key(counted.test), []).append((counted, done))
    found = []
    for uses in unread.values():
        one = first(counted for counted, _ in uses)
        if one is not None:
            found.append((one, [done.complaint for _, done in uses]))
    for counted, complaints in sorted(found, key=lambda pair: pair[0].place.position):
        text = (
            f"The reading {wording.reading(counted.test)}, failed before the work and was not taken again; "
            "take the same reading at the same point."
        )
        yield Raised("R17", counted.test.id, text, terms.complaints_of(counted.test.complaint, *complaints))


def closed_on_failing(terms: Terms) -> Iterator[Raised]:
    """R18: the latest phase-after test of a reading that has an outcome failed."""
    last = {}
    for key, readings in terms.readings.items():
        counted = latest(c for c in readings if c.test.phase == "after" and c.outcome is not None)
        if counted is not None and counted.outcome == "fail":
            last[key] = counted
    for counted in sorted(last.values(), key=lambda c: c.place.position):
        text = (
            f"The last reading after the work, {wording.reading(counted.test)}, fails; find out why and read "
            "it again until it passes."
        )
        yield Raised("R18", counted.test.id, text, terms.complaints_of_evidence(counted.test))


def last_recurred(terms: Terms, complaint: Complaint) -> Series | None:
    """Return the last trial series of the complaint, matching or not, if the complaint recurred in it."""
    last = latest(terms.series.get(complaint.id, ()))
    return last if last is not None and last.trial.recurrences > 0 else None


def clean_trials(terms: Terms, complaint: Complaint) -> int:
    """Return the trials of matching series after the last series, matching or not, with a recurrence."""
    series = terms.series.get(complaint.id, [])
    recurred = latest(s for s in series if s.trial.recurrences > 0)
    return sum(
        s.trial.n
        for s in series
        if s.is_matching
        and (recurred is None or (s is not recurred and s.place.is_later_than(recurred.place)))
    )


def not_proved_gone(terms: Terms) -> Iterator[Raised]:
    """R19: fewer clean matching trials than needed, unless R2 or R20 already says why."""
    for complaint in terms.symptoms:
        if not terms.has_cause_work_or_plan(complaint):
            continue
        if fires_never_reproduced(terms, complaint) or last_recurred(terms, complaint):
            continue
        needed = trials_needed(complaint, terms.attempts[complaint.id], policy=terms.policy)
        clean = clean_trials(terms, complaint)
        if clean < needed:
            text = (
                f"{wording.said(complaint)} has {clean} of {wording.count(needed, 'clean trial')} "
                f"needed{_rate(terms, complaint)}; try it {needed - clean} more under its own conditions."
            )
            yield Raised("R19", complaint.id, text, (complaint.id,))


def _rate(terms: Terms, complaint: Complaint) -> str:
    shown, tries = shown_in_tries(terms.attempts[complaint.id])
    return f" (it showed {shown} in {tries} before the repair)" if tries else ""


def recurred_in_trials(terms: Terms) -> Iterator[Raised]:
    """R20: the last trial series of the complaint, matching or not, has a recurrence."""
    for complaint in terms.symptoms:
        last = last_recurred(terms, complaint)
        if last is not None:
            times = wording.count(last.trial.recurrences, "time")
            text = (
                f"{wording.said(complaint)} came back {times} in {wording.count(last.trial.n, 'trial')} on "
                f"{wording.day(last.trial.on.on)}; go back to the cause, and try again after the next repair."
            )
            yield Raised("R20", complaint.id, text, (complaint.id,))
