"""Readings as rows of the table of the page."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from django.urls import reverse

from diagnostics.job.on_order import plain_name
from diagnostics.job.records import Records
from diagnostics.judging import describe, evidence_level, is_late, limits_in_reading_unit
from diagnostics.metrology import Judgement, judgement_of
from diagnostics.models import TestKind
from diagnostics.snapshot import Instrument, Order, Test
from shared.templatetags.words import when_short
from shared.wording import limits_text

VERDICTS = {"passed": "pass", "failed": "fail"}


def reading_rows(
    tests: Iterable[Test],
    order: Order,
    *,
    records: Records,
    kinds: dict[str, TestKind],
    instruments: Mapping[str, Instrument],
    may_correct: bool,
) -> list[dict[str, Any]]:
    """Return rows for the `readings` tag, one a test."""
    return [
        _row(test, order, records, kinds, instruments)
        | {"href": _correction(test, records, order, may_correct)}
        for test in tests
    ]


def _row(test: Test, order: Order, records: Records, kinds, instruments) -> dict[str, Any]:
    verdict = describe(test)
    judgement = judgement_of(test, instruments, whose=_whose(test, records))
    level = evidence_level(test, order, instruments)
    lo, hi = limits_in_reading_unit(test)
    return {
        "name": _name(test, kinds),
        "by": _by(test),
        "value": test.value,
        "unit": test.unit,
        "lo": lo,
        "hi": hi,
        "limits": limits_text(test.lo, test.hi, test.limit_unit or test.unit)
        if test.kind == "numeric"
        else "",
        "limit_note": _note(test, records, verdict.why),
        "verdict": VERDICTS.get(verdict.key, verdict.key),
        "level": level.code if level else "",
        "verdict_word": _with_proof(verdict.words, judgement),
        "proof": f"{judgement.p_words} that it conforms" if judgement else "",
        "why": judgement.why if judgement else "",
        "text": test.observation or ("no value" if test.kind == "numeric" else "no observation"),
    }


def _with_proof(words: str, judgement: Judgement | None) -> str:
    """The verdict, and whether it is proved; the sign's own word where that cannot be said."""
    if judgement is None:
        return ""
    return f"{words}, {'proved' if judgement.is_proved else 'not proved'}"


def _whose(test: Test, records: Records) -> str:
    run = records.tests.get(test.id)
    return _first_clause(run.limit_says) if run else ""


def _name(test: Test, kinds: dict[str, TestKind]) -> str:
    """What was measured, and the point where it is another than usual."""
    name = plain_name(test.code, kinds)
    usual = kinds[test.code].point if test.code in kinds else ""
    return f"{name}, {test.point}" if test.point and test.point != usual else name


def _first_clause(text: str) -> str:
    """Whose limit it is, without the remarks that follow."""
    return re.split(r"[;.] ", text, maxsplit=1)[0].rstrip(".")


def _by(test: Test) -> str:
    parts = [when_short(test.on), test.by, test.instrument, "entered late" if is_late(test) else ""]
    return ", ".join(part for part in parts if part)


def _note(test: Test, records: Records, why: str) -> str:
    run = records.tests.get(test.id)
    parts = [
        _whose(test, records),
        run.observation if run and test.kind == "numeric" and test.value is not None else "",
        "" if why == "no limit" else why,
        f"isolates: {test.isolates}" if test.isolates else "",
        f"decided: {test.disposition.reason}, {test.disposition.by}" if test.disposition else "",
    ]
    return ". ".join(part for part in parts if part)


def _correction(test: Test, records: Records, order: Order, may_correct: bool) -> str:
    run = records.tests.get(test.id)
    if run is None or not may_correct:
        return ""
    return reverse("order-record-row", args=[run.order_id, "correction", run.pk])
