"""Which jobs the list shows."""

import django_filters
from django import forms
from django.db.models import Q

from shop.models import RepairOrder, StaffMember, Symptom, System
from shop.search import vehicles_like


def _date():
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class OrderFilter(django_filters.FilterSet):
    q = django_filters.CharFilter(label="Number, plate, VIN or customer", method="search")
    state = django_filters.ChoiceFilter(
        label="State",
        choices=[("open", "open"), ("closed", "handed back")],
        method="filter_state",
        empty_label="Any",
    )
    waiting_on = django_filters.ChoiceFilter(
        label="Waiting on", choices=RepairOrder.WaitingOn.choices, empty_label="Anybody"
    )
    system = django_filters.ModelChoiceFilter(
        label="System",
        queryset=System.objects.all(),
        to_field_name="code",
        method="filter_system",
        empty_label="Any",
    )
    symptom = django_filters.ModelChoiceFilter(
        label="Symptom",
        queryset=Symptom.objects.order_by("name"),
        to_field_name="code",
        method="filter_symptom",
        empty_label="Any",
    )
    technician = django_filters.ChoiceFilter(label="Technician", empty_label="Anybody")
    outcome = django_filters.ChoiceFilter(
        label="Outcome", choices=RepairOrder.Outcome.choices, empty_label="Any"
    )
    opened_from = django_filters.DateFilter(
        label="Opened from", field_name="opened_on", lookup_expr="gte", widget=_date()
    )
    opened_to = django_filters.DateFilter(
        label="Opened to", field_name="opened_on", lookup_expr="lte", widget=_date()
    )

    class Meta:
        model = RepairOrder
        fields = [
            "q",
            "state",
            "waiting_on",
            "system",
            "symptom",
            "technician",
            "outcome",
            "opened_from",
            "opened_to",
        ]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        people = StaffMember.objects.filter(is_technician=True).values_list("signs_as", flat=True)
        self.filters["technician"].extra["choices"] = [(name, name) for name in people]

    def search(self, queryset, name, value):
        vehicles = vehicles_like(value).order_by().values("pk")
        of_customer = Q(customer__name__icontains=value)
        return queryset.filter(Q(number__icontains=value) | of_customer | Q(vehicle__in=vehicles))

    def filter_state(self, queryset, name, value):
        return queryset.filter(returned_on__isnull=value == "open")

    def filter_system(self, queryset, name, value):
        return queryset.filter(pk__in=RepairOrder.objects.filter(complaint_set__system=value.code))

    def filter_symptom(self, queryset, name, value):
        return queryset.filter(pk__in=RepairOrder.objects.filter(complaint_set__symptom=value.code))
