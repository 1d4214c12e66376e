"""The jobs behind a figure of the audit, and what was counted said in a sentence."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from urllib.parse import urlencode

import django_filters
from django import forms
from django.db.models import Q
from django.http import Http404
from django.urls import reverse
from django.utils.decorators import method_decorator
from django.utils.functional import cached_property

from diagnostics.audit.asked import COUNTED, Asked, asked_of
from diagnostics.audit.breakdown import BY, OWNER_ONLY, key_parts
from diagnostics.audit.jobs import TRUTH, NoSuchJobs, jobs_behind
from diagnostics.audit.names import Names
from diagnostics.models import ReturnVisit, WatchedJob
from diagnostics.models.protocol import PHASES
from shared.access import roles
from shared.lists import Column, ListPage

SCOPE = ("since", "until", "location", "system", "counted")
HIDDEN = (*SCOPE, "by", "key", "check", "phase", "state", "young")
STATES = {"done": "it was done", "waived": "it was left out with a reason", "skipped": "it was skipped"}
BACK = [("yes", "came back"), ("no", "did not come back")]
DAY = "{0:%a} {0.day} {0:%b} {0.year}"


class JobsFilter(django_filters.FilterSet):
    """A job among those that were counted. The question itself travels along, unseen."""

    q = django_filters.CharFilter(label="Job, plate or vehicle", method="search")
    back = django_filters.ChoiceFilter(
        label="Came back", choices=BACK, empty_label="All that were counted", method="leave"
    )

    class Meta:
        model = WatchedJob
        fields: list[str] = []

    def get_form_class(self):
        hidden = {name: forms.CharField(required=False, widget=forms.HiddenInput) for name in HIDDEN}
        return type("JobsForm", (super().get_form_class(),), hidden)

    def filter_queryset(self, queryset):
        for name in self.filters:
            queryset = self.filters[name].filter(queryset, self.form.cleaned_data[name])
        return queryset

    def search(self, queryset, name, value):
        vehicle = Q(vehicle__plate__icontains=value) | Q(vehicle__code__icontains=value)
        return queryset.filter(Q(order__number__icontains=value) | vehicle)

    def leave(self, queryset, name, value):
        return queryset  # Who came back was chosen before, with the rest of the question.


@dataclass(frozen=True, slots=True)
class Shown:
    """One job as listed, with the return that came back to it."""

    job: WatchedJob
    system: str
    symptom: str
    chain: str
    visit: ReturnVisit | None


class CountedJobs(ListPage):
    """The jobs behind a figure; who may see them, and whose they are, is said by those built on it."""

    filterset_class = JobsFilter
    template_name = "diagnostics/audit/jobs.html"
    default_sort = "-handed_back"
    csv_name = "jobs-counted"
    columns = (
        Column("job", "Job", lambda job: job.order.number, ("order__number",)),
        Column("handed_back", "Handed back", lambda job: job.returned_on, ("returned_on",)),
        Column("vehicle", "Vehicle", lambda job: job.vehicle.plate or job.vehicle.code, ("vehicle__plate",)),
        Column("system", "System", lambda job: job.system, ("system",)),
        Column("symptom", "Symptom", lambda job: job.symptom, ("symptom",)),
        Column(
            "chain", "Chain", lambda job: f"{job.chain} {job.chain_link}".strip(), ("chain", "chain_link")
        ),
        Column("days", "Came back after", lambda job: job.event, ("event",), is_number=True),
    )

    @cached_property
    def asked(self) -> Asked:
        """The question, as on every page of the audit."""
        return asked_of(self.request)

    def get_queryset(self):
        try:
            jobs = jobs_behind(self.asked.scope, self.request.GET)
        except (NoSuchJobs, ValueError) as error:
            raise Http404(str(error)) from error
        self.queryset = jobs.select_related("order", "vehicle")
        return super().get_queryset()

    def rows_for(self, records: Iterable[WatchedJob]) -> list[Shown]:
        jobs, names = list(records), Names()
        returns = ReturnVisit.objects.filter(index_order__in=[job.pk for job in jobs], counts=True)
        visits = {visit.index_order_id: visit for visit in returns.order_by("-days")}
        return [
            Shown(
                job,
                names.system(job.system) if job.system else "",
                names.symptom(job.symptom) if job.symptom else "",
                names.chain(job.chain, job.chain_link) if job.chain else "",
                visits.get(job.pk) if job.event is not None else None,
            )
            for job in jobs
        ]

    @property
    def figure_url(self) -> str:
        """The page on which the figure stands."""
        return figure_url(self.request.GET)

    def get_context_data(self, **kwargs):
        return super().get_context_data(**kwargs) | {
            "asked": self.asked,
            "counted": list(counted_words(self.asked, self.request.GET)),
            "back_url": self.figure_url,
        }


@method_decorator(roles("owner"), name="dispatch")
class JobsBehind(CountedJobs):
    """The jobs behind a figure, with who did them."""

    columns = (
        *CountedJobs.columns,
        Column("technician", "Technician", lambda job: job.technician, ("technician",)),
    )

    def get_context_data(self, **kwargs):
        return super().get_context_data(**kwargs) | {"names_people": True}


def figure_url(params: Mapping[str, str]) -> str:
    """Return the page of the audit on which the figure stands."""
    asked = {name: params[name] for name in SCOPE if params.get(name)}
    by = params.get("by", "")
    if by in OWNER_ONLY:
        return f"{reverse('audit-people')}?{urlencode(asked)}"
    if by:
        return f"{reverse('audit-rates')}?{urlencode(asked | {'by': by})}"
    return f"{reverse('audit-steps' if params.get('check') else 'audit')}?{urlencode(asked)}"


def counted_words(asked: Asked, params: Mapping[str, str]) -> Iterator[str]:
    """Yield what was counted, part by part, as the clauses of one sentence."""
    scope = asked.scope
    period = f"since {DAY.format(scope.since)}" if scope.since else ""
    if scope.since and scope.until:
        period = f"{DAY.format(scope.since)} to {DAY.format(scope.until)}"
    if params.get("young") == "yes":
        yield f"jobs handed back {period} whose window had not fully run on {DAY.format(scope.as_of)}"
    else:
        yield f"jobs handed back {period} whose window had fully run on {DAY.format(scope.as_of)}"
    names = Names()
    if scope.location:
        yield f"of {names.shop(scope.location)}"
    if scope.system:
        yield f"with a complaint of {names.system(scope.system)}"
    if params.get("by") and params.get("young") != "yes":
        yield f"{BY[params['by']].label.lower()}: {_part(names, params['by'], params.get('key', ''))}"
    if params.get("check"):
        phase = dict(PHASES).get(params.get("phase", ""), "")
        what = names.step(params["check"], params.get("phase", "")) if phase else f"gap {params['check']}"
        yield f"{what}: {STATES.get(params.get('state', ''), 'it was asked for')}"
    if params.get("back"):
        way = dict(COUNTED)[scope.counted]
        yield f"{dict(BACK)[params['back']]}, counted {way}"


def _part(names: Names, by: str, key: str) -> str:
    """What one part of a breakdown is called, from its address."""
    wanted = BY[by]
    parts: list[Any] = key_parts(key, len(wanted.key)) or [""] * len(wanted.key)
    if by == "month":
        parts = [date.fromisoformat(key)]
    elif by == "pattern":
        parts = [TRUTH.get(key)]
    return wanted.name(names, tuple(parts))
