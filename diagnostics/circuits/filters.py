import django_filters
from django.db.models import Q

from diagnostics.library.filters import systems
from diagnostics.models import CircuitMap


class CircuitFilter(django_filters.FilterSet):
    q = django_filters.CharFilter(label="Title, make, model or engine", method="search")
    topology = django_filters.ChoiceFilter(
        label="Kind of circuit", choices=CircuitMap.Topology, empty_label="Any kind"
    )
    system = django_filters.ChoiceFilter(label="System", choices=systems, empty_label="Any system")
    state = django_filters.ChoiceFilter(label="State", choices=CircuitMap.State, empty_label="Any state")

    class Meta:
        model = CircuitMap
        fields = ["q", "topology", "system", "state"]

    def search(self, queryset, name, value):
        """Every word stands somewhere in the title or the platform."""
        for word in value.split():
            names = ("title", "make", "model", "engine")
            found = Q()
            for each in names:
                found |= Q(**{f"{each}__icontains": word})
            if word.isascii() and word.isdigit() and len(word) == 4:
                since, until = Q(year_from=None) | Q(year_from__lte=int(word)), Q(year_to__gte=int(word))
                found |= (since & (until | Q(year_to=None))) & ~Q(year_from=None, year_to=None)
            queryset = queryset.filter(found)
        return queryset
