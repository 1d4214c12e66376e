"""What a record of an order may cite: its complaints, tests, causes and the rest, each with its label."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property
from typing import Any

from diagnostics.judging import describe
from diagnostics.metrology import judgement_of, proof_words
from diagnostics.models import Assumption, Cause, Caution, Event, Instrument, Suspect, TestKind, TestRun
from diagnostics.reading import read_instruments, read_order
from diagnostics.snapshot import Instrument as InstrumentSnapshot
from diagnostics.snapshot import Test
from shared.wording import quantity_text
from shop.models import RepairOrder, StaffMember, System, WorkItem

PHASE_WORDS = {"before": "before the repair", "after": "after the repair"}


def test_kinds(codes: Iterable[str]) -> dict[str, TestKind]:
    """Return the kinds in force of these codes; a code of no kind is left out."""
    return {kind.code: kind for kind in TestKind.objects.filter(code__in=set(codes), is_current=True)}


def caution_texts(kinds: dict[str, TestKind]) -> dict[str, str]:
    """Return the cautions that these kinds of test carry, by code."""
    codes = {code for kind in kinds.values() for code in kind.cautions}
    return dict(Caution.objects.filter(code__in=codes).values_list("code", "text")) if codes else {}


def plain_name(code: str, kinds: dict[str, TestKind]) -> str:
    """Return what a test is called, or its code in words."""
    return kinds[code].name if code in kinds else code.replace("_", " ")


def reading_words(test: Test, instruments: Mapping[str, InstrumentSnapshot]) -> str:
    """Return what was read, or seen: "1.21 A, outside, above"; where that place is not proved, it says so."""
    verdict = describe(test)
    words = f"{verdict.words} ({verdict.why})" if verdict.why else verdict.words
    words = ", ".join(filter(None, [words, proof_words(test, judgement_of(test, instruments))]))
    if test.value is not None:
        return f"{quantity_text(test.value, test.unit)}, {words}"
    return f"{test.observation.rstrip('.')}, {words}" if test.observation else words


def limits_written_last(runs: Iterable[TestRun], code: str, unit: str) -> dict[str, Any]:
    """Return the limits with which a test was last judged on a job, so that the maker's are typed once."""
    judged = [run for run in runs if (run.code, run.limit_unit) == (code, unit)]
    judged = [run for run in judged if run.lo is not None or run.hi is not None]
    if not judged:
        return {}
    return {"lo": judged[-1].lo, "hi": judged[-1].hi, "limit_says": judged[-1].limit_says}


class OnOrder:
    """The choices of one order, each read when first asked for."""

    def __init__(self, order: RepairOrder) -> None:
        self.order = order

    @cached_property
    def snapshot(self):
        return read_order(self.order.pk)

    @cached_property
    def _list(self) -> dict[str, InstrumentSnapshot]:
        return read_instruments()

    @cached_property
    def complaints(self) -> list[tuple[str, str]]:
        return [(complaint.id, _short(complaint.text)) for complaint in self.snapshot.complaints]

    @cached_property
    def tests(self) -> list[tuple[str, str]]:
        kinds = test_kinds(test.code for test in self.snapshot.tests)
        return [(test.id, self._test_label(test, kinds)) for test in self.snapshot.tests]

    @cached_property
    def causes(self) -> list[tuple[str, str]]:
        causes = Cause.objects.filter(order=self.order)
        return [(cause.ref, " ".join(filter(None, [cause.component, cause.mode]))) for cause in causes]

    @cached_property
    def events(self) -> list[tuple[str, str]]:
        return [(event.ref, _short(event.what)) for event in Event.objects.filter(order=self.order)]

    @cached_property
    def assumptions(self) -> list[tuple[str, str]]:
        return [(row.ref, _short(row.text)) for row in Assumption.objects.filter(order=self.order)]

    @cached_property
    def work(self) -> list[tuple[str, str]]:
        return [(item.ref, str(item)) for item in WorkItem.objects.filter(order=self.order)]

    @cached_property
    def components(self) -> list[str]:
        """Components already named on this order, so that the same one is spelt the same way."""
        suspects = Suspect.objects.filter(complaint__order=self.order).values_list("component", flat=True)
        causes = Cause.objects.filter(order=self.order).values_list("component", flat=True)
        return sorted({*suspects, *causes})

    @cached_property
    def staff(self) -> list[tuple[str, str]]:
        names = StaffMember.objects.filter(is_active=True).values_list("signs_as", flat=True)
        return [(name, name) for name in names]

    @cached_property
    def technicians(self) -> list[tuple[str, str]]:
        people = StaffMember.objects.filter(is_active=True, is_technician=True)
        names = [*people.values_list("signs_as", flat=True)]
        kept = self.order.technician
        return [(name, name) for name in ([*names, kept] if kept and kept not in names else names)]

    @cached_property
    def systems(self) -> list[tuple[str, str]]:
        return [(system.code, system.name) for system in System.objects.all()]

    @cached_property
    def instruments(self):
        return Instrument.objects.filter(withdrawn_on__isnull=True)

    def _test_label(self, test: Test, kinds: dict[str, TestKind]) -> str:
        point = f", {test.point}" if test.point else ""
        name = plain_name(test.code, kinds)
        return f"{test.id}: {name}{point}, {PHASE_WORDS[test.phase]}: {reading_words(test, self._list)}"


def _short(text: str, most: int = 80) -> str:
    return text if len(text) <= most else f"{text[: most - 1].rsplit(' ', 1)[0]} …"
