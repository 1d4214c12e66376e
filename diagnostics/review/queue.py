"""The queue of reviews: what waits for a person, oldest first."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from typing import Any

import django_filters
from django.core.exceptions import PermissionDenied
from django.db.models import Count, Exists, OuterRef, Q, QuerySet, Subquery
from django.http import StreamingHttpResponse
from django.utils import timezone
from django.utils.decorators import method_decorator

from diagnostics.models import ReturnReview, ReturnVisit
from diagnostics.review.codes import GROUPS, label_of
from diagnostics.review.exporting import COLUMNS, NDJSON_TYPE, exported, lines
from diagnostics.review.filters import systems, waiting_for_review
from diagnostics.review.names import symptom_names, words
from diagnostics.review.wording import CLAIMED
from shared.access import roles
from shared.lists import Column, ListPage

State = ReturnVisit.State
DECIDED = (State.CONFIRMED, State.EXCLUDED, State.UNRELATED, State.UNDETERMINED)
Part = Callable[[QuerySet[ReturnVisit], date], QuerySet[ReturnVisit]]


def in_queue() -> QuerySet[ReturnVisit]:
    """Every return that counts, with its primary code and the day its change is to be looked at."""
    first = ReturnReview.objects.filter(visit=OuterRef("pk"), is_second=False)
    second = ReturnReview.objects.filter(visit=OuterRef("pk"), is_second=True)
    return ReturnVisit.objects.filter(counts=True).annotate(
        code=Subquery(first.values("primary")),
        check_on=Subquery(first.filter(checked_on=None).values("check_on")),
        is_apart=Exists(second),
    )


def to_code(visits: QuerySet[ReturnVisit], today: date) -> QuerySet[ReturnVisit]:
    """Decided as a comeback, or not to be told, and without a code."""
    return visits.filter(state__in=[State.CONFIRMED, State.UNDETERMINED], code=None)


def claimed(visits: QuerySet[ReturnVisit], today: date) -> QuerySet[ReturnVisit]:
    """An exclusion is claimed, and its evidence is not on file."""
    return waiting_for_review(visits).filter(reason__startswith=CLAIMED)


def to_look(visits: QuerySet[ReturnVisit], today: date) -> QuerySet[ReturnVisit]:
    """The day to look at the effect of their change has come."""
    return visits.filter(check_on__lte=today)


def to_code_apart(visits: QuerySet[ReturnVisit], today: date) -> QuerySet[ReturnVisit]:
    """Coded once, and not yet by a second person."""
    return visits.filter(code__isnull=False, is_apart=False)


PARTS: dict[str, tuple[str, Part]] = {
    "waiting": ("waiting for review", lambda visits, today: waiting_for_review(visits)),
    "claimed": ("of these, an exclusion claimed", claimed),
    "uncoded": ("decided, not coded", to_code),
    "look": ("look at the effect", to_look),
    "apart": ("to be coded apart", to_code_apart),
    "decided": ("decided", lambda visits, today: visits.filter(state__in=DECIDED)),
}


class QueueFilter(django_filters.FilterSet):
    """Which returns of the queue; without an answer, those that wait for review."""

    show = django_filters.ChoiceFilter(
        label="Show",
        choices=[(key, words) for key, (words, _) in list(PARTS.items())[1:]],
        empty_label=PARTS["waiting"][0],
        method="keep_as_is",
    )
    system = django_filters.ChoiceFilter(label="System", choices=systems, empty_label="Any system")
    level = django_filters.ChoiceFilter(
        label="How related", choices=ReturnVisit.Level.choices[:-1], empty_label="Any way"
    )
    group = django_filters.ChoiceFilter(
        label="Cause group",
        choices=[(letter, f"{letter}, {name}") for letter, name in GROUPS.items()],
        empty_label="Any or none",
        method="of_group",
    )

    class Meta:
        model = ReturnVisit
        fields = ["system", "level"]

    def __init__(self, data=None, *args, **kwargs):
        super().__init__({} if data is None else data, *args, **kwargs)
        if not self.request.user.has_role("owner"):
            for name in ("show", "group"):
                del self.filters[name]

    def filter_queryset(self, queryset):
        user, today = self.request.user, timezone.localdate()
        if user.has_role("owner"):
            chosen = self.form.cleaned_data.get("show") or "waiting"
            queryset = PARTS[chosen][1](queryset, today)
        else:
            queryset = for_second_reviewer(to_code_apart(queryset, today), user)
        return super().filter_queryset(queryset)

    def keep_as_is(self, queryset, name, value):
        return queryset

    def of_group(self, queryset, name, value):
        return queryset.filter(code__startswith=value)


def for_second_reviewer(visits: QuerySet[ReturnVisit], user: Any) -> QuerySet[ReturnVisit]:
    """Leave out the jobs of this person and what they have coded; the page looks closer at who did what."""
    name = user.signs_as
    own = Q(index_order__technician=name) | Q(return_order__technician=name)
    return visits.exclude(own).exclude(pk__in=ReturnReview.objects.filter(reviewer=name).values("visit"))


@method_decorator(roles("technician", "owner"), name="dispatch")
class ReviewQueue(ListPage):
    """The owner's queue. A technician sees which returns they may code apart, without the first coding."""

    filterset_class = QueueFilter
    template_name = "diagnostics/audit/reviews.html"
    default_sort = "came_back"
    csv_name = "reviews"
    shown_columns = (
        Column(
            "came_back", "Came back", lambda visit: visit.return_order.opened_on, ("return_order__opened_on",)
        ),
        Column("return_order", "Job", lambda visit: visit.return_order.number),
        Column("index_order", "Earlier job", lambda visit: visit.index_order.number),
        Column("symptom", "Symptom", lambda visit: visit.symptom, ("symptom",)),
        Column("level", "How related", lambda visit: visit.level, ("level",)),
        Column("verdict", "Verdict", lambda visit: visit.verdict, ("verdict", "reason")),
        Column("state", "Review", lambda visit: visit.state, ("state",)),
    )
    owner_columns = (
        Column("code", "Primary code", lambda visit: visit.code, ("code",)),
        Column("check_on", "Look on", lambda visit: visit.check_on, ("check_on",)),
    )

    @property
    def is_owner(self):
        return self.request.user.has_role("owner")

    @property
    def columns(self):
        if not self.is_owner:
            return self.shown_columns
        is_file = self.request.GET.get("format") == "csv"
        return COLUMNS if is_file else (*self.shown_columns, *self.owner_columns)

    def get(self, request, *args, **kwargs):
        wanted = request.GET.get("format")
        if wanted and not self.is_owner:
            raise PermissionDenied("A file of codes would show the first coding. The owner has it.")
        return self._ndjson() if wanted == "ndjson" else super().get(request, *args, **kwargs)

    def get_queryset(self):
        is_file = "format" in self.request.GET
        wanted = in_queue().select_related("index_order", "return_order__vehicle")
        self.queryset = exported(in_queue()) if is_file else wanted
        return super().get_queryset()

    def rows_for(self, records):
        symptoms, today = symptom_names(), timezone.localdate()
        rows = list(records)
        for visit in rows:
            visit.symptom_name = symptoms.get(visit.symptom) or words(visit.symptom)
            visit.code_label = label_of(visit.code) if visit.code else ""
            visit.waits = (today - visit.return_order.opened_on).days
            visit.is_claimed = visit.reason.startswith(CLAIMED)
            visit.claimed = visit.reason.removeprefix(CLAIMED) if visit.is_claimed else ""
            visit.is_to_look = visit.check_on is not None and visit.check_on <= today
        return rows

    def get_context_data(self, **kwargs):
        context = super().get_context_data(**kwargs)
        chosen = self.request.GET.get("show") or "waiting"
        return context | {
            "is_owner": self.is_owner,
            "show": chosen if chosen in PARTS else "waiting",
            "parts": list(self._parts()) if self.is_owner else [],
        }

    def _parts(self) -> Iterator[tuple[str, str, int]]:
        """Each part of the queue with how many returns are in it."""
        today = timezone.localdate()
        for key, (text, part) in PARTS.items():
            yield key, text, part(in_queue(), today).aggregate(n=Count("pk"))["n"]

    def _ndjson(self):
        filterset = self.get_filterset(self.get_filterset_class())
        response = StreamingHttpResponse(lines(filterset.qs), content_type=NDJSON_TYPE)
        response["Content-Disposition"] = 'attachment; filename="reviews.ndjson"'
        return response
