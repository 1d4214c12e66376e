"""What the comebacks cost: the sums, and the returns behind each."""

from urllib.parse import urlencode

from django.db.models import OuterRef, Subquery
from django.shortcuts import render
from django.urls import reverse
from django.utils.decorators import method_decorator
from django.views.decorators.http import require_safe

from diagnostics.audit.asked import asked_of
from diagnostics.audit.costing import COMPONENTS
from diagnostics.audit.costs import NOT_CODED, costs, returns_behind
from diagnostics.models import ReturnReview
from diagnostics.review.codes import GROUPS, label_of
from diagnostics.review.cost_form import cost_of
from diagnostics.review.filters import NoFilter
from diagnostics.review.names import symptom_names, words
from shared.access import roles
from shared.lists import Column, ListPage

PARAMS = ("currency", "group", "code", "known", "unknown", "priced")


@roles("owner")
@require_safe
def costs_page(request):
    """The sums of each currency, by component, cause group and code."""
    asked = asked_of(request)
    if request.GET.get("format") == "csv":
        return CostReturns.as_view()(request)
    found = costs(asked.scope)
    context = {"asked": asked, "form": asked.form, "costs": found, "behind": _Behind(asked.query)}
    return render(request, "diagnostics/audit/costs.html", context)


class _Behind:
    """Addresses of the returns behind a sum; the template asks by a short text, "known:parts:GBP"."""

    def __init__(self, query):
        self.query = query

    def address(self, more):
        """Return the address of the returns behind one sum."""
        return f"{reverse('audit-costs-returns')}?{urlencode(self.query | more)}"

    @property
    def unpriced(self):
        """The returns of which nothing is written down."""
        return self.address({"priced": "no"})

    @property
    def every(self):
        """All returns of the page."""
        return self.address({})


def _cost(visit):
    return getattr(visit, "cost", None)


def _amount(name):
    def value(visit):
        cost = _cost(visit)
        return None if cost is None else getattr(cost, name)

    return value


def _known(visit):
    cost = _cost(visit)
    return None if cost is None else cost_of(cost).known


@method_decorator(roles("owner"), name="dispatch")
class CostReturns(ListPage):
    """The returns behind one sum of the costs; as CSV with each part of the cost."""

    filterset_class = NoFilter
    template_name = "diagnostics/audit/cost_returns.html"
    default_sort = "-came_back"
    csv_name = "costs"
    columns = (
        Column(
            "came_back", "Came back", lambda visit: visit.return_order.opened_on, ("return_order__opened_on",)
        ),
        Column("return_order", "Job", lambda visit: visit.return_order.number),
        Column("index_order", "Earlier job", lambda visit: visit.index_order.number),
        Column("symptom", "Symptom", lambda visit: visit.symptom, ("symptom",)),
        Column("code", "Primary code", lambda visit: visit.code, ("code",)),
        Column("currency", "Currency", _amount("currency")),
        Column("minutes", "Minutes", _amount("minutes"), ("cost__minutes",), is_number=True),
        Column("loaded_rate", "An hour", _amount("loaded_rate"), is_number=True),
        Column("parts", "Parts", _amount("parts"), ("cost__parts",), is_number=True),
        Column("transport", "Transport", _amount("transport"), ("cost__transport",), is_number=True),
        Column("goodwill", "Goodwill", _amount("goodwill"), ("cost__goodwill",), is_number=True),
        Column("credit", "Credit", _amount("credit"), ("cost__credit",), is_number=True),
        Column("known", "Known so far", _known, is_number=True),
    )

    def get_queryset(self):
        self.asked = asked_of(self.request)
        first = ReturnReview.objects.filter(visit=OuterRef("pk"), is_second=False)
        self.queryset = (
            returns_behind(self.asked.scope, self.request.GET)
            .select_related("index_order", "return_order__vehicle", "cost")
            .annotate(code=Subquery(first.values("primary")))
        )
        return super().get_queryset()

    def rows_for(self, records):
        symptoms = symptom_names()
        rows = []
        for visit in records:
            visit.symptom_name = symptoms.get(visit.symptom) or words(visit.symptom)
            visit.code_label = label_of(visit.code) if visit.code else "not coded yet"
            visit.priced = cost_of(visit.cost) if _cost(visit) else None
            rows.append(visit)
        return rows

    def get_context_data(self, **kwargs):
        return super().get_context_data(**kwargs) | {
            "said": _said(self.request.GET),
            "asked": self.asked,
            "back": f"{reverse('audit-costs')}?{urlencode(self.asked.query)}",
        }


def _said(params):
    """What was chosen, in words."""
    said = []
    if params.get("priced") == "no":
        said.append("nothing written down")
    if params.get("currency"):
        said.append(f"in {params['currency']}")
    group, code = params.get("group", ""), params.get("code", "")
    if NOT_CODED in (group, code):
        said.append("not coded yet")
    elif group:
        said.append(f"cause group {GROUPS.get(group, group)}")
    elif code:
        said.append(label_of(code))
    if params.get("known") in COMPONENTS:
        said.append(f"{COMPONENTS[params['known']]} known")
    if params.get("unknown") in COMPONENTS:
        said.append(f"{COMPONENTS[params['unknown']]} not known")
    return said
