from django.shortcuts import render
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.views.decorators.http import require_safe

from diagnostics.models import ReturnVisit
from diagnostics.review.audit import audit, last_year
from diagnostics.review.facts import read_facts
from diagnostics.review.filters import LATE, ReturnFilter, waiting_for_review
from diagnostics.review.forms import PeriodForm
from diagnostics.review.names import symptom_names, system_names, words
from diagnostics.review.tables import headline, rate_rows, step_rows, system_rows
from shared.access import roles
from shared.lists import Column, ListPage
from shared.wording import distance_in

WAITING_SHOWN = 3

everybody = method_decorator(roles("advisor", "technician", "owner"), name="dispatch")

TECHNICIAN = Column(
    "technician",
    "Earlier job by",
    lambda visit: visit.index_order.technician,
    ("index_order__technician", "-return_order__opened_on"),
)


@everybody
class ReturnList(ListPage):
    queryset = ReturnVisit.objects.select_related("index_order", "return_order__vehicle")
    filterset_class = ReturnFilter
    template_name = "diagnostics/return_list.html"
    default_sort = "-came_back"
    csv_name = "returns"
    shown_columns = (
        Column(
            "came_back",
            "Came back",
            lambda visit: visit.return_order.opened_on,
            ("return_order__opened_on",),
        ),
        Column("return_order", "Job", lambda visit: visit.return_order.number),
        Column("index_order", "Earlier job", lambda visit: visit.index_order.number),
        Column("vehicle", "Vehicle", lambda visit: _vehicle(visit), ("return_order__vehicle__plate",)),
        Column("symptom", "Symptom", lambda visit: visit.symptom, ("symptom",)),
        Column("level", "How related", lambda visit: visit.level, ("level",)),
        Column("days", "Days", lambda visit: visit.days, ("days",), is_number=True),
        Column("km", "Distance", lambda visit: visit.km, is_number=True),
        Column("verdict", "Verdict", lambda visit: visit.verdict, ("verdict", "reason")),
        Column("state", "Review", lambda visit: visit.state, ("state",)),
    )

    @property
    def columns(self):
        """The columns; the earlier job's technician is the owner's to see, on the page and in the file."""
        is_owner = self.request.user.has_role("owner")
        return (*self.shown_columns, TECHNICIAN) if is_owner else self.shown_columns

    def rows_for(self, records):
        symptoms = symptom_names()
        for visit in records:
            visit.symptom_name = symptoms.get(visit.symptom) or words(visit.symptom)
        return list(records)

    def get_context_data(self, **kwargs):
        user = self.request.user
        return super().get_context_data(**kwargs) | {
            "may_review": user.has_role("owner") or user.has_role("technician"),
            "shows_technician": user.has_role("owner"),
            "late": ReturnVisit.objects.filter(verdict=ReturnVisit.Verdict.NOT_CANDIDATE).count(),
            "waiting": waiting_for_review(ReturnVisit.objects.all()).count(),
            "shows_late": self.request.GET.get("counts") == LATE,
        }


@roles("owner")
@require_safe
def audit_page(request):
    """The comeback rate with its uncertainty, the steps that were skipped, what waits for review."""
    today = timezone.localdate()
    location = request.user.location
    usual = last_year(today, location.window_days if location else 90)
    form = PeriodForm(request.GET, since=usual[0], until=usual[1])
    since, until = form.period
    found = audit(read_facts(since, until), as_of=today, system=form.chosen_system)
    waiting = waiting_for_review(ReturnVisit.objects.select_related("index_order", "return_order__vehicle"))
    names = system_names()
    context = {
        "form": form,
        "since": since,
        "until": until,
        "audit": found,
        "bar": headline(found),
        "rates": rate_rows(found),
        "system_name": names.get(form.chosen_system, form.chosen_system),
        "systems": system_rows(found, names),
        "steps": step_rows(found),
        "waiting": _with_symptoms(waiting.order_by("-return_order__opened_on", "-pk")[:WAITING_SHOWN]),
        "waiting_count": waiting.count(),
        "late": ReturnVisit.objects.filter(verdict=ReturnVisit.Verdict.NOT_CANDIDATE).count(),
        "computed_at": timezone.now(),
        "window": _window(location),
    }
    return render(request, "diagnostics/audit.html", context)


def _with_symptoms(visits):
    names = symptom_names()
    found = list(visits)
    for visit in found:
        visit.symptom_name = names.get(visit.symptom) or words(visit.symptom).capitalize()
    return found


def _vehicle(visit):
    vehicle = visit.return_order.vehicle
    return vehicle.plate or vehicle.code


def _window(location):
    if location is None:
        return None
    unit = location.distance_unit
    return location.window_days, distance_in(location.window_km, "km", unit), unit
