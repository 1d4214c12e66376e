"""The evidence-gap rules R1 to R26 and the evidence chain (sections 5 to 8 of the practice text)."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import timedelta
from fractions import Fraction
from itertools import pairwise
from typing import Any

from tests.second_opinion.moments import Placed, in_order, is_blank, is_later, latest, read, same, zone_of
from tests.second_opinion.quantities import kilometres
from tests.second_opinion.record import (
    Entry,
    Record,
    distance_from_limits,
    is_measured,
    limits_of,
    reading_of,
)

FLOOR_TRIALS = 3  # policy
COINCIDENCE = timedelta(minutes=30)  # policy
REPEAT_DAYS = 365  # policy
REPEAT_KM = 20_000  # policy
LIVE = frozenset({"R3", "R5", "R6", "R7", "R8", "R10", "R24", "R25"})
SECOND_NAME = frozenset({"R18", "R20", "R22"})
LINKS = {
    "attempt": ("R1", "R2", "R3", "R21"),
    "failing reading": ("R9", "R11"),
    "cause": ("R12", "R13", "R15"),
    "work": ("R22",),
    "re-read": ("R16", "R17", "R18"),
    "trials": ("R19", "R20"),
}


@dataclass(frozen=True, slots=True)
class Hit:
    """A rule that fires: on what, for which complaint, and whether the record itself excuses it.

    `also` are further complaints whose chain it breaks.
    """

    subject: str
    complaint: str | None = None
    is_excused: bool = False
    is_critical: bool = False
    also: tuple[str, ...] = ()


@dataclass(slots=True)
class Case:
    """One order with the earlier orders of its vehicle, each beside its own location."""

    record: Record
    earlier: list[tuple[Entry, Entry]] = field(default_factory=list)


class Findings(set[tuple[str, str, str]]):
    """(rule, subject, state), and for the chain the record and the state each complaint sees."""

    record: Record | None = None
    by_complaint: dict[str, set[tuple[str, str]]]


def has_reason_and_name(explanation: Entry | None) -> bool:
    return (
        explanation is not None
        and not is_blank(explanation.get("reason"))
        and not is_blank(explanation.get("by"))
    )


def _has_second_name(record: Record, explanation: Entry) -> bool:
    approver = explanation.get("approved_by")
    if record.location.get("single_person", False):
        return True
    return not is_blank(approver) and approver not in (explanation["by"], record.order.get("technician"))


# --- the complaint and how it was seen ---


def has_valid_plan(complaint: Entry) -> bool:
    plan = complaint.get("plan")
    return plan is not None and plan["n"] >= 1 and not is_blank(plan.get("conditions"))


def trials_needed(record: Record, complaint: Entry) -> int:
    """The least n with (1 - k/n_tries)^n <= 0.05, not below the floor; exact, without logarithms."""
    if has_valid_plan(complaint):
        return int(complaint["plan"]["n"])
    if complaint.get("pattern") == "constant":
        return 1
    counted = [
        attempt.entry
        for attempt in record.attempts[complaint["id"]]
        if attempt.entry.get("n") is not None and attempt.entry.get("k") is not None
    ]
    tries, shown = sum(a["n"] for a in counted), sum(a["k"] for a in counted)
    if shown <= 0 or shown >= tries:
        return FLOOR_TRIALS
    clean, needed = Fraction(tries - shown, tries), FLOOR_TRIALS
    while clean**needed > Fraction(1, 20):
        needed += 1
    return needed


def _r1(case: Case) -> Iterator[Hit]:
    for complaint in case.record.symptoms:
        if not case.record.attempts[complaint["id"]]:
            yield Hit(complaint["id"], complaint["id"])


def _never_reproduced_without_plan(record: Record, complaint: Entry) -> bool:
    return record.best_outcome(complaint) in ("partly", "not_reproduced") and not has_valid_plan(complaint)


def _r2(case: Case) -> Iterator[Hit]:
    for complaint in case.record.symptoms:
        if _never_reproduced_without_plan(case.record, complaint):
            yield Hit(complaint["id"], complaint["id"])


def _r3(case: Case) -> Iterator[Hit]:
    for complaint in case.record.symptoms:
        if any(is_blank(a.entry.get("conditions")) for a in case.record.attempts[complaint["id"]]):
            yield Hit(complaint["id"], complaint["id"])


def _recurred_last(record: Record, complaint: Entry) -> bool:
    last = latest(record.series(complaint))
    return last is not None and last.entry["recurrences"] > 0


def _r19(case: Case) -> Iterator[Hit]:
    """Reading: "the last series with a recurrence" is the last of all series, matching or not."""
    record = case.record
    for complaint in record.symptoms:
        if not record.cause_work(complaint["id"]) and not has_valid_plan(complaint):
            continue
        if _never_reproduced_without_plan(record, complaint) or _recurred_last(record, complaint):
            continue
        bad = latest(trial for trial in record.series(complaint) if trial.entry["recurrences"] > 0)
        clean = sum(
            trial.entry["n"] for trial in record.matching(complaint) if bad is None or is_later(trial, bad)
        )
        if clean < trials_needed(record, complaint):
            yield Hit(complaint["id"], complaint["id"])


def _r20(case: Case) -> Iterator[Hit]:
    for complaint in case.record.symptoms:
        if _recurred_last(case.record, complaint):
            yield Hit(complaint["id"], complaint["id"])


def _r21(case: Case) -> Iterator[Hit]:
    record = case.record
    for complaint in record.symptoms:
        trials, attempts = record.matching(complaint), record.attempts[complaint["id"]]
        never = record.best_outcome(complaint) == "not_reproduced"
        if (trials and _all_connected(trials)) or (never and _all_connected(attempts)):
            yield Hit(complaint["id"], complaint["id"])


def _all_connected(entries: list[Placed]) -> bool:
    return all(item.entry.get("equipment_connected", False) for item in entries)


# --- the tests ---


def _r4(case: Case) -> Iterator[Hit]:
    record = case.record
    for complaint in record.order["complaints"]:
        done = {
            (t.entry["code"], t.phase) for t in record.tests if t.entry.get("complaint") == complaint["id"]
        }
        for step in complaint.get("required", ()):
            if (step["code"], step.get("phase", "before")) not in done:
                critical = step.get("critical", False)
                yield Hit(
                    f"{complaint['id']}:{step['code']}",
                    complaint["id"],
                    is_excused=_waiver_holds(record, step.get("waiver"), critical=critical),
                    is_critical=critical,
                )


def _waiver_holds(record: Record, waiver: Entry | None, *, critical: bool) -> bool:
    if waiver is None or not has_reason_and_name(waiver):
        return False
    if critical and not _has_second_name(record, waiver):
        return False
    cited = waiver.get("assumption")
    if is_blank(cited):
        return True
    found = [a for a in record.order.get("assumptions", ()) if a["id"] == cited]
    return bool(found) and not record.is_open_assumption(found[0])


def _test_hit(record: Record, test: Placed, *, is_excused: bool = False) -> Hit:
    """Reading: a finding on a test belongs to the chain of the complaint that the test itself names."""
    return Hit(test.entry["id"], record.known_complaint(test.entry.get("complaint")), is_excused=is_excused)


def _proof_hit(record: Record, test: Placed) -> Hit:
    """Reading: a reading that proves a repair breaks the chain of every complaint whose work rests on it.

    "Same reading" is "whatever the complaint", so the complaint that the test names is not the only one.
    """
    resting = [
        record.complaint_of_work(work.entry)
        for work in record.cause_work()
        if any(reading_of(t.entry) == reading_of(test.entry) for t in record.failing_evidence(work.entry))
    ]
    return replace(_test_hit(record, test), also=tuple(c for c in resting if c is not None))


def _r5(case: Case) -> Iterator[Hit]:
    for test in case.record.tests:
        entry = test.entry
        if (entry["kind"] == "numeric" and not is_measured(entry)) or (
            entry["kind"] == "attribute" and is_blank(entry.get("observation"))
        ):
            yield _test_hit(case.record, test)


def _r6(case: Case) -> Iterator[Hit]:
    for test in case.record.tests:
        entry = test.entry
        if entry["kind"] != "numeric" or not is_measured(entry) or entry.get("info_only", False):
            continue
        if limits_of(entry) is None:
            yield _test_hit(case.record, test)


def _r7(case: Case) -> Iterator[Hit]:
    for test in case.record.tests:
        entry = test.entry
        if entry["kind"] == "numeric" and is_measured(entry) and case.record.instrument_of(entry) is None:
            yield _test_hit(case.record, test)


def _r8(case: Case) -> Iterator[Hit]:
    record = case.record
    for test in record.tests:
        instrument = record.instrument_of(test.entry)
        if instrument is None:
            continue
        due, withdrawn = instrument.get("cal_due"), instrument.get("withdrawn_on")
        is_past = due is None or record.moment(due).day < test.at.day
        is_gone = withdrawn is not None and record.moment(withdrawn).day <= test.at.day
        if (instrument.get("cal_required", True) and is_past) or is_gone:
            yield _test_hit(record, test)


def _r9(case: Case) -> Iterator[Hit]:
    record, order = case.record, case.record.order
    cited = {
        key
        for entry in (*order.get("causes", ()), *order.get("work", ()))
        for key in entry.get("evidence", ())
    }
    declined = {item.get("test") for item in order.get("declined", ())}
    for test in record.tests:
        key = test.entry["id"]
        if not record.is_failing_before(test) or key in cited or key in declined:
            continue
        if not any(
            record.outcome[other.entry["id"]] == "pass"
            and reading_of(other.entry) == reading_of(test.entry)
            and is_later(other, test)
            for other in record.tests
        ):
            yield _test_hit(record, test, is_excused=has_reason_and_name(test.entry.get("disposition")))


def _r10(case: Case) -> Iterator[Hit]:
    """Reading: dates of entry and of work compare as calendar dates; times of day play no part."""
    record = case.record
    for work in record.cause_work():
        for test in record.tests_cited_by_work(work.entry):
            entered = test.entry.get("entered_on")
            day = test.at.day if entered is None else record.moment(entered).day
            if test.phase == "before" and day > work.at.day:
                yield _test_hit(record, test)


def _r16(case: Case) -> Iterator[Hit]:
    record = case.record
    for work in record.cause_work():
        evidence = record.failing_evidence(work.entry)
        if evidence and all(_is_marginal(record, test, sign=-1) for test in evidence):
            yield Hit(work.entry["id"], record.complaint_of_work(work.entry))
    for test in record.tests:
        if test.entry["kind"] == "numeric" and record.is_failing_before(test):
            after = record.rereads(test)
            if (
                len(after) == 1
                and record.outcome[after[0].entry["id"]] == "pass"
                and _is_marginal(record, after[0])
            ):
                yield _proof_hit(record, after[0])


def _is_marginal(record: Record, test: Placed, *, sign: int = 1) -> bool:
    """No farther inside its nearest limit (sign -1: outside it) than the known accuracy of its instrument."""
    accuracy = record.accuracy_of(test.entry)
    if test.entry["kind"] != "numeric" or accuracy is None:
        return False
    return sign * distance_from_limits(test.entry) <= accuracy


def _r17(case: Case) -> Iterator[Hit]:
    """Reading: "its first such test" goes by the same order as "later"."""
    record = case.record
    failing = {t.entry["id"]: t for work in record.cause_work() for t in record.failing_evidence(work.entry)}
    told = set()
    for test in in_order(failing.values()):
        reading = reading_of(test.entry)
        if test.entry.get("repeatable", True) and reading not in told and not record.rereads(test):
            told.add(reading)
            yield _proof_hit(record, test)


def _r18(case: Case) -> Iterator[Hit]:
    record = case.record
    by_reading: dict[tuple[str, str], list[Placed]] = {}
    for test in record.tests:
        if test.phase == "after" and record.outcome[test.entry["id"]] is not None:
            by_reading.setdefault(reading_of(test.entry), []).append(test)
    for tests in by_reading.values():
        last = latest(tests)
        if last is not None and record.outcome[last.entry["id"]] == "fail":
            yield _proof_hit(record, last)


# --- cause and work ---


def _r11(case: Case) -> Iterator[Hit]:
    record = case.record
    for item in record.work:
        work = item.entry
        if work["kind"] == "replace" and (
            (work["reason"] == "cause" and not record.failing_evidence(work))
            or (work["reason"] == "consequential" and work.get("cause") not in record.causes)
            or (work["reason"] == "customer_request" and is_blank(work.get("note")))
        ):
            yield Hit(work["id"], record.complaint_of_work(work))


def _r12(case: Case) -> Iterator[Hit]:
    record = case.record
    for item in record.cause_work():
        complaint = record.complaint_of_work(item.entry)
        causes = [c for c in record.causes.values() if complaint is not None and c["complaint"] == complaint]
        if not any(
            same(cause["component"], item.entry["component"]) and _isolates(record, cause) for cause in causes
        ):
            yield Hit(item.entry["id"], complaint)


def _isolates(record: Record, cause: Entry) -> bool:
    return any(
        record.is_failing_before(test) and same(test.entry.get("isolates"), cause["component"])
        for test in record.cited(cause.get("evidence", ()))
    )


def _r13(case: Case) -> Iterator[Hit]:
    record = case.record
    for complaint in record.order["complaints"]:
        work = record.cause_work(complaint["id"])
        for suspect in complaint.get("suspects", ()) if work else ():
            if any(same(suspect["component"], item.entry["component"]) for item in work):
                continue
            has_test = any(record.outcome[t.entry["id"]] for t in record.cited(suspect.get("evidence", ())))
            if suspect["state"] == "open" or (suspect["state"] == "ruled_out" and not has_test):
                yield Hit(suspect["component"], complaint["id"])


def _r14(case: Case) -> Iterator[Hit]:
    """Reading: an acceptance counts only under the status accepted."""
    for assumption in case.record.order.get("assumptions", ()):
        is_accepted = assumption.get("status") == "accepted"
        if is_accepted or case.record.is_open_assumption(assumption):
            excused = is_accepted and has_reason_and_name(assumption.get("accepted"))
            yield Hit(assumption["id"], is_excused=excused)


def _r15(case: Case) -> Iterator[Hit]:
    record, order = case.record, case.record.order
    events = {event["id"]: event for event in order.get("events", ())}
    for claim in order.get("claims", ()):
        named = events.get(claim["event"])
        if named is None or record.known_complaint(claim["complaint"]) is None:
            continue
        followed = any(
            event["id"] != named["id"]
            and event["kind"] == "symptom"
            and event.get("complaint") == claim["complaint"]
            and _follows_closely(record, named, event)
            for event in events.values()
        )
        reversed_ = any(
            r["event"] == named["id"] and is_valid_reversal(r) for r in order.get("reversals", ())
        )
        if followed and not reversed_:
            yield Hit(claim["id"], claim["complaint"])


def _follows_closely(record: Record, event: Entry, symptom: Entry) -> bool:
    start, end = record.moment(event["at"]).instant, record.moment(symptom["at"]).instant
    return start is not None and end is not None and timedelta(0) <= end - start <= COINCIDENCE


def is_valid_reversal(reversal: Entry) -> bool:
    phases = reversal["phases"]
    shown: dict[str, set[bool]] = {}
    for phase in phases:
        shown.setdefault(phase["condition"], set()).add(phase["present"])
    return (
        len(phases) >= 3
        and len(shown) == 2
        and all(one["condition"] != two["condition"] for one, two in pairwise(phases))
        and all(phase["n"] >= 1 for phase in phases)
        and sorted(map(sorted, shown.values())) == [[False], [True]]
    )


def _r22(case: Case) -> Iterator[Hit]:
    """Reading: a check without a name is a check by nobody."""
    record = case.record
    for item in record.work:
        work = item.entry
        doer = record.order.get("technician") if is_blank(work.get("by")) else work["by"]
        if work.get("safety", False) and not any(
            check.entry["work"] == work["id"]
            and check.at.day >= item.at.day
            and not is_blank(check.entry["by"])
            and check.entry["by"] != doer
            for check in record.checks
        ):
            yield Hit(work["id"], record.complaint_of_work(work))


def _r26(case: Case) -> Iterator[Hit]:
    record = case.record
    for item in record.work:
        is_bare = _is_replacement(item.entry) and is_blank(item.entry.get("failure_analysis"))
        if is_bare and any(_replaced_near(record, item, order, location) for order, location in case.earlier):
            yield Hit(item.entry["id"], record.complaint_of_work(item.entry))


def _is_replacement(work: Entry) -> bool:
    return bool(work["kind"] == "replace" and work["reason"] != "maintenance")


def _replaced_near(record: Record, item: Placed, order: Entry, location: Entry) -> bool:
    """Reading: work dated after this one is not before it; a falling odometer is near."""
    then = kilometres(order.get("odo_out"), order.get("odo_unit"))
    now = kilometres(record.order.get("odo_in"), record.order.get("odo_unit"))
    if then is not None and now is not None and now - then > REPEAT_KM:
        return False
    return any(
        _is_replacement(work)
        and same(work["component"], item.entry["component"])
        and 0 <= (item.at.day - read(work["on"], zone_of(location)).day).days <= REPEAT_DAYS
        for work in order.get("work", ())
    )


# --- the order ---


def _r23(case: Case) -> Iterator[Hit]:
    for item in case.record.order.get("declined", ()):
        needs_follow_up = item["risk"] in ("safety", "progressive")
        if item.get("informed_on") is None or (needs_follow_up and item.get("follow_up_on") is None):
            yield Hit(item["id"])


def _r24(case: Case) -> Iterator[Hit]:
    order = case.record.order
    spent = sum(entry["minutes"] for entry in order.get("time", ()) if entry["kind"] == "diagnosis")
    if spent > sum(entry["minutes"] for entry in order.get("authorisations", ())):
        yield Hit(order["id"])


def _r25(case: Case) -> Iterator[Hit]:
    """Reading: a time entry without a name is nobody's, so it is not by a different person."""
    record = case.record
    entries = record.place_entries(record.order.get("time", ()))
    handoffs = record.place_entries(record.order.get("handoffs", ()))
    for key in record.complaints:
        own = in_order(entry for entry in entries if entry.entry.get("complaint") == key)
        passed = [handoff for handoff in handoffs if handoff.entry["complaint"] == key]
        for one, two in pairwise(own):
            giver, taker = one.entry["by"], two.entry["by"]
            if is_blank(giver) or is_blank(taker) or giver == taker:
                continue
            if not any(
                one.at.day <= h.at.day <= two.at.day and _hands_over(h.entry, giver, taker) for h in passed
            ):
                yield Hit(key, key)


