from django.utils.decorators import method_decorator

from diagnostics.models import ReturnVisit
from diagnostics.review.filters import LATE, ReturnFilter, waiting_for_review
from diagnostics.review.names import symptom_names, words
from shared.access import roles
from shared.lists import Column, ListPage

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


def _vehicle(visit):
    vehicle = visit.return_order.vehicle
    return vehicle.plate or vehicle.code
