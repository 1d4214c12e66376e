import django_filters
from django.db.models import Q
from django.utils import timezone

from diagnostics.models import Instrument, Protocol, ProtocolStep, TestKind
from shop.models import Symptom, System


def systems():
    """The systems as choices, read when the form is drawn."""
    return [(system.code, system.name) for system in System.objects.all()]


class TestKindFilter(django_filters.FilterSet):
    __test__ = False

    name = django_filters.CharFilter(label="Name or code", method="search")
    system = django_filters.ChoiceFilter(label="System", choices=systems, empty_label="Any system")
    kind = django_filters.ChoiceFilter(label="Kind", choices=TestKind.Kind, empty_label="Any kind")
    limit_source = django_filters.ChoiceFilter(
        label="Limit from",
        choices=TestKind._meta.get_field("limit_source").choices,
        empty_label="Any source",
    )

    class Meta:
        model = TestKind
        fields = ["name", "system", "kind", "limit_source"]

    def search(self, queryset, name, value):
        return queryset.filter(
            Q(name__icontains=value) | Q(code__icontains=value) | Q(plain__icontains=value)
        )


class ProtocolFilter(django_filters.FilterSet):
    symptom = django_filters.CharFilter(label="Symptom", method="search")
    system = django_filters.ChoiceFilter(label="System", choices=systems, empty_label="Any system")
    test = django_filters.CharFilter(label="Asks for test (code)", method="asks_for")

    class Meta:
        model = Protocol
        fields = ["symptom", "system", "test"]

    def search(self, queryset, name, value):
        named = Symptom.objects.filter(Q(name__icontains=value) | Q(code__icontains=value))
        return queryset.filter(symptom__in=named.values("code"))

    def asks_for(self, queryset, name, value):
        # A join would count the steps of the list once for each step found.
        asking = ProtocolStep.objects.filter(test_code__icontains=value)
        return queryset.filter(pk__in=asking.values("protocol"))


class InstrumentFilter(django_filters.FilterSet):
    code = django_filters.CharFilter(label="Name", lookup_expr="icontains")
    kind = django_filters.CharFilter(label="Kind", lookup_expr="icontains")
    counts = django_filters.ChoiceFilter(
        label="Readings count today",
        choices=[("yes", "yes"), ("no", "no: overdue or withdrawn")],
        method="filter_counts",
        empty_label="Any",
    )

    class Meta:
        model = Instrument
        fields = ["code", "kind", "counts"]

    def filter_counts(self, queryset, name, value):
        today = timezone.localdate()
        in_use = Q(withdrawn_on__isnull=True) | Q(withdrawn_on__gt=today)
        good = queryset.filter(in_use & (Q(cal_required=False) | Q(cal_due__gte=today)))
        return good if value == "yes" else queryset.exclude(pk__in=good.values("pk"))
