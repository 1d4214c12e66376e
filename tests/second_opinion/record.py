"""One order made ready for the rules: what counts, in which order, with which outcome (section 4)."""

from collections.abc import Iterable, Iterator
from fractions import Fraction
from typing import Any

from tests.second_opinion.moments import Moment, Placed, is_blank, read, read_or_none, zone_of
from tests.second_opinion.quantities import converted, exact

Entry = dict[str, Any]


def limits_of(test: Entry) -> tuple[Fraction | None, Fraction | None] | None:
    """Lower and upper limit in the reading's unit; None if there is no limit or the kinds of unit differ."""
    if test.get("lo") is None and test.get("hi") is None:
        return None
    given = test["unit"] if is_blank(test.get("limit_unit")) else test["limit_unit"]
    found = []
    for limit in (test.get("lo"), test.get("hi")):
        in_unit = None if limit is None else converted(exact(limit), given, test["unit"])
        if limit is not None and in_unit is None:
            return None
        found.append(in_unit)
    return found[0], found[1]


def is_measured(test: Entry) -> bool:
    return test.get("value") is not None and not is_blank(test.get("unit"))


def outcome_of(test: Entry) -> str | None:
    """pass, fail, or None where a test has no outcome."""
    if test["kind"] == "attribute":
        return None if is_blank(test.get("observation")) else test.get("result")
    if test["kind"] != "numeric" or not is_measured(test) or test.get("info_only"):
        return None
    limits = limits_of(test)
    if limits is None:
        return None
    value, (lo, hi) = exact(test["value"]), limits
    return "fail" if (lo is not None and value < lo) or (hi is not None and value > hi) else "pass"


def distance_from_limits(test: Entry) -> Fraction:
    """How far a judged reading lies inside its nearest limit; below zero, how far outside it."""
    limits = limits_of(test)
    value = exact(test["value"])
    assert limits is not None
    lo, hi = limits
    return min(
        gap
        for gap in (None if lo is None else value - lo, None if hi is None else hi - value)
        if gap is not None
    )


def reading_of(test: Entry) -> tuple[str, str]:
    """Same step code and same point; a blank point equals a blank point."""
    point = test.get("point")
    return str(test["code"]), "" if is_blank(point) else str(point)


class Record:
    """The order as the rules see it: what is dated after the day of hand-over is left out."""

    def __init__(self, order: Entry, instruments: dict[str, Entry], location: Entry) -> None:
        self.order = order
        self.instruments = instruments
        self.location = location
        self.zone = zone_of(location)
        self.returned = read_or_none(order.get("returned"), self.zone)
        self.is_open = self.returned is None
        self.complaints = {complaint["id"]: complaint for complaint in order["complaints"]}
        self.symptoms = [complaint for complaint in order["complaints"] if complaint["kind"] == "symptom"]
        self.attempts = {
            key: self._placed(complaint.get("attempts", ())) for key, complaint in self.complaints.items()
        }
        self.tests = [
            test
            for test in self._placed(order.get("tests", ()))
            if test.entry.get("status", "done") == "done"
        ]
        self.test_by_id = {test.entry["id"]: test for test in self.tests}
        self.outcome = {test.entry["id"]: outcome_of(test.entry) for test in self.tests}
        self.causes = {cause["id"]: cause for cause in order.get("causes", ())}
        self.work = self._placed(order.get("work", ()), all_dates=True)
        self.trials = self._placed(order.get("trials", ()))
        self.checks = self._placed(order.get("checks", ()))

    def moment(self, text: str) -> Moment:
        return read(text, self.zone)

    def _placed(self, entries: Iterable[Entry], *, all_dates: bool = False) -> list[Placed]:
        placed = [
            Placed(self.moment(entry["on"]), place, entry, entry.get("phase", ""))
            for place, entry in enumerate(entries)
        ]
        if self.returned is None or all_dates:
            return placed
        return [item for item in placed if item.at.day <= self.returned.day]

    def place_entries(self, entries: Iterable[Entry]) -> list[Placed]:
        """Entries that count whatever their date."""
        return self._placed(entries, all_dates=True)

    def known_complaint(self, key: str | None) -> str | None:
        return key if key in self.complaints else None

    def complaint_of_work(self, work: Entry) -> str | None:
        """Reading: an id that is not on the order is no complaint of its own, so the linked cause decides."""
        own = self.known_complaint(work.get("complaint"))
        if own is not None:
            return own
        cause = self.causes.get(work.get("cause") or "")
        return None if cause is None else self.known_complaint(cause["complaint"])

    def cause_work(self, complaint: str | None = None) -> list[Placed]:
        """Work with reason cause, of one complaint or of the whole order."""
        return [
            item
            for item in self.work
            if item.entry["reason"] == "cause"
            and (complaint is None or self.complaint_of_work(item.entry) == complaint)
        ]

    def cited(self, ids: Iterable[str]) -> Iterator[Placed]:
        return (self.test_by_id[key] for key in ids if key in self.test_by_id)

    def tests_cited_by_work(self, work: Entry) -> list[Placed]:
        """Its own cited tests and those of its linked cause, each once."""
        cause = self.causes.get(work.get("cause") or "", {})
        return list(self.cited(dict.fromkeys([*work.get("evidence", ()), *cause.get("evidence", ())])))

    def is_failing_before(self, test: Placed) -> bool:
        return test.phase == "before" and self.outcome[test.entry["id"]] == "fail"

    def failing_evidence(self, work: Entry) -> list[Placed]:
        return [test for test in self.tests_cited_by_work(work) if self.is_failing_before(test)]

    def rereads(self, test: Placed) -> list[Placed]:
        """Phase-after tests of the same reading that have an outcome."""
        return [
            other
            for other in self.tests
            if other.phase == "after"
            and self.outcome[other.entry["id"]] is not None
            and reading_of(other.entry) == reading_of(test.entry)
        ]

    def instrument_of(self, test: Entry) -> Entry | None:
        return self.instruments.get(test.get("instrument") or "")

    def accuracy_of(self, test: Entry) -> Fraction | None:
        instrument = self.instrument_of(test)
        known = None if instrument is None else instrument.get("accuracy")
        return None if known is None else exact(known)

    def best_outcome(self, complaint: Entry) -> str | None:
        found = {attempt.entry["outcome"] for attempt in self.attempts[complaint["id"]]}
        return next((word for word in ("reproduced", "partly", "not_reproduced") if word in found), None)

    def series(self, complaint: Entry) -> list[Placed]:
        return [trial for trial in self.trials if trial.entry["complaint"] == complaint["id"]]

    def matching(self, complaint: Entry) -> list[Placed]:
        """Reading: "not dated before" compares calendar dates; a series earlier on that day still matches."""
        days = [work.at.day for work in self.cause_work(complaint["id"])]
        return [
            trial
            for trial in self.series(complaint)
            if trial.entry.get("conditions_match", True) and (not days or trial.at.day >= max(days))
        ]

    def is_open_assumption(self, assumption: Entry) -> bool:
        status = assumption.get("status", "open")
        if status in ("confirmed", "refuted"):
            return not any(self.cited(assumption.get("evidence", ())))
        return bool(status == "open")
