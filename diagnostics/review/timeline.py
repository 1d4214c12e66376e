"""Both jobs of a return as one line of days, read from the records. No person is named."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from diagnostics.judging import describe, evidence_level, outcome
from diagnostics.snapshot import Instrument, Order, Test
from shared.moments import Moment
from shared.wording import count_text, quantity_text

SEEN = {"reproduced": "seen", "partly": "partly seen", "not_reproduced": "not seen"}
DONE = {
    "replace": "replaced",
    "repair": "repaired",
    "clean": "cleaned",
    "adjust": "adjusted",
    "reset": "reset",
}
OUTCOMES = {
    "repaired": "repaired",
    "no_fault_found": "no fault found",
    "monitor": "to be watched",
    "declined_all": "all work declined",
}


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that happened. `job` is its number, `link` its place in the chain, `level` E0 to E5."""

    when: Moment
    job: str
    link: str
    text: str
    level: str = ""


@dataclass(frozen=True, slots=True)
class Call:
    """One follow-up call after the earlier job, and what came of it in the shop's words."""

    on: date
    text: str


def timeline(
    then: Order,
    now: Order,
    *,
    name_of: Mapping[str, str],
    instruments: Mapping[str, Instrument],
    calls: Iterable[Call] = (),
) -> tuple[Entry, ...]:
    """Return what happened in both jobs, oldest first.

    A day of which every time is known stands by the clock, another one in the order of the chain.

    Parameters
    ----------
    then, now : Order
        The earlier job and the return, whole.
    name_of : mapping
        What tests are called, by code.
    instruments : mapping
        The shop's list, for the evidence levels.
    calls : iterable of Call
        Follow-up calls after the earlier job.
    """
    entries = [
        *_job(then, "reported", name_of, instruments),
        *(Entry(Moment(call.on), then.id, "call", call.text) for call in calls),
        *_job(now, "came back", name_of, instruments),
    ]
    by_day: dict[date, list[Entry]] = {}
    for entry in entries:
        by_day.setdefault(entry.when.on, []).append(entry)
    return tuple(entry for day in sorted(by_day) for entry in _in_order(by_day[day]))


def _job(
    order: Order, first: str, name_of: Mapping[str, str], instruments: Mapping[str, Instrument]
) -> Iterator[Entry]:
    said = [f"“{complaint.text}”" for complaint in order.complaints]
    yield Entry(order.opened, order.id, first, " ".join(said) or "No complaint on record")
    yield from _seen(order)
    yield from _measured(order, "before", "measured", name_of, instruments)
    yield from _causes(order)
    for item in order.work:
        text = f"{_words(item.component)} {DONE.get(item.kind, item.kind)}"
        yield Entry(item.on, order.id, "repair", text)
    yield from _measured(order, "after", "proved", name_of, instruments)
    for series in order.trials:
        clean = count_text(series.n, "trial")
        back = f", came back {series.recurrences} times" if series.recurrences else ", clean"
        yield Entry(series.on, order.id, "proved", f"{clean}{back}")
    if order.returned is not None:
        yield Entry(
            order.returned, order.id, "handed back", OUTCOMES.get(order.outcome or "", "no outcome given")
        )


def _seen(order: Order) -> Iterator[Entry]:
    for complaint in order.complaints:
        for attempt in complaint.attempts:
            tries = "" if attempt.n is None or attempt.k is None else f", {attempt.k} of {attempt.n} tries"
            yield Entry(attempt.on, order.id, "seen", f"{SEEN.get(attempt.outcome, attempt.outcome)}{tries}")


def _measured(
    order: Order,
    phase: str,
    link: str,
    name_of: Mapping[str, str],
    instruments: Mapping[str, Instrument],
) -> Iterator[Entry]:
    """The failing and the unjudged tests one by one; of those that passed, how many on a day."""
    passed: dict[date, list[Test]] = {}
    for test in order.tests:
        if test.phase != phase or test.status != "done":
            continue
        if outcome(test) == "pass":
            passed.setdefault(test.on.on, []).append(test)
            continue
        level = evidence_level(test, order, instruments)
        yield Entry(test.on, order.id, link, _test_text(test, name_of), level.code if level else "")
    for tests in passed.values():
        levels = [found.code for test in tests if (found := evidence_level(test, order, instruments))]
        names = _named(tests, name_of)
        yield Entry(tests[0].on, order.id, link, f"within limits: {names}", min(levels, default=""))


def _causes(order: Order) -> Iterator[Entry]:
    """A cause carries no moment of its own: it stands at the last test it cites, else at the first work."""
    tests = {test.id: test for test in order.tests}
    begun = min((item.on for item in order.work), key=lambda moment: moment.on, default=order.opened)
    for cause in order.causes:
        cited = [tests[id].on for id in cause.evidence if id in tests]
        when = max(cited, key=lambda moment: moment.on, default=begun)
        mode = f", {cause.mode.strip()}" if cause.mode.strip() else ""
        yield Entry(
            when, order.id, "cause", f"{_words(cause.component)}{mode}{'' if cited else ', no test cited'}"
        )


def _test_text(test: Test, name_of: Mapping[str, str]) -> str:
    name = name_of.get(test.code, _words(test.code))
    point = f", {test.point}" if test.point.strip() else ""
    if test.kind == "numeric" and test.value is not None:
        return f"{name}{point}: {quantity_text(test.value, test.unit)}, {describe(test).words}"
    seen = test.observation.strip()
    return f"{name}{point}: {seen or 'claimed, no value'}"


def _named(tests: Sequence[Test], name_of: Mapping[str, str]) -> str:
    names = list(dict.fromkeys(name_of.get(test.code, _words(test.code)) for test in tests))
    if len(names) <= 3:
        return ", ".join(names)
    return f"{', '.join(names[:2])} and {count_text(len(names) - 2, 'other')}"


def _words(code: str) -> str:
    text = code.replace("_", " ").strip()
    return text[:1].upper() + text[1:]


def _in_order(entries: list[Entry]) -> list[Entry]:
    timed = [(entry.when.instant, place) for place, entry in enumerate(entries) if entry.when.instant]
    if len(timed) < len(entries):
        return entries
    return [entries[place] for _, place in sorted(timed)]