def _hands_over(handoff: Entry, giver: str, taker: str) -> bool:
    return (
        (handoff["from"], handoff["to"]) == (giver, taker)
        and not is_blank(handoff.get("known"))
        and handoff.get("ruled_out") is not None
        and handoff.get("suspected") is not None
        and not is_blank(handoff.get("next"))
        and handoff.get("acknowledged_by") == taker
    )


RULES: dict[str, Callable[[Case], Iterator[Hit]]] = {
    "R1": _r1, "R2": _r2, "R3": _r3, "R4": _r4, "R5": _r5, "R6": _r6, "R7": _r7, "R8": _r8, "R9": _r9,
    "R10": _r10, "R11": _r11, "R12": _r12, "R13": _r13, "R14": _r14, "R15": _r15, "R16": _r16, "R17": _r17,
    "R18": _r18, "R19": _r19, "R20": _r20, "R21": _r21, "R22": _r22, "R23": _r23, "R24": _r24, "R25": _r25,
    "R26": _r26,
}  # fmt: skip


def findings(
    order: Entry,
    instruments: dict[str, Entry],
    location: Entry,
    earlier: list[Entry],
    *,
    locations: dict[str, Entry] | None = None,
) -> Findings:
    """Every (rule, subject, state) of one order; with `locations`, earlier orders keep their shop's dates.

    Reading: where two entries give one subject (one code required before and after), the worse state stands.
    """
    record = Record(order, instruments, location)
    case = Case(
        record, [(old, (locations or {}).get(old.get("location") or "", location)) for old in earlier]
    )
    found = Findings()
    found.record = record
    found.by_complaint = {key: set() for key in record.complaints}
    for rule, fires in RULES.items():
        states: dict[str, str] = {}
        for hit in fires(case):
            state = _state(record, rule, hit)
            if states.get(hit.subject, "explained") == "explained":
                states[hit.subject] = state
            for complaint in filter(None, {hit.complaint, *hit.also}):
                found.by_complaint[complaint].add((rule, state))
        found.update((rule, subject, state) for subject, state in states.items())
    return found


