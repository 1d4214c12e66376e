from urllib.parse import urlencode

from django.http import Http404
from django.shortcuts import render
from django.views.decorators.http import require_safe

from diagnostics.bench_sums import shown
from diagnostics.bench_sums.forms import SearchForm, SumForm, example_text
from shared.access import roles
from shared.computing import registry


@roles("advisor", "technician", "owner")
@require_safe
def sums(request):
    """Every sum by heading; `q` looks for words."""
    form = SearchForm(request.GET)
    words = form.cleaned_data["q"] if form.is_valid() else ""
    groups = shown.in_groups(registry().values(), words)
    context = {
        "form": form,
        "groups": groups,
        "words": words,
        "total": sum(len(group.lines) for group in groups),
    }
    return render(request, "diagnostics/sums.html", context)


@roles("advisor", "technician", "owner")
@require_safe
def one_sum(request, name):
    """One sum: its fields, and the answer to what stands in the address."""
    found = registry().get(name)
    if found is None or not found.group:
        raise Http404("There is no sum of this name.")
    is_asked = not found.given or any(given.key in request.GET for given in found.given)
    form = SumForm(found, request.GET if is_asked else None)
    answer = shown.answer_of(found, form.answer, form.values) if is_asked and form.is_valid() else None
    context = {
        "found": found,
        "meaning": shown.sentence_case(found.meaning),
        "valid": shown.sentence_case(found.valid) or "Any value the fields take",
        "form": form,
        "answer": answer,
        "source": shown.source_words(found),
        "example": _example(found),
    }
    return render(request, "diagnostics/sum.html", context)


def _example(found):
    """The address that fills in the examples; empty where they do not lead to an answer."""
    examples = {given.key: example_text(given) for given in found.given if given.example is not None}
    return f"?{urlencode(examples)}#answer" if examples and SumForm(found, examples).is_valid() else ""
