from datetime import timedelta

import django_filters
from django.db.models import Q
from django.utils import timezone

from diagnostics.models import Instrument, Protocol, ProtocolStep, TestKind, TestRun
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


class DueFilter(django_filters.FilterSet):
    due = django_filters.ChoiceFilter(
        label="Due",
        choices=[("overdue", "overdue, or no date"), ("30", "in 30 days"), ("90", "in 90 days")],
        method="filter_due",
        empty_label="Any",
    )
    kind = django_filters.CharFilter(label="Kind", lookup_expr="icontains")

    class Meta:
        model = Instrument
        fields = ["due", "kind"]

    def filter_due(self, queryset, name, value):
        today = timezone.localdate()
        overdue = Q(cal_due__isnull=True) | Q(cal_due__lt=today)
        if value == "overdue":
            return queryset.filter(overdue)
        return queryset.filter(overdue | Q(cal_due__lte=today + timedelta(days=int(value))))


class LookBackFilter(django_filters.FilterSet):
    """Readings that leaned on an instrument; `found` says by key what its error would change."""

    change = django_filters.ChoiceFilter(
        label="What changes",
        choices=[
            ("verdict", "the verdict"),
            ("proof", "no longer proved"),
            ("unknown", "not touched, or cannot tell"),
            ("none", "nothing"),
        ],
        method="filter_change",
        empty_label="Anything",
    )
    job = django_filters.CharFilter(label="Job", field_name="order__number")

    class Meta:
        model = TestRun
        fields = ["change", "job"]

    def __init__(self, *args, found, **kwargs):
        self.found = found
        super().__init__(*args, **kwargs)

    def filter_change(self, queryset, name, value):
        wanted = {
            "verdict": lambda one: one.changes,
            "proof": lambda one: one.weakens,
            "unknown": lambda one: bool(one.why_not),
            "none": lambda one: not (one.changes or one.weakens or one.why_not),
        }[value]
        return queryset.filter(pk__in=[pk for pk, one in self.found.items() if wanted(one)])