def _state(record: Record, rule: str, hit: Hit) -> str:
    needs_second = rule in SECOND_NAME or hit.is_critical
    if hit.is_excused or any(
        (entry["rule"], entry["subject"]) == (rule, hit.subject)
        and has_reason_and_name(entry)
        and (not needs_second or _has_second_name(record, entry))
        for entry in record.order.get("explanations", ())
    ):
        return "explained"
    return "pending" if record.is_open and rule not in LIVE else "gap"


def chain(order: Entry, findings: Findings, complaint_id: str) -> str:
    """Where the chain of one complaint is broken or explained, or that it is complete (section 7).

    Reading: without reason-cause work only what is on record decides, whatever the findings say.
    """
    record = findings.record
    assert record is not None
    assert record.order is order
    if not record.cause_work(complaint_id):
        return f"broken at {_first_link_not_on_record(record, complaint_id)}"
    seen = findings.by_complaint[complaint_id]
    for word, states in (("broken", {"gap", "pending"}), ("explained", {"explained"})):
        for link, rules in LINKS.items():
            if any(rule in rules and state in states for rule, state in seen):
                return f"{word} at {link}"
    return "complete"


def _first_link_not_on_record(record: Record, complaint_id: str) -> str:
    """Reading: a failing reading is on record when it names the complaint, or when a cause of it cites it.

    Reading: the link is called "isolated cause"; section 2 says what isolates one, a bare cause is none.
    """
    cited = {
        test.entry["id"]
        for cause in record.causes.values()
        if cause["complaint"] == complaint_id
        for test in record.cited(cause.get("evidence", ()))
    }
    on_record: dict[str, Any] = {
        "attempt": record.attempts[complaint_id],
        "failing reading": [
            t
            for t in record.tests
            if record.is_failing_before(t)
            and (t.entry.get("complaint") == complaint_id or t.entry["id"] in cited)
        ],
        "cause": [
            cause
            for cause in record.causes.values()
            if cause["complaint"] == complaint_id and _isolates(record, cause)
        ],
    }
    return next((link for link, entries in on_record.items() if not entries), "work")
