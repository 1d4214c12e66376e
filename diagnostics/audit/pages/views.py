"""The owner's first page of the audit."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from diagnostics.audit import keeping
from diagnostics.audit.asked import asked_of
from diagnostics.audit.csv_rows import csv_rows
from diagnostics.audit.pages import saying
from diagnostics.audit.pages.files import csv_file
from diagnostics.audit.pages.hurts import RULE as HURTS_RULE
from diagnostics.audit.pages.overview import OVERVIEW
from diagnostics.audit.pages.shown import shown_overview
from diagnostics.audit.pages.this_week import RULE as WEEK_RULE
from diagnostics.watching.asking import standing
from shared.access import roles


@roles("owner")
@require_safe
def overview_page(request: HttpRequest) -> HttpResponseBase:
    """How are we doing, what hurts most, what to do this week."""
    asked = asked_of(request)
    if request.GET.get("format") == "csv":
        table = "curve" if request.GET.get("table") == "curve" else "rate"
        return csv_file(f"comebacks-{table}", csv_rows(asked.scope, table))
    answer = keeping.answer(OVERVIEW, asked.scope, since_is_usual=asked.since_is_usual)
    if answer is None:
        return render(request, "diagnostics/audit/being_counted.html", {"asked": asked})
    context = {
        "asked": asked,
        "answer": answer,
        "shown": shown_overview(answer.value, asked),
        "recount": standing(),
        "costs": answer.value.costs,
        "things": answer.value.things,
        "week_rule": WEEK_RULE,
        "hurts_rule": HURTS_RULE,
        "only_here": saying.ONLY_HERE,
    }
    return render(request, "diagnostics/audit/overview.html", context)
