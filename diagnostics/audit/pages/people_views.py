"""People, never as a ranking: for the owner by name, for a technician only their own."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.utils.decorators import method_decorator
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from diagnostics.audit import keeping
from diagnostics.audit.asked import Asked, asked_of
from diagnostics.audit.csv_rows import csv_rows
from diagnostics.audit.pages.addresses import query_of
from diagnostics.audit.pages.files import csv_file
from diagnostics.audit.pages.jobs_list import CountedJobs
from diagnostics.audit.pages.people_shown import people_funnel
from diagnostics.audit.people import People, own, people
from diagnostics.audit.wording import FLAGS, spread_sentence
from shared.access import roles
from shop.models import Location

OF = {"technician": "people", "location": "shops"}
PEOPLE = {of: keeping.question(f"people by {of}", partial(people, of=of), People) for of in OF}


@roles("owner")
@require_safe
def people_page(request: HttpRequest) -> HttpResponseBase:
    """Technicians, or shops, against what their jobs let expect."""
    asked, of = asked_of(request), request.GET.get("of") or "technician"
    if of not in PEOPLE:
        raise Http404(f"'{of}' are not compared.")
    if request.GET.get("format") == "csv":
        return csv_file(OF[of], csv_rows(asked.scope, OF[of]))
    answer = keeping.answer(PEOPLE[of], asked.scope, since_is_usual=asked.since_is_usual)
    if answer is None:
        return render(request, "diagnostics/audit/being_counted.html", {"asked": asked})
    found = answer.value
    context = {
        "asked": asked,
        "answer": answer,
        "found": found,
        "of": of,
        "rows": [(row, FLAGS[row.flag]) for row in found.rows],
        "spread": spread_sentence(found.found),
        "chart": people_funnel(found.rows, found.found.lines),
        "has_shops": Location.objects.count() > 1,
        "query": query_of(asked.scope),
    }
    return render(request, "diagnostics/audit/people.html", context)


@roles("technician", "owner")
@require_safe
def mine_page(request: HttpRequest) -> HttpResponse:
    """A person's own figure, and nobody else's."""
    asked = asked_of(request)  # A name in the address is not heard.
    found = own(asked.scope, request.user.signs_as)
    context = {
        "asked": asked,
        "found": found,
        "query": query_of(asked.scope),
    }
    return render(request, "diagnostics/audit/mine.html", context)


@method_decorator(roles("technician", "owner"), name="dispatch")
class MyJobs(CountedJobs):
    """A person's own jobs behind their own figure."""

    csv_name = "my-jobs-counted"

    @cached_property
    def asked(self) -> Asked:
        """The question, about the person's own jobs only."""
        asked = asked_of(self.request)
        return replace(asked, scope=replace(asked.scope, technician=self.request.user.signs_as))

    @property
    def figure_url(self) -> str:
        return reverse("audit-mine")
