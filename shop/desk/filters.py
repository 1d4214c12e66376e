import django_filters
from django import forms

from shop.models import Customer, Vehicle
from shop.search import vehicles_like


class VehicleFilter(django_filters.FilterSet):
    q = django_filters.CharFilter(label="Plate, VIN, keeper or model", method="search")
    make = django_filters.AllValuesFilter(label="Make", empty_label="Any make")
    year_from = django_filters.NumberFilter(label="Year from", field_name="year", lookup_expr="gte")
    here = django_filters.ChoiceFilter(
        label="Still ours",
        choices=[("yes", "yes"), ("no", "left us")],
        method="filter_here",
        empty_label="Any",
    )

    class Meta:
        model = Vehicle
        fields = ["q", "make", "year_from", "here"]

    def search(self, queryset, name, value):
        found = vehicles_like(value).order_by().values("pk")
        return queryset.filter(pk__in=found)

    def filter_here(self, queryset, name, value):
        return queryset.filter(left_on__isnull=value == "yes")


class CustomerFilter(django_filters.FilterSet):
    name = django_filters.CharFilter(label="Name", lookup_expr="icontains")
    phone = django_filters.CharFilter(label="Phone", lookup_expr="contains")
    has_open_job = django_filters.BooleanFilter(
        label="Has an open job",
        method="filter_open",
        widget=forms.Select(choices=[("", "Any"), ("true", "yes"), ("false", "no")]),
    )

    class Meta:
        model = Customer
        fields = ["name", "phone", "has_open_job"]

    def filter_open(self, queryset, name, value):
        with_open = Customer.objects.filter(orders__returned_on__isnull=True, orders__isnull=False)
        return queryset.filter(pk__in=with_open) if value else queryset.exclude(pk__in=with_open)
