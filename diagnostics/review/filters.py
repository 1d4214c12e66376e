import django_filters
from django import forms
from django.db.models import Q

from diagnostics.models import ReturnVisit
from diagnostics.review.names import symptom_names, system_names, words
from diagnostics.review.wording import EXCLUSION_WORDS, LEVEL_WORDS, VERDICT_WORDS
from shop.models import RepairOrder

CANDIDATES = ("comeback", "needs_review", "excluded")
WAITING = "waiting"
LATE = "late"


def systems():
    """The systems that returns are of, as choices."""
    names = system_names()
    return sorted(((code, names.get(code, words(code))) for code in _used("system")), key=_by_name)


def symptoms():
    """The symptoms that vehicles returned with, as choices."""
    names = symptom_names()
    return sorted(((code, names.get(code, words(code))) for code in _used("symptom")), key=_by_name)


def technicians():
    """The names that earlier orders are signed with, as choices. For the owner only."""
    with_returns = RepairOrder.objects.filter(returns_from_it__isnull=False).exclude(technician="")
    names = with_returns.order_by("technician").values_list("technician", flat=True).distinct()
    return [(name, name) for name in names]


class ReturnFilter(django_filters.FilterSet):
    """Which returns. The technician of the earlier order can be asked for by the owner alone."""

    q = django_filters.CharFilter(label="Job, plate, vehicle or component", method="search")
    counts = django_filters.ChoiceFilter(
        label="Which pairs",
        choices=[
            ("no", "related, counted elsewhere"),
            (LATE, "late returns"),
            ("any", "all pairs"),
        ],
        empty_label="those that count",
        method="filter_counts",
    )
    verdict = django_filters.ChoiceFilter(
        label="Verdict", choices=list(VERDICT_WORDS.items()), empty_label="Any verdict"
    )
    state = django_filters.ChoiceFilter(
        label="Review",
        choices=[(WAITING, "waiting for review"), *ReturnVisit.State.choices],
        empty_label="Any state",
        method="filter_state",
    )
    level = django_filters.ChoiceFilter(
        label="How related", choices=list(LEVEL_WORDS.items())[:-1], empty_label="Any way"
    )
    exclusion = django_filters.ChoiceFilter(
        label="Exclusion",
        choices=[(code, f"{code}, {text}") for code, text in EXCLUSION_WORDS.items()],
        empty_label="Any or none",
        method="filter_exclusion",
    )
    system = django_filters.ChoiceFilter(label="System", choices=systems, empty_label="Any system")
    symptom = django_filters.ChoiceFilter(label="Symptom", choices=symptoms, empty_label="Any symptom")
    opened_from = django_filters.DateFilter(
        label="Came back from",
        field_name="return_order__opened_on",
        lookup_expr="gte",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    opened_until = django_filters.DateFilter(
        label="Came back until",
        field_name="return_order__opened_on",
        lookup_expr="lte",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    technician = django_filters.ChoiceFilter(
        label="Technician of the earlier job",
        field_name="index_order__technician",
        choices=technicians,
        empty_label="Any technician",
    )

    class Meta:
        model = ReturnVisit
        fields = ["q", "counts", "verdict", "state", "level", "exclusion", "system", "symptom"]

    def __init__(self, data=None, *args, **kwargs):
        # Nothing asked for is a question too: for the pairs that count.
        super().__init__({} if data is None else data, *args, **kwargs)
        if not (self.request and self.request.user.has_role("owner")):
            del self.filters["technician"]

    def filter_queryset(self, queryset):
        chosen = self.form.cleaned_data
        if not chosen["counts"] and chosen["verdict"] != ReturnVisit.Verdict.NOT_CANDIDATE:
            queryset = queryset.filter(counts=True)
        return super().filter_queryset(queryset)

    def search(self, queryset, name, value):
        job = Q(index_order__number__icontains=value) | Q(return_order__number__icontains=value)
        vehicle = (
            Q(return_order__vehicle__plate__icontains=value)
            | Q(return_order__vehicle__vin__icontains=value)
            | Q(return_order__vehicle__make__icontains=value)
            | Q(return_order__vehicle__model__icontains=value)
        )
        worked_on = RepairOrder.objects.filter(workitem_set__component__icontains=value).values("pk")
        return queryset.filter(job | vehicle | Q(index_order__in=worked_on))

    def filter_counts(self, queryset, name, value):
        if value == LATE:
            return queryset.filter(verdict=ReturnVisit.Verdict.NOT_CANDIDATE)
        if value == "no":
            return queryset.filter(counts=False, verdict__in=CANDIDATES)
        return queryset

    def filter_state(self, queryset, name, value):
        return waiting_for_review(queryset) if value == WAITING else queryset.filter(state=value)

    def filter_exclusion(self, queryset, name, value):
        reviewed = Q(state=ReturnVisit.State.EXCLUDED, review_exclusion=value)
        return queryset.filter(Q(exclusion=value) | Q(reason__endswith=f":{value}") | reviewed)


class NoFilter(django_filters.FilterSet):
    """A list whose rows are chosen by the address alone."""

    class Meta:
        model = ReturnVisit
        fields = []


def waiting_for_review(queryset):
    """The returns that ask for a person: they would count, and nobody has decided."""
    return queryset.filter(
        counts=True,
        verdict__in=[ReturnVisit.Verdict.COMEBACK, ReturnVisit.Verdict.NEEDS_REVIEW],
        state__in=[ReturnVisit.State.UNREVIEWED, ReturnVisit.State.IN_REVIEW],
    )


def _used(field):
    return ReturnVisit.objects.exclude(**{field: ""}).order_by().values_list(field, flat=True).distinct()


def _by_name(choice):
    return choice[1]
