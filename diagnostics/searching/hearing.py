"""How a search hears the readings of a complaint: which reading is which outcome of which test.

There is one way to record a reading. A search holds none of its own; it listens to the test runs of its
complaint by step code and point, so a reading that was taken elsewhere on the job counts all the same.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from diagnostics.judging import outcome as outcome_of
from diagnostics.judging import reading_key, unjudged_because
from diagnostics.metrology import judgement_of
from diagnostics.snapshot import Instrument, Test
from shared.units import NoSuchValue, convert_exactly, same_kind

TOO_CLOSE = "too close to the limit to tell"
TAKEN_AGAIN = "taken again since"


@dataclass(frozen=True, slots=True)
class Heard:
    """One reading as the search hears it.

    `run` is the id of the reading, `test` the test of the problem. Without an `outcome` it tells the search
    nothing, and `why` says why not.
    """

    run: str
    test: str
    outcome: str = ""
    why: str = ""

    @property
    def counts(self) -> bool:
        """Whether it is one entry of the history."""
        return bool(self.outcome) and not self.why


def hear(
    tests: Iterable[Test],
    *,
    complaint: str,
    document: Mapping[str, Any],
    listens: Mapping[str, Mapping[str, Any]],
    instruments: Mapping[str, Instrument],
) -> tuple[Heard, ...]:
    """Return the readings that the search hears, in the order on the record.

    Parameters
    ----------
    tests : Test
        The live tests of the order.
    complaint : str
        Id of the complaint that is searched.
    document : mapping
        The isolation problem; its outcomes may have ranges.
    listens : mapping
        Test id to code, point, limits and what each outcome says.
    instruments : mapping
        The shop's list; where the accuracy is known and the verdict is not proved, the reading is undecided.

    Notes
    -----
    A test that was done more often than it tells something new (`max_uses`) counts by its latest readings.
    """
    asked = {each["id"]: each for each in document["tests"]}
    by_key = {
        (one["code"].strip(), one["point"].strip()): name for name, one in listens.items() if name in asked
    }
    heard = []
    for test in tests:
        name = by_key.get(reading_key(test))
        if name and test.complaint == complaint and test.phase == "before" and test.status == "done":
            heard.append(_heard(test, asked[name], listens[name], instruments))
    return _latest(heard, {name: int(each.get("max_uses", 1)) for name, each in asked.items()})


def _latest(heard: list[Heard], most: Mapping[str, int]) -> tuple[Heard, ...]:
    """Mark what was taken again: the same static reading taken twice is one reading, and the later one."""
    seen: Counter[str] = Counter()
    told = []
    for one in reversed(heard):
        if one.counts:
            seen[one.test] += 1
            one = replace(one, why=TAKEN_AGAIN) if seen[one.test] > most[one.test] else one
        told.append(one)
    return tuple(reversed(told))


def _heard(
    test: Test, asked: Mapping[str, Any], listens: Mapping[str, Any], instruments: Mapping[str, Instrument]
) -> Heard:
    name, outcomes = asked["id"], asked["outcomes"]
    if test.value is not None and any("from" in each or "to" in each for each in outcomes):
        return _by_range(test, name, outcomes, instruments)
    verdict = outcome_of(test)
    if verdict is None:
        return Heard(test.id, name, why=unjudged_because(test))
    if _is_undecided(test, instruments):
        return Heard(test.id, name, why=TOO_CLOSE)
    said = [each["id"] for each in outcomes if listens["says"].get(each["id"]) == verdict]
    if len(said) > 1:
        seen = listens.get("observation", {})
        said = [each for each in said if seen.get(each, "").strip() == test.observation.strip()] or said[:0]
    return (
        Heard(test.id, name, said[0]) if said else Heard(test.id, name, why="it fits no outcome of the test")
    )


def _by_range(
    test: Test, name: str, outcomes: Iterable[Mapping[str, Any]], instruments: Mapping[str, Instrument]
) -> Heard:
    for each in outcomes:
        unit = each.get("unit") or test.unit
        lo, hi = _limit(each.get("from")), _limit(each.get("to"))
        if not same_kind(unit, test.unit) or test.value is None:
            return Heard(test.id, name, why=f"read in {test.unit}, the test asks for {unit}")
        if _lies_in(test.value, test.unit, unit, lo, hi):
            limited = replace(test, lo=lo, hi=hi, limit_unit=unit, info_only=False)
            if _is_undecided(limited, instruments):
                return Heard(test.id, name, why=TOO_CLOSE)
            return Heard(test.id, name, each["id"])
    return Heard(test.id, name, why="it lies in no range of the test")


def _limit(value: Any) -> Decimal | None:
    return None if value is None else Decimal(str(value))


def _lies_in(value: Decimal, unit: str, to: str, lo: Decimal | None, hi: Decimal | None) -> bool:
    try:
        here = convert_exactly(value, unit, to)
    except NoSuchValue:
        return False
    return (lo is None or here >= lo) and (hi is None or here <= hi)


def _is_undecided(test: Test, instruments: Mapping[str, Instrument]) -> bool:
    """Whether the accuracy of the instrument leaves open on which side of the limit the reading lies."""
    judgement = judgement_of(test, instruments)
    return judgement is not None and not judgement.is_proved
