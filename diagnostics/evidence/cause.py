"""Is one cause left? R12 to R15."""

from __future__ import annotations

from collections.abc import Iterator

from diagnostics.evidence import wording
from diagnostics.evidence.finding import Raised, Signature
from diagnostics.evidence.proof import is_assumption_open, is_valid_reversal
from diagnostics.evidence.terms import Terms, is_signed, minutes_between
from diagnostics.judging import same_text
from diagnostics.snapshot import Assumption, Cause, Claim, Event, Suspect


def is_isolated(cause: Cause, terms: Terms) -> bool:
    """Whether the cause itself cites a failing phase-before test that isolates its component."""
    return any(
        counted.is_failing_before and same_text(counted.test.isolates, cause.component)
        for counted in terms.cited(cause.evidence)
    )


def not_isolated(terms: Terms) -> Iterator[Raised]:
    """R12: reason-cause work without an isolated cause of that complaint and component, linked or not."""
    for done in terms.work:
        if done.is_for_cause and not _has_isolated_cause(done.complaint, done.work.component, terms):
            part = wording.words(done.work.component)
            text = (
                f"Work was done on the {part} as the cause, and no failing reading before it separates the "
                f"{part} from the other suspects; record the cause with the test that isolates it."
            )
            yield Raised("R12", done.work.id, text, terms.complaints_of(done.complaint))


def _has_isolated_cause(complaint: str, component: str, terms: Terms) -> bool:
    return complaint != "" and any(
        cause.complaint == complaint and same_text(cause.component, component) and is_isolated(cause, terms)
        for cause in terms.order.causes
    )


def rival_left_open(terms: Terms) -> Iterator[Raised]:
    """R13: a suspect that was not worked on is open, or ruled out without a test that has an outcome."""
    for complaint in terms.order.complaints:
        worked = [done.work.component for done in terms.cause_work.get(complaint.id, ())]
        for suspect in complaint.suspects if worked else ():
            if not any(same_text(suspect.component, c) for c in worked) and _is_left_open(suspect, terms):
                part = wording.words(suspect.component)
                state = "still open" if suspect.state == "open" else "called ruled out without a judged test"
                text = (
                    f"The {wording.words(worked[0])} was worked on for {wording.said(complaint)} while the "
                    f"suspect {part} is {state}; rule it out by a test that has an outcome, or confirm it."
                )
                yield Raised("R13", suspect.component, text, (complaint.id,))


def _is_left_open(suspect: Suspect, terms: Terms) -> bool:
    if suspect.state == "ruled_out":
        return all(counted.outcome is None for counted in terms.cited(suspect.evidence))
    return suspect.state == "open"


def assumption_left_open(terms: Terms) -> Iterator[Raised]:
    """R14: an assumption is open, or accepted; accepted with reason and name is explained."""
    for assumption in terms.order.assumptions:
        assumed = f"“{assumption.text.strip()}”"
        if assumption.status == "accepted":
            accepted = assumption.accepted
            signed = accepted is not None and is_signed(accepted.reason, accepted.by)
            own = (Signature(accepted.reason, accepted.by),) if accepted and signed else ()
            text = f"{assumed} was accepted and not tested; test it, or say who accepts it and why."
        elif is_assumption_open(assumption, terms):
            own = ()
            standing = _standing(assumption)
            text = (
                f"{assumed} is assumed and {standing}; cite a test of it, or accept it with reason and name."
            )
        else:
            continue
        yield Raised("R14", assumption.id, text, borne_on(assumption, terms), own=own)


def _standing(assumption: Assumption) -> str:
    if assumption.status in ("confirmed", "refuted"):
        return f"called {assumption.status}, and no test done on this order is cited for it"
    return "not tested"


def borne_on(assumption: Assumption, terms: Terms) -> tuple[str, ...]:
    """Return the complaints that an assumption bears on, by itself or through a cause."""
    cause = terms.causes.get(assumption.bears_on)
    return terms.complaints_of(assumption.bears_on, cause.complaint if cause else "")


def coincidence_not_reversed(terms: Terms) -> Iterator[Raised]:
    """R15: a claimed event is followed soon by the symptom's change, and nobody put the condition back."""
    events = {event.id: event for event in reversed(terms.order.events)}
    reversed_events = {r.event for r in terms.order.reversals if is_valid_reversal(r)}
    for claim in terms.order.claims:
        event = events.get(claim.event)
        if event is None or event.id in reversed_events or claim.complaint not in terms.complaints:
            continue
        change = _change_soon_after(event, claim, terms)
        if change is not None:
            yield Raised("R15", claim.id, _coincidence_text(claim, event, change), (claim.complaint,))


def _change_soon_after(event: Event, claim: Claim, terms: Terms) -> Event | None:
    for other in terms.order.events:
        if other.kind == "symptom" and other.complaint == claim.complaint and other.id != event.id:
            minutes = minutes_between(event, other)
            if minutes is not None and 0 <= minutes <= terms.policy.coincidence_minutes:
                return other
    return None


def _coincidence_text(claim: Claim, event: Event, change: Event) -> str:
    minutes = minutes_between(event, change) or 0.0
    role = "have ended" if claim.role == "fix" else "have started"
    return (
        f"“{event.what.strip()}” is said to {role} the complaint because “{change.what.strip()}” came "
        f"{minutes:.0f} min later; put the condition back, see the symptom return, and take it away again."
    )
