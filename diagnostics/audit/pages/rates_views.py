"""The comeback rate side by side and by one field at a time."""

from __future__ import annotations

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from diagnostics.audit import keeping
from diagnostics.audit.asked import asked_of
from diagnostics.audit.breakdown import BY
from diagnostics.audit.csv_rows import csv_rows
from diagnostics.audit.pages import rates_table as table
from diagnostics.audit.pages.addresses import query_of
from diagnostics.audit.pages.files import csv_file
from shared.access import roles
from shared.lists import ROWS_A_PAGE

SEARCH_FROM = 15  # Rows; a shorter table is read faster than it is searched.


@roles("owner")
@require_safe
def rates_page(request: HttpRequest) -> HttpResponseBase:
    """The rate at 30 days, the window and 365 days, and of each part of the jobs."""
    asked, by = asked_of(request), request.GET.get("by") or table.USUAL
    if by not in table.TABLES:
        raise Http404(f"The rate is not parted by '{by}'.")
    if request.GET.get("format") == "csv":
        return csv_file(f"rates-by-{by}", csv_rows(asked.scope, "breakdown", by=by))
    answer = keeping.answer(table.TABLES[by], asked.scope, since_is_usual=asked.since_is_usual)
    if answer is None:
        return render(request, "diagnostics/audit/being_counted.html", {"asked": asked})
    found, rows = answer.value.headline, answer.value.rows
    wanted = request.GET.get("q", "").strip()
    chosen = [row for row in rows if wanted.lower() in f"{row.label} {row.key}".lower()]
    page = Paginator(chosen, ROWS_A_PAGE).get_page(request.GET.get("page"))
    query, whole = query_of(asked.scope), found.share(asked.scope.counted)
    context = {
        "asked": asked,
        "answer": answer,
        "found": found,
        "whole": whole,
        "by": by,
        "field": BY[by],
        "fields": [(name, BY[name].plural) for name in table.TABLES],
        "page_obj": page,
        "lines": list(table.lines(page.object_list, whole, query)),
        "most": table.end_of_strips(page.object_list),
        "funnel": table.funnel(rows, whole, by),
        "searchable": len(rows) >= SEARCH_FROM,
        "wanted": wanted,
        "query": query,
    }
    return render(request, "diagnostics/audit/rates.html", context)
