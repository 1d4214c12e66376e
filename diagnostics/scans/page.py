"""What the pages of scans show, read in a number of queries that does not grow with the scans."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Prefetch
from django.utils.functional import cached_property

from diagnostics.codes.compare import Comparison, Earlier, Missing, compare, missing_modules
from diagnostics.codes.compare import Scan as Side
from diagnostics.codes.found import FoundCode, Module
from diagnostics.codes.live import monitors_in_words
from diagnostics.codes.meanings import Meaning, meaning_of
from diagnostics.codes.structure import Code
from diagnostics.models import Assumption, CodeMeaning, Scan, ScanModule
from diagnostics.recording.scans import bears_on_unit
from shared.templatetags.words import day_short
from shop.models import Vehicle

PLATFORM_YEARS = 3  # Vehicles of one model built this near each other are taken for one platform. Chosen.
MOST_OF_PLATFORM = 50
NO_MONITORS = "Nothing is said about monitors. If codes were cleared lately, none shown proves nothing."


@dataclass(frozen=True, slots=True)
class CodeRow:
    """A code with its words."""

    found: FoundCode
    meaning: Meaning

    @property
    def words(self) -> str:
        """The meaning, and how it failed."""
        return ", ".join(filter(None, [self.meaning.text, self.meaning.failure_type]))

    @property
    def layout(self) -> str:
        """What the letters and digits say by themselves."""
        area = f", {self.meaning.area}" if self.meaning.area else ""
        return f"{self.found.code.system}{area}; {self.meaning.control}"


@dataclass(frozen=True, slots=True)
class ModuleRow:
    """A control unit with its codes."""

    module: Module
    codes: tuple[CodeRow, ...]

    @property
    def said(self) -> str:
        """What it said where it gave no code."""
        if self.module.answered is False:
            return "did not answer"
        return "no codes" if self.module.says_no_codes else "nothing said about codes"


@dataclass(frozen=True, slots=True)
class MissingRow:
    """A unit that should be there, and the assumption that it is not fitted, if somebody wrote one down."""

    missing: Missing
    assumption: Assumption | None


class ScanPage:
    """One scan for one reader."""

    def __init__(self, scan: Scan) -> None:
        self.scan, self.order = scan, scan.order

    @cached_property
    def modules(self) -> tuple[Module, ...]:
        return modules_of(self.scan)

    @cached_property
    def rows(self) -> list[ModuleRow]:
        return module_rows(self.modules)

    @property
    def hash_words(self) -> str:
        """The beginning of the hash by which the kept text can be checked."""
        return f"SHA-256 {self.scan.text_sha256[:12]}…"

    @property
    def code_count(self) -> int:
        return sum(len(module.codes) for module in self.modules)

    @property
    def monitor_words(self) -> str:
        scan = self.scan
        return (
            monitors_in_words(tuple(scan.supported), tuple(scan.incomplete))
            if scan.has_monitors
            else NO_MONITORS
        )

    @property
    def vin_differs(self) -> bool:
        """Whether the report is of another vehicle by its VIN."""
        return bool(self.scan.vin and self.order.vehicle.vin and self.scan.vin != self.order.vehicle.vin)

    @cached_property
    def others(self) -> list[Scan]:
        """The other standing scans of this vehicle, newest first."""
        return list(standing(self.order.vehicle_id).exclude(pk=self.scan.pk).order_by("-done_on", "-pk"))

    @property
    def of_this_job(self) -> list[Scan]:
        return [scan for scan in self.others if scan.order_id == self.order.pk]

    @cached_property
    def missing(self) -> list[MissingRow]:
        own = [Earlier(label_of(scan), modules_of(scan)) for scan in self.others if self._is_earlier(scan)]
        found = missing_modules(self.modules, own, platform_of(self.order.vehicle))
        assumed = {
            row.bears_on: row
            for row in Assumption.objects.filter(
                order__vehicle=self.order.vehicle_id, bears_on__startswith="unit: "
            )
            .select_related("order")
            .order_by("order__opened_on", "pk")
        }
        return [MissingRow(row, assumed.get(bears_on_unit(row.key))) for row in found]

    def _is_earlier(self, scan: Scan) -> bool:
        return (scan.done_on, scan.pk) < (self.scan.done_on, self.scan.pk)


@dataclass(frozen=True, slots=True)
class ComparePage:
    """Two scans of one vehicle, the earlier one first."""

    before: Scan
    after: Scan

    @property
    def groups(self) -> list[tuple[str, str, list[tuple[Any, CodeRow]]]]:
        """Heading, what it means, and the codes, for each kind that has some."""
        found = self.comparison
        meanings = shop_meanings(str(change.code.code) for change in found.changes)
        return [
            (heading, note, [(change, _row(change.code, meanings)) for change in found.of(kind)])
            for kind, heading, note in KINDS
            if found.of(kind)
        ]

    @property
    def comparison(self) -> Comparison:
        return compare(side_of(self.before), side_of(self.after))


KINDS = (
    ("remaining", "Still there", "Reported in both scans with the same state."),
    ("changed", "State changed", "Reported in both scans, and the state is another now."),
    ("new", "New", "Reported in the later scan alone."),
    ("unknown", "Not known", "Not in the later scan, but its control unit did not answer or was not asked."),
    ("cleared", "Not reported any more", "A code that is gone is not yet a repair that is proved."),
)


def standing(vehicle: int):
    """The scans of a vehicle that nothing supersedes, with their rows."""
    scans = Scan.objects.filter(order__vehicle=vehicle, superseded_by__isnull=True)
    return with_rows(scans).select_related("order")


def with_rows(scans):
    """Scans with modules and codes in two more queries."""
    return scans.prefetch_related(Prefetch("modules", ScanModule.objects.prefetch_related("codes"))).defer(
        "text"
    )


def label_of(scan: Scan) -> str:
    """ "the scan of Sat 3 Oct 2026, job 1042"."""
    return f"the scan of {day_short(scan.done_on)} {scan.done_on.year}, job {scan.order.number}"


def platform_of(vehicle: Vehicle) -> list[Earlier]:
    """The newest scan of each other vehicle of the same maker, model and years."""
    if not (vehicle.make and vehicle.model):
        return []
    same = Vehicle.objects.filter(make__iexact=vehicle.make, model__iexact=vehicle.model).exclude(
        pk=vehicle.pk
    )
    if vehicle.year:
        same = same.filter(year__range=(vehicle.year - PLATFORM_YEARS, vehicle.year + PLATFORM_YEARS))
    scans = Scan.objects.filter(order__vehicle__in=same, superseded_by__isnull=True).select_related("order")
    newest: dict[int, Scan] = {}
    for scan in with_rows(scans).order_by("-done_on", "-pk")[: 4 * MOST_OF_PLATFORM]:
        newest.setdefault(scan.order.vehicle_id, scan)
    return [Earlier(label_of(scan), modules_of(scan)) for scan in list(newest.values())[:MOST_OF_PLATFORM]]


def modules_of(scan: Scan) -> tuple[Module, ...]:
    """The rows of a scan as the values that the computations take."""
    return tuple(
        Module(
            row.name,
            row.address,
            row.line,
            row.answered,
            row.says_no_codes,
            tuple(
                FoundCode(
                    Code(code.code, code.failure_type),
                    code.line,
                    code.typed,
                    code.form,
                    tuple(code.states),
                    code.text,
                )
                for code in row.codes.all()
            ),
        )
        for row in scan.modules.all()
    )


def side_of(scan: Scan) -> Side:
    return Side(modules_of(scan), tuple(scan.supported), tuple(scan.incomplete), scan.has_monitors)


def module_rows(modules: Iterable[Module]) -> list[ModuleRow]:
    """Modules with their codes in words; one query for the shop's own meanings."""
    modules = list(modules)
    meanings = shop_meanings(str(found.code) for module in modules for found in module.codes)
    return [ModuleRow(module, tuple(_row(found, meanings) for found in module.codes)) for module in modules]


def shop_meanings(codes: Iterable[str]) -> dict[str, str]:
    """The shop's own meanings of some codes, with and without their failure type."""
    wanted = set(codes)
    wanted |= {code[:5] for code in wanted}
    return dict(CodeMeaning.objects.filter(code__in=wanted).values_list("code", "meaning"))


def _row(found: FoundCode, meanings: Mapping[str, str]) -> CodeRow:
    return CodeRow(found, meaning_of(found.code, meanings))
