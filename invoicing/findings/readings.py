"""Readings in words and as strips: before and after the repair, with the limit and whose limit it is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import zip_longest

from diagnostics.evidence.terms import Counted, Terms
from diagnostics.judging import (
    is_blank,
    limits_in_reading_unit,
    outcome,
    reading_key,
    unjudged_because,
)
from diagnostics.metrology import judgement_of
from diagnostics.snapshot import Instrument, Test
from invoicing.findings.names import Names
from invoicing.findings.sheet import Row, Strip, Taken
from invoicing.wording import bare, code_words
from shared.units import NoSuchValue, convert, same_kind
from shared.wording import limits_text, quantity_text

# Without a known accuracy a number can only be set beside its limits; conformity is said where it is proved.
WITHIN = "within limits"
PROVED_WITHIN = "within specification"
OUTSIDE = "outside limits"
BORDERLINE = "borderline"
NOT_MEASURED = "not measured"
AS_IT_SHOULD = "as it should be"
NOT_AS_IT_SHOULD = "not as it should be"
NO_VERDICT = "no verdict"

MOST_STRIPS_WITHOUT_A_POINT = 2
_MAKES_NO_POINT = 4  # The weight of a reading that neither failed, nor is cited, nor was taken twice.
MOST_STRIPS = 4  # More than these would push a normal job past its two pages; the table has them all.


@dataclass(frozen=True, slots=True)
class Pair:
    """The same reading before and after the repair; either may be missing."""

    before: Counted | None
    after: Counted | None

    @property
    def tests(self) -> tuple[Test, ...]:
        """The tests there are, before ahead of after."""
        return tuple(counted.test for counted in (self.before, self.after) if counted)

    @property
    def main(self) -> Test:
        """The later one."""
        return self.tests[-1]


def taken(test: Test, instruments: Mapping[str, Instrument]) -> Taken:
    """Return a reading with its verdict word, and a remark where the word alone would mislead."""
    if test.kind == "attribute":
        return _seen(test)
    if test.kind != "numeric":
        return Taken(bare(test.observation) or "code read", NO_VERDICT, "a report, not a reading")
    if test.value is None or is_blank(test.unit):
        return Taken(NOT_MEASURED, NOT_MEASURED, unjudged_because(test) or "no value was written down")
    text = quantity_text(test.value, test.unit.strip())
    if why := unjudged_because(test):
        return Taken(text, NO_VERDICT, why)
    judgement = judgement_of(test, instruments)
    if judgement is None:
        return Taken(text, OUTSIDE if outcome(test) == "fail" else WITHIN)
    if judgement.is_proved:
        return Taken(text, OUTSIDE if outcome(test) == "fail" else PROVED_WITHIN)
    side = "outside" if outcome(test) == "fail" else "within"
    return Taken(text, BORDERLINE, f"{side}, not proved: {judgement.p_words} that it meets the limit")


def _seen(test: Test) -> Taken:
    if is_blank(test.observation):
        return Taken(NOT_MEASURED, NOT_MEASURED, "nothing was written down")
    if test.result not in ("pass", "fail"):
        return Taken(bare(test.observation), NO_VERDICT, "no result")
    return Taken(bare(test.observation), NOT_AS_IT_SHOULD if test.result == "fail" else AS_IT_SHOULD)


def should_be(test: Test) -> str:
    """Return what the reading should be, in words; empty where no limit is given."""
    if test.kind != "numeric" or (test.lo is None and test.hi is None):
        return ""
    unit = test.unit if is_blank(test.limit_unit) else test.limit_unit
    return limits_text(test.lo, test.hi, unit.strip())


def said(test: Test, names: Names, instruments: Mapping[str, Instrument]) -> str:
    """Return one reading as a piece of a sentence: name and place, value, verdict."""
    reading = taken(test, instruments)
    verdict = f", {reading.verdict}" if reading.verdict != reading.text else ""
    return f"{names.test(test.code)}{place(test)}: {reading.text}{verdict}"


def place(test: Test) -> str:
    """Return where a reading was taken, in brackets, or an empty text."""
    return "" if is_blank(test.point) else f" ({code_words(test.point)})"


def pairs(terms: Terms) -> list[tuple[Pair, ...]]:
    """Return every reading of the order, in record order; each with as many pairs as it was taken.

    The first pair of a reading holds the failing one before the repair, if there is one, and the
    last one after it.
    """
    found: dict[tuple[str, str], list[Counted]] = {}
    for counted in terms.tests:
        found.setdefault(reading_key(counted.test), []).append(counted)
    return [_paired(readings) for readings in found.values()]


def _paired(readings: Sequence[Counted]) -> tuple[Pair, ...]:
    before = [one for one in readings if one.is_before]
    after = [one for one in readings if not one.is_before]
    before.sort(key=lambda one: one.outcome != "fail")
    return tuple(Pair(*two) for two in zip_longest(before, reversed(after)))


def row(pair: Pair, names: Names, instruments: Mapping[str, Instrument]) -> Row:
    """Return a pair as a row of the table."""
    main = pair.main
    whose = names.origin(main).short if should_be(main) else ""
    return Row(
        name=names.test(main.code),
        where=names.where(main),
        before=taken(pair.before.test, instruments) if pair.before else None,
        after=taken(pair.after.test, instruments) if pair.after else None,
        should_be=should_be(main),
        whose=whose,
    )


def strips(
    terms: Terms, chosen: Iterable[Pair], names: Names, instruments: Mapping[str, Instrument]
) -> tuple[Strip, ...]:
    """Return the readings that carry the story, drawn: cited ones first, then pairs, then failing ones."""
    cited = {reading_key(counted.test) for done in terms.work for counted in done.failing} | {
        reading_key(c.test) for cause in terms.order.causes for c in terms.cited(cause.evidence)
    }
    weighed = [
        (_weight(pair, cited), position, strip)
        for position, pair in enumerate(chosen)
        if (strip := _strip(pair, names, instruments)) is not None
    ]
    best = [one for one in sorted(weighed, key=lambda one: one[:2]) if one[0] < _MAKES_NO_POINT]
    best = best[:MOST_STRIPS] or sorted(weighed, key=lambda one: one[:2])[:MOST_STRIPS_WITHOUT_A_POINT]
    return tuple(strip for _, _, strip in sorted(best, key=lambda one: one[1]))


def _weight(pair: Pair, cited: set[tuple[str, str]]) -> int:
    both = pair.before is not None and pair.after is not None
    is_cited = reading_key(pair.main) in cited
    failed = any(one is not None and one.outcome == "fail" for one in (pair.before, pair.after))
    return next(rank for rank, holds in enumerate((is_cited and both, is_cited, both, failed, True)) if holds)


def _strip(pair: Pair, names: Names, instruments: Mapping[str, Instrument]) -> Strip | None:
    main = pair.main
    lo, hi = limits_in_reading_unit(main)
    if main.value is None or (lo is None and hi is None):
        return None
    unit = main.unit.strip()
    earlier = pair.before.test if pair.before and pair.after else None
    line = row(pair, names, instruments)
    return Strip(
        row=line,
        unit=unit,
        value="" if main.phase == "before" else f"{main.value:f}",
        before=f"{main.value:f}" if main.phase == "before" else _digits_in(earlier, main),
        lo="" if lo is None else f"{lo:f}",
        hi="" if hi is None else f"{hi:f}",
    )


def _digits_in(test: Test | None, main: Test) -> str:
    if test is None or test.value is None or not same_kind(test.unit, main.unit):
        return ""
    try:
        value: Decimal = convert(test.value, test.unit, main.unit)
    except NoSuchValue:
        return ""
    return f"{value:f}"
