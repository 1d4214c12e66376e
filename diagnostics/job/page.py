"""Everything the page of one job shows, read in a number of queries that does not grow with the job."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Q
from django.utils.functional import cached_property

from diagnostics.assessment import Assessment, assess_snapshot
from diagnostics.comebacks.pairs import complaint_of
from diagnostics.evidence import RINGS, rings
from diagnostics.job.came_back import came_back, returns_to
from diagnostics.job.complaints import ComplaintView, complaint_views
from diagnostics.job.entries import Entry, instrument_choices, reading_form
from diagnostics.job.forms import FORMS
from diagnostics.job.forms.readings import ReadingForm
from diagnostics.job.gaps import Gap, Gaps
from diagnostics.job.head import Head
from diagnostics.job.on_order import plain_name, reading_words, test_kinds
from diagnostics.job.records import Records
from diagnostics.job.steps import Step, required_steps
from diagnostics.job.tables import reading_rows
from diagnostics.models import Scan, TestKind
from diagnostics.reading import read_instruments, read_orders
from diagnostics.searching.page import SearchPage
from diagnostics.searching.thinking import Thought
from diagnostics.signals.page import CapturePage
from diagnostics.trials import compared, words
from shared import chain
from shared.wording import count_text
from shop.models import Photo, RepairOrder, System

ACTS = {
    "reported": ("note", "outside-event"),
    "seen": ("attempt", "trial-plan"),
    "measured": ("capture", "hand-off"),
    "cause": ("suspect", "cause", "assumption", "event", "claim", "reversal"),
    "repair": ("work", "disturbed", "check", "declined", "minutes", "time"),
    "proved": ("trials", "customer-trial", "capture"),
    "papers": ("planned-return",),
}
ACT_WORDS = {
    "note": "Add to what was said",
    "photo": "Add photos",
    "outside-event": "Damage or other work",
    "attempt": "Record an attempt",
    "trial-plan": "Plan the trials",
    "capture": "Add a recorded signal",
    "hand-off": "Hand over to a colleague",
    "suspect": "Add a suspect",
    "cause": "Name the cause",
    "assumption": "Write down an assumption",
    "event": "Record what happened",
    "claim": "Claim an effect",
    "reversal": "Record a reversal",
    "work": "Record work",
    "disturbed": "Component disturbed",
    "check": "Independent check",
    "declined": "Work not done",
    "minutes": "Minutes agreed",
    "time": "Time worked",
    "trials": "Record trials",
    "customer-trial": "The customer’s own trial",
    "planned-return": "Agree a return",
}


@dataclass(frozen=True, slots=True)
class Section:
    """One ring of the page with its gaps and what may be recorded in it."""

    ring: chain.Ring
    acts: tuple[tuple[str, str], ...]
    photos: tuple[Any, ...] = ()

    @property
    def name(self) -> str:
        return self.ring.anchor

    @property
    def gaps(self) -> tuple[Gap, ...]:
        return self.ring.findings


class JobPage:
    """One order for one reader. Properties are read when the template asks for them."""

    def __init__(self, order: RepairOrder, user: Any) -> None:
        self.order, self.user = order, user
        self.records = Records(order)
        self.gaps = Gaps(order, self.records, user, name_of=self._name_of_test)

    @cached_property
    def instruments(self):
        return read_instruments()

    @cached_property
    def _visits(self):
        """This order and the vehicle's earlier ones, oldest first; this one last."""
        earlier = RepairOrder.objects.earlier_of_vehicle(self.order).values_list("pk", flat=True)
        rows = RepairOrder.objects.filter(pk__in=[*earlier, self.order.pk]).order_by("opened_on", "pk")
        visits = list(read_orders(rows))
        this = next(visit for visit in visits if visit.id == self.order.number)
        return [visit for visit in visits if visit is not this], this

    @cached_property
    def head(self) -> Head:
        return Head(self.order)

    @property
    def chain_label(self) -> str:
        return f"The chain of job {self.order.number}"

    @property
    def earlier(self):
        return self._visits[0]

    @property
    def snapshot(self):
        return self._visits[1]

    @cached_property
    def assessment(self) -> Assessment:
        return assess_snapshot(self.snapshot, instruments=self.instruments, earlier=self.earlier)

    @cached_property
    def returns(self):
        return returns_to(self.order)

    @cached_property
    def kinds(self):
        codes = {test.code for test in self.snapshot.tests} | {step.code for step in self.records.steps}
        if self.returns:
            codes |= {code for visit in self.returns for code in visit.skipped}
            codes |= {test.code for visit in self.earlier for test in visit.tests}
        return test_kinds(codes)

    def _name_of_test(self, code: str) -> str:
        return plain_name(code, self.kinds)

    @cached_property
    def came_back(self):
        return came_back(
            self.returns, self.order, earlier=self.earlier, instruments=self.instruments, kinds=self.kinds
        )

    @cached_property
    def papers(self) -> list:
        return list(self.order.documents.defer("pdf", "data").order_by("kind", "-version"))

    @cached_property
    def sections(self) -> list[Section]:
        issued = any(paper.kind == "findings" for paper in self.papers)
        found = rings(self.snapshot, self.assessment.findings, sheet_issued=issued)
        drawn = chain.rings([self._ring(ring) for ring in found])
        return [
            Section(ring, self._acts(ring.anchor), tuple(self.photos.get(ring.anchor, ()))) for ring in drawn
        ]

    @cached_property
    def photos(self) -> dict[str, list[Photo]]:
        """The photos that are in use, by the ring they belong to."""
        by_place: dict[str, list[Photo]] = {}
        for photo in self.order.photo_set.filter(set_aside_at__isnull=True):
            by_place.setdefault(photo.place, []).append(photo)
        return by_place

    @property
    def rings(self) -> list[chain.Ring]:
        return [section.ring for section in self.sections]

    @cached_property
    def steps(self) -> list[Step]:
        return required_steps(
            self.snapshot, self.assessment.findings, self.records, self.kinds, self.instruments
        )

    @cached_property
    def open_gaps(self) -> list[Gap]:
        """What is asked about at hand-over, in the order of the page; what is not reached yet, too."""
        ring_of = {name: place for place, name in enumerate(RINGS)}
        missing = sorted(self.assessment.gaps, key=lambda finding: ring_of[finding.about.ring])
        return self.gaps.views(missing)

    @cached_property
    def complaints(self) -> list[ComplaintView]:
        views = complaint_views(self.order, self.assessment, self.records)
        for view in views:
            for row in (*view.suspects, *view.causes):
                row.cited = self._cited(row.evidence)
        return views

    @cached_property
    def work(self) -> list:
        """Work items with what each rests on in words."""
        items = list(self.records.work.values())
        for item in items:
            item.cited = self._cited(item.evidence)
            cause = self.records.causes.get(item.cause_ref)
            item.called_for_by = str(cause) if cause else item.cause_ref
        return items

    @cached_property
    def assumptions(self) -> list:
        rows = list(self.records.assumptions.values())
        for row in rows:
            row.cited = self._cited(row.evidence)
        return rows

    def _cited(self, refs: list[str]) -> list[str]:
        """Cited tests in words; an id that names nothing stays as it is."""
        return [self._test_words.get(ref, ref) for ref in refs]

    @cached_property
    def _test_words(self) -> dict[str, str]:
        return {
            test.id: f"{plain_name(test.code, self.kinds)} ({reading_words(test, self.instruments)})"
            for test in self.snapshot.tests
        }

    @property
    def symptoms(self) -> list[ComplaintView]:
        return [complaint for complaint in self.complaints if complaint.snapshot.kind == "symptom"]

    @property
    def protocols(self) -> list[str]:
        """The protocols in force when the complaints were entered."""
        used = {step.protocol for step in self.records.steps if step.protocol}
        return sorted(f"protocol {row.version} of {row.symptom.replace('_', ' ')}" for row in used)

    @cached_property
    def reversals(self) -> list[tuple[Any, str]]:
        """Each reversal, with what chance alone makes of it in words; empty where it compares nothing."""
        found = ((row, compared.reversal(row.phases)) for row in self.snapshot.reversals)
        return [(row, words.compared(table) if table else "") for row, table in found]

    @cached_property
    def outside_events(self) -> list:
        return list(self.order.outsideevent_set.all())

    @cached_property
    def scans(self) -> list[Scan]:
        """Standing scan reports of this job."""
        scans = Scan.objects.filter(order=self.order, superseded_by__isnull=True).defer("text")
        silent = Q(modules__answered=False)
        return list(
            scans.annotate(
                code_count=Count("modules__codes", distinct=True),
                silent_count=Count("modules", filter=silent, distinct=True),
            )
        )

    @property
    def measured_gaps(self) -> list[Gap]:
        """The gaps of the section but for the required steps, which stand as entries."""
        section = next(section for section in self.sections if section.name == "measured")
        entered = {entry.step.subject for entry in self.entries}
        return [gap for gap in section.gaps if gap.rule != "R4" or gap.finding.subject not in entered]

    @cached_property
    def other_tests(self) -> list[tuple[str, list[tuple[str, str]]]]:
        """Every kind of test by system, those of the complaints first."""
        names = dict(System.objects.values_list("code", "name"))
        own = {complaint.system for complaint in self.snapshot.complaints}
        groups: dict[str, list[tuple[str, str]]] = {}
        kinds = (
            TestKind.objects.filter(is_current=True).order_by("name").values_list("system", "code", "name")
        )
        for system, code, name in kinds:
            groups.setdefault(system, []).append((code, name))
        ordered = sorted(groups, key=lambda system: (system not in own, names.get(system, system)))
        return [(names.get(system, system.replace("_", " ")), groups[system]) for system in ordered]

    def readings(self, phase: str) -> list[dict]:
        """Rows of the table of one phase."""
        return reading_rows(
            [test for test in self.snapshot.tests if test.phase == phase],
            self.snapshot,
            records=self.records,
            kinds=self.kinds,
            instruments=self.instruments,
            may_correct=bool(self.gaps.url("correction", 0)),
        )

    @property
    def readings_before(self):
        return self.readings("before")

    @property
    def readings_after(self):
        return self.readings("after")

    @cached_property
    def captures(self) -> list[CapturePage]:
        return [CapturePage(capture, self.user) for capture in self.records.captures]

    @property
    def captures_before(self) -> list[CapturePage]:
        return [page for page in self.captures if page.capture.phase == "before"]

    @property
    def captures_after(self) -> list[CapturePage]:
        return [page for page in self.captures if page.capture.phase == "after"]

    @cached_property
    def searches(self) -> list[SearchPage]:
        """The searches for a fault on this job; what each thinks is worked out when it is shown."""
        return [
            SearchPage(Thought(search, self.snapshot.tests, self.instruments), self.order, self.user)
            for search in self.records.searches
        ]

    @property
    def running_searches(self) -> list[SearchPage]:
        return [page for page in self.searches if page.search.is_running and self.order.is_open]

    @property
    def to_search(self) -> list[ComplaintView]:
        """Complaints of which this person may begin to search the fault."""
        if not self.gaps.url("cause"):
            return []
        searched = {page.search.complaint_ref for page in self.running_searches}
        named = {cause.complaint_ref for cause in self.records.causes.values()}
        return [view for view in self.symptoms if view.snapshot.id not in searched | named]

    @property
    def to_take_over(self) -> list:
        """Hand-offs to this reader that are not taken over yet."""
        if not self.order.is_open:
            return []
        name = self.user.signs_as
        return [row for row in self.records.hand_offs if row.receiver == name and not row.acknowledged_by]

    @property
    def minutes_agreed(self) -> int:
        return sum(row.minutes for row in self.snapshot.authorisations)

    @property
    def minutes_used(self) -> int:
        return sum(row.minutes for row in self.snapshot.time if row.kind == "diagnosis")

    @property
    def minutes_left(self) -> int:
        return self.minutes_agreed - self.minutes_used

    @property
    def minutes_over(self) -> int:
        return -self.minutes_left

    @property
    def minutes_on_repair(self) -> int:
        return sum(row.minutes for row in self.snapshot.time if row.kind == "repair")

    @property
    def may_correct_cause(self) -> bool:
        return bool(self.gaps.url("cause-correction", 0))

    @property
    def may_correct_work(self) -> bool:
        return bool(self.gaps.url("work-correction", 0))

    @property
    def may_follow_up(self) -> bool:
        return bool(self.gaps.url("declined-follow-up", 0))

    @cached_property
    def _instrument_choices(self) -> list[tuple[Any, str]]:
        return instrument_choices(self.order)

    def reading_form(self, step: Step, *, back: str = "") -> ReadingForm:
        """The one-line form of a required step."""
        return reading_form(
            step,
            order=self.order,
            user=self.user,
            records=self.records,
            instruments=self._instrument_choices,
            back=back,
        )

    @cached_property
    def entries(self) -> list[Entry]:
        """The required steps that are still open, each with its line to type."""
        gaps = {gap.finding.subject: gap for gap in self.open_gaps if gap.rule == "R4"}
        may_record = bool(self.gaps.url("reading"))
        return [
            Entry(
                step,
                gaps.get(step.subject),
                self.reading_form(step) if may_record else None,
                self.full_url(step),
            )
            for step in self.steps
            if step.is_open and self.order.is_open
        ]

    def full_url(self, step: Step) -> str:
        """The whole form of a step's test."""
        row = step.row
        return self.gaps.url("test", code=row.code, phase=row.phase, complaint=row.complaint.ref)

    @property
    def entries_before(self) -> list[Entry]:
        return [entry for entry in self.entries if entry.step.row.phase == "before"]

    @property
    def entries_after(self) -> list[Entry]:
        """Steps after the repair, of complaints on which work is done; the others wait for it."""
        return [
            entry for entry in self.entries if entry.step.row.phase == "after" and self._is_due(entry.step)
        ]

    @property
    def steps_to_come(self) -> list[Step]:
        """Open steps after a repair that is not done yet."""
        return [step for step in self.steps if step.is_open and not self._is_due(step)]

    def due_steps(self) -> list[Step]:
        """Open steps that can be done now, those that prove a repair first."""
        due = [step for step in self.steps if step.is_open and self._is_due(step)]
        return sorted(due, key=lambda step: step.row.phase == "before")

    def _is_due(self, step: Step) -> bool:
        return step.row.phase == "before" or step.row.complaint.ref in self._worked_on

    @cached_property
    def _worked_on(self) -> set[str]:
        return {complaint_of(item, self.snapshot) for item in self.snapshot.work}

    @cached_property
    def urls(self) -> dict[str, str]:
        """The addresses of the forms this person may use now, by the kind with underscores."""
        return {
            kind.replace("-", "_"): self.gaps.url(kind) for kind, form in FORMS.items() if not form.needs_row
        }

    def _ring(self, ring) -> dict:
        gaps = self.gaps.views(ring.findings)
        missing = sum(gap.is_open for gap in gaps)
        word = f"open: {count_text(missing, 'gap')}" if ring.state == "open" and missing else ring.words
        if ring.state == "ahead":
            gaps = [gap for gap in gaps if not gap.is_open]
        template = f"diagnostics/_job_{ring.name}.html"
        return {
            "name": ring.name,
            "state": ring.state,
            "word": word,
            "findings": gaps,
            "anchor": ring.name,
            "template": template,
        }

    def _acts(self, name: str) -> tuple[tuple[str, str], ...]:
        kinds = (*ACTS[name], "photo") if name in Photo.Place.values else ACTS[name]
        at = {"photo": {"place": name}}
        offered = ((self.gaps.url(kind, **at.get(kind, {})), ACT_WORDS[kind]) for kind in kinds)
        return tuple((url, word) for url, word in offered if url)
