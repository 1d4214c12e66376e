"""The list of all jobs."""

from django.db.models import OuterRef, Subquery
from django.utils.decorators import method_decorator

from diagnostics.job.filters import OrderFilter
from diagnostics.job.forms.base import EVERYBODY
from shared.access import roles
from shared.lists import Column, ListPage
from shop.models import Complaint, RepairOrder

_FIRST_WORDS = Complaint.objects.filter(order=OuterRef("pk")).order_by("position", "pk").values("text")[:1]


@method_decorator(roles(*EVERYBODY), name="dispatch")
class OrderList(ListPage):
    queryset = RepairOrder.objects.with_people().annotate(said=Subquery(_FIRST_WORDS))
    filterset_class = OrderFilter
    template_name = "diagnostics/job_list.html"
    default_sort = "-opened"
    csv_name = "jobs"
    columns = (
        Column("number", "Job", lambda order: order.number, ("number",)),
        Column("opened", "Opened", lambda order: order.opened_on, ("opened_on",)),
        Column("said", "In the customer’s words", lambda order: order.said),
        Column("vehicle", "Vehicle", lambda order: str(order.vehicle), ("vehicle__plate",)),
        Column(
            "customer", "Customer", lambda order: order.customer and order.customer.name, ("customer__name",)
        ),
        Column("technician", "Technician", lambda order: order.technician, ("technician",)),
        Column("waiting_on", "Waiting on", lambda order: order.get_waiting_on_display(), ("waiting_on",)),
        Column("returned", "Handed back", lambda order: order.returned_on, ("returned_on",)),
        Column("outcome", "Outcome", lambda order: order.get_outcome_display(), ("outcome",)),
    )
