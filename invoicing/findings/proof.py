"""How we know that it worked, or that we do not know."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnostics.evidence import zero_recurrence_upper
from diagnostics.evidence.chain import DECLINED, NOT_YET_PROVED, PROVED_GONE, ChainStatus
from diagnostics.evidence.proved import clean_trials
from diagnostics.evidence.terms import Counted, Terms, latest
from diagnostics.evidence.trials import shown_in_tries
from diagnostics.judging import reading_key
from diagnostics.snapshot import Complaint, Instrument, Test
from diagnostics.trials.words import up_to_100
from invoicing import wording
from invoicing.findings.names import Names
from invoicing.findings.readings import place, taken
from invoicing.findings.sheet import Proof
from shared.wording import count_text

MOST_READ_AGAIN = 3
MISSING = (
    "“What could we not verify?” says what is missing"  # By its heading: on a screen no part has a number.
)
NOT_CONFIRMED = "We could not confirm that the repair worked."


def proof(
    terms: Terms,
    chain: ChainStatus,
    complaint: Complaint,
    names: Names,
    instruments: Mapping[str, Instrument],
    *,
    about: str,
) -> Proof:
    """Return what shows that one complaint is gone, the outcome words, and what carries them.

    Parameters
    ----------
    terms, chain : Terms and ChainStatus
        Of the order, and of this complaint.
    about : str
        The complaint's name where the order has several, else empty.

    References
    ----------
    Outcome words: practice.md section 7. What clean trials show: the same, section 8.
    """
    failed = failing_readings(terms, complaint)
    sentences = _trial_sentences(terms, complaint)
    if not terms.cause_work.get(complaint.id):
        sentences = [_nothing_repaired(terms, complaint, chain)]
    elif not any(passes(first, terms) for first in failed) and not clean_trials(terms, complaint):
        sentences.append(NOT_CONFIRMED)
    return Proof(
        about,
        _again(failed, terms, names, instruments),
        tuple(sentences),
        chain.outcome,
        _carried_by(terms, chain, complaint, names, instruments),
    )


def failing_readings(terms: Terms, complaint: Complaint) -> list[Counted]:
    """Return the failing readings behind the repair of a complaint, each reading once."""
    found: dict[tuple[str, str], Counted] = {}
    for done in terms.cause_work.get(complaint.id, ()):
        for counted in done.failing:
            found.setdefault(reading_key(counted.test), counted)
    return list(found.values())


def passes(first: Counted, terms: Terms) -> bool:
    """Whether the last same reading after the repair passes."""
    last = latest(terms.after_with_outcome(first.test))
    return last is not None and last.outcome == "pass"


def clean_bound(trials: int) -> int:
    """Return the whole number of tries in 100 that so many clean trials do not exclude, rounded up.

    Parameters
    ----------
    trials : int
        Trials without a recurrence, 0 or more. [1]

    References
    ----------
    practice.md section 8: upper 95 % bound 1 - 0.05^(1/n); 3 clean trials allow 63 %, 10 allow 26 %.
    """
    return up_to_100(zero_recurrence_upper(trials))


def _again(
    failed: Sequence[Counted], terms: Terms, names: Names, instruments: Mapping[str, Instrument]
) -> tuple[str, ...]:
    """The failing readings as they were taken again; those that were not are among the unverified."""
    read = [(first, last) for first in failed if (last := latest(terms.after_with_outcome(first.test)))]
    lines = [_read_again(first.test, last.test, names, instruments) for first, last in read[:MOST_READ_AGAIN]]
    if len(read) > MOST_READ_AGAIN:
        count = len(read) - MOST_READ_AGAIN
        good = all(last.outcome == "pass" for _, last in read[MOST_READ_AGAIN:])
        they = "it" if count == 1 else "they"
        standing = f"as {they} should be now" if good else "see the table of all readings"
        lines.append(f"{count} more, {standing}.")
    return tuple(lines)


def _read_again(first: Test, last: Test, names: Names, instruments: Mapping[str, Instrument]) -> str:
    name = f"{names.test(first.code)}{place(first)}"
    was, now = taken(first, instruments), taken(last, instruments)
    if first.kind != "numeric":
        return f"{name}: {now.verdict} now."
    return f"{name}: {was.text} before, {now.text} after, {now.verdict}."


def _trial_sentences(terms: Terms, complaint: Complaint) -> list[str]:
    series = terms.series.get(complaint.id, [])
    if not series:
        return ["We have not tried it again under your conditions since the repair."]
    sentences = [
        f"On {wording.on_day(one.trial.on)} it came back {wording.times(one.trial.recurrences)} in "
        f"{count_text(one.trial.n, 'try', 'tries')}."
        for one in series
        if one.trial.recurrences
    ]
    clean = clean_trials(terms, complaint)
    if clean:
        sentences.append(
            f"We tried it {wording.times(clean)} after the repair, under the conditions you gave. "
            "It did not come back."
        )
        sentences.append(_what_it_shows(clean, terms, complaint))
    return sentences


def _what_it_shows(clean: int, terms: Terms, complaint: Complaint) -> str:
    tries = count_text(clean, "clean try", "clean tries")
    verb = "rules" if clean == 1 else "rule"
    bound = (
        f"{tries[:1].upper()}{tries[1:]} {verb} out, with 95\u00a0% confidence, a fault that still shows in "
        f"more than {clean_bound(clean)} of 100 tries. A rarer one could remain."
    )
    shown, tried = shown_in_tries(terms.attempts[complaint.id])
    if not shown:
        return bound
    return (
        f"Before the repair it showed {wording.times(shown)} in {count_text(tried, 'try', 'tries')}. {bound}"
    )


def _nothing_repaired(terms: Terms, complaint: Complaint, chain: ChainStatus) -> str:
    if chain.outcome == DECLINED:
        return "Nothing was repaired, as you chose. So there is no repair to prove."
    tried = sum(a.n or 1 for a in terms.attempts.get(complaint.id, ()))
    looked = f" We looked for it in {count_text(tried, 'try', 'tries')}." if tried else ""
    return f"Nothing was repaired for this complaint, so there is no repair to prove.{looked}"


def _carried_by(
    terms: Terms,
    chain: ChainStatus,
    complaint: Complaint,
    names: Names,
    instruments: Mapping[str, Instrument],
) -> str:
    """What the outcome words rest on; for `not yet proved`, what is still missing."""
    clean = clean_trials(terms, complaint)
    tries = f"no return in {count_text(clean, 'try', 'tries')}" if clean else ""
    if chain.outcome == PROVED_GONE:
        again = [first for first in failing_readings(terms, complaint) if passes(first, terms)]
        reading = (
            "the reading that failed now passes" if len(again) == 1 else "the readings that failed now pass"
        )
        return wording.listed([one for one in (reading if again else "", tries) if one])
    if chain.outcome == NOT_YET_PROVED:
        return f"{tries}, but {MISSING}" if tries else MISSING
    if chain.outcome == DECLINED:
        return _declined_reading(terms, complaint, names, instruments)
    best = terms.attempts.get(complaint.id, ())
    seen = [a for a in best if a.outcome == "reproduced"]
    return "we saw it, and have not found the cause" if seen else "we have not seen it ourselves"


def _declined_reading(
    terms: Terms, complaint: Complaint, names: Names, instruments: Mapping[str, Instrument]
) -> str:
    for item in terms.order.declined:
        counted = terms.test_by_id.get(item.test)
        if counted is not None and item.system == complaint.system:
            return f"{names.test(counted.test.code)}, {taken(counted.test, instruments).verdict}"
    return "no reading was taken for it"
