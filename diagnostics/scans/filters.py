import django_filters

from diagnostics.models import CodeMeaning


class CodeMeaningFilter(django_filters.FilterSet):
    code = django_filters.CharFilter(label="Code", lookup_expr="istartswith")
    meaning = django_filters.CharFilter(label="Meaning", lookup_expr="icontains")

    class Meta:
        model = CodeMeaning
        fields = ["code", "meaning"]
